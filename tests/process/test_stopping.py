"""The bot is asked to stop: nobody who waits is dropped, and the chat service is told goodbye."""

import asyncio
import os
import signal
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.practice.interactions import DEFERRED
from bot.records import Records, Stamp
from tests.support.chat import HOLLOW_LOG, MOSS
from tests.support.processes import Machine

RESTARTING = "I am restarting."
GOODBYE = 1000


@asynccontextmanager
async def book_held(database: str) -> AsyncIterator[None]:
    """Nobody else can write into the society's book while the block runs."""
    records = await Records.open(database)
    stamp = Stamp(server=HOLLOW_LOG.id, actor=1, actor_name="holder", request_id=1 << 60, now=datetime.now(UTC))
    async with records.write(stamp):
        yield
    await records.close()


async def counts_of(database: str, code: str) -> list[int]:
    records = await Records.open(database)
    async with records.read(HOLLOW_LOG.id) as book:
        row = await book.bin_by_code(code)
        assert row is not None
        totals = [count.total for count in await book.counts(row.id, limit=50)]
    await records.close()
    return totals


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT], ids=["SIGTERM", "SIGINT"])
async def test_an_idle_bot_ends_at_once(sqlite_machine: Machine, number: signal.Signals) -> None:
    bot = await sqlite_machine.start()
    assert bot.pid != os.getpid()
    asked = time.monotonic()
    bot.send(number)
    assert await bot.ended() == 0, bot.said()
    assert time.monotonic() - asked < 3
    await sqlite_machine.service.wait_gone()
    assert sqlite_machine.service.gateway.closes == [GOODBYE]
    assert "Traceback" not in bot.said()


async def test_a_bot_that_is_still_logging_in_ends_at_once(sqlite_machine: Machine) -> None:
    with sqlite_machine.service.faults.hold("GET", "/users/@me") as hold:
        bot = await sqlite_machine.spawn()
        await hold.reached(20)
        bot.send(signal.SIGTERM)
        assert await bot.ended() == 0, bot.said()
    assert "Traceback" not in bot.said()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT], ids=["SIGTERM", "SIGINT"])
async def test_who_was_promised_an_answer_gets_it(machine: Machine, number: signal.Signals) -> None:
    bot = await machine.start()
    async with book_held(machine.database):
        waiting = asyncio.create_task(machine.type("/count log bin:B-4 count:17"))
        await machine.heard(lambda request: _answer_type(request.body) == DEFERRED)
        bot.send(number)
        # The signal is acted on in the bot's own loop; what comes in before that is still taken.
        await asyncio.sleep(0.3)
        refused = await machine.type("/odds cross:het ember x het ember", MOSS)
        form = await machine.type("/count log bin:B-3", MOSS)
        assert not waiting.done()
    assert RESTARTING in refused.text
    assert refused.message is not None
    assert refused.message.viewer_id == MOSS.id
    assert form.form is None
    assert RESTARTING in form.text
    answer = await waiting
    assert answer.deferred
    assert "B-4 (ember F1): **17** counted." in answer.text
    assert await bot.ended() == 0, bot.said()
    await machine.service.wait_gone()
    assert machine.service.gateway.closes == [GOODBYE]
    assert await counts_of(machine.database, "B-4") == [17, 14]
    assert "Traceback" not in bot.said()


async def test_a_press_while_stopping_is_told_to_come_back(sqlite_machine: Machine) -> None:
    bot = await sqlite_machine.start()
    shown = await sqlite_machine.type("/bin show bin:B-4")
    async with book_held(sqlite_machine.database):
        waiting = asyncio.create_task(sqlite_machine.type("/count log bin:B-4 count:17"))
        await sqlite_machine.heard(lambda request: _answer_type(request.body) == DEFERRED)
        bot.send(signal.SIGTERM)
        await asyncio.sleep(0.3)
        pressed = await sqlite_machine.press(shown.message, "Log count")
    assert pressed.form is None
    assert RESTARTING in pressed.text
    assert "17" in (await waiting).text
    assert await bot.ended() == 0


async def test_an_answer_that_the_service_does_not_take_is_waited_for_only_so_long(sqlite_machine: Machine) -> None:
    sqlite_machine.settings["MANCABOOK_DRAIN"] = "0.5"
    bot = await sqlite_machine.start()
    with sqlite_machine.service.faults.hold("POST", "/interactions/*/callback") as hold:
        waiting = asyncio.create_task(sqlite_machine.type("/count log bin:B-4 count:17"))
        await hold.reached(20)
        bot.send(signal.SIGTERM)
        assert await bot.ended(5) == 0, bot.said()
        await sqlite_machine.service.wait_gone()
        assert sqlite_machine.service.gateway.closes == [GOODBYE]
    assert "stopping with 1 answers still owed" in bot.said()
    assert await counts_of(sqlite_machine.database, "B-4") == [17, 14]
    await waiting


def _answer_type(body: object) -> object:
    return body.get("type") if isinstance(body, dict) else None


def descendants(pid: int) -> set[int]:
    """The processes that a process started, and theirs; of Linux alone."""
    found: set[int] = set()
    for task in Path(f"/proc/{pid}/task").glob("*"):
        found |= {int(child) for child in (task / "children").read_text().split()}
    return found | {one for child in found for one in descendants(child)}


@pytest.mark.parametrize(
    "number", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL], ids=["SIGTERM", "SIGINT", "SIGKILL"]
)
async def test_no_process_that_draws_outlives_the_bot(sqlite_machine: Machine, number: signal.Signals) -> None:
    bot = await sqlite_machine.start()
    assert descendants(bot.pid) == set()
    shown = await sqlite_machine.type("/odds cross:het ember x het ember")
    drawn = await sqlite_machine.press(shown.message, "Picture")
    assert await drawn.until(lambda seen: bool(seen.messages), 20)
    assert drawn.messages[-1].attachments
    started = descendants(bot.pid)
    assert started
    bot.send(number)
    assert await bot.ended() == (0 if number != signal.SIGKILL else -signal.SIGKILL), bot.said()
    async with asyncio.timeout(10):
        for pid in started:
            while Path(f"/proc/{pid}").exists():  # noqa: ASYNC110, ASYNC240 - another process's end has no event
                await asyncio.sleep(0.02)
    assert "Traceback" not in bot.said()
