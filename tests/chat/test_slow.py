"""Work that takes over a second: the answer is promised, and then it comes, to the right people."""

import asyncio
from collections.abc import Callable, Coroutine
from datetime import timedelta
from typing import Any

import pytest

from bot.practice.outcome import Outcome
from bot.practice.values import Message
from bot.records import OccurrenceState
from bot.services.bins import label_of, show_bin
from bot.services.odds import odds_of
from tests.support.chat import BINS, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line, only_for


async def slowly(chat: Chat, asking: Coroutine[Any, Any, Outcome], seconds: float = 0.2) -> Outcome:
    """What comes of `asking` if the book is held by somebody else for so long."""
    async with chat.book_held():
        task = asyncio.create_task(asking)
        await asyncio.sleep(seconds)
        assert not task.done()
    return await said(task)


async def said(task: asyncio.Task[Outcome]) -> Outcome:
    """The outcome once something was said. A promise that is withdrawn first settles it before."""
    outcome = await task
    assert await outcome.until(lambda seen: bool(seen.messages), 5)
    return outcome


async def ping_of(chat: Chat) -> Message:
    await chat.move(timedelta(days=4))
    return await chat.service.wait_message(BINS, lambda message: "B-4" in message.content)


async def test_a_count_that_waits_over_a_second_for_the_book_is_promised_and_then_answered(sqlite_chat: Chat) -> None:
    outcome = await slowly(sqlite_chat, sqlite_chat.type("/count log bin:B-3 count:40", MOSS), 1.2)
    assert outcome.deferred
    assert outcome.latency is not None
    assert 0.9 < outcome.latency < 1.2
    assert first_line(outcome) == "B-3 (frost line): **40** counted."
    assert len(sqlite_chat.service.messages(BINS, MOSS)) == 1
    assert len(await sqlite_chat.events()) == 13


@pytest.mark.usefixtures("impatient")
async def test_a_slow_command_delivered_twice_is_done_once_and_answered_once(chat: Chat) -> None:
    chat.expected.add(40060)
    chat.service.faults.deliver_twice_next()
    outcome = await slowly(chat, chat.type("/count log bin:B-3 count:40", MOSS))
    assert first_line(outcome) == "B-3 (frost line): **40** counted."
    assert len(await chat.events()) == 13
    assert len(chat.service.messages(BINS, MOSS)) == 1


@pytest.mark.usefixtures("impatient")
async def test_a_slow_command_that_is_refused_is_refused_in_private(sqlite_chat: Chat) -> None:
    outcome = await slowly(sqlite_chat, sqlite_chat.type("/count log bin:B-3 count:40", TAMSIN))
    assert outcome.deferred
    assert "Moss" in only_for(TAMSIN, outcome).text
    assert sqlite_chat.service.messages(BINS) == []
    opened = await sqlite_chat.press(outcome.messages[-1], "Edit", TAMSIN)
    assert opened.form is not None


@pytest.mark.usefixtures("impatient")
async def test_a_slow_command_that_fails_tells_the_person_in_private(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def broken(*_: Any) -> Any:
        raise RuntimeError("broken for the test")

    monkeypatch.setattr("bot.services.counts._logged", broken)
    outcome = await slowly(sqlite_chat, sqlite_chat.type("/count log bin:B-3 count:40", MOSS))
    assert "went wrong" in only_for(MOSS, outcome).text
    assert sqlite_chat.service.messages(BINS) == []
    assert len(await sqlite_chat.events()) == 12


@pytest.mark.usefixtures("impatient")
async def test_a_slow_form_is_answered_as_a_fast_one_is(sqlite_chat: Chat) -> None:
    opened = await sqlite_chat.type("/count log bin:B-3", MOSS)
    outcome = await slowly(sqlite_chat, sqlite_chat.submit(opened.form, count="40"))
    assert outcome.deferred
    assert first_line(outcome) == "B-3 (frost line): **40** counted."


@pytest.mark.usefixtures("impatient")
async def test_a_slow_undo_is_said_in_private(sqlite_chat: Chat) -> None:
    done = await sqlite_chat.type("/count log bin:B-3 count:40", MOSS)
    outcome = await slowly(sqlite_chat, sqlite_chat.press(done.message, "Undo", MOSS))
    assert outcome.deferred
    assert only_for(MOSS, outcome).text.startswith("Undone.")
    assert [m.id for m in sqlite_chat.service.messages(BINS)] == [done.messages[0].id]


@pytest.mark.usefixtures("impatient")
async def test_a_slow_done_changes_the_ping(chat: Chat) -> None:
    ping = await ping_of(chat)
    outcome = await slowly(chat, chat.press(ping, "Done"))
    assert outcome.deferred
    assert outcome.updated
    assert chat.service.message(ping.id).content.startswith(f"Done by <@{WREN.id}>.")


@pytest.mark.usefixtures("impatient")
async def test_a_slow_done_that_is_refused_leaves_the_ping_and_is_refused_in_private(chat: Chat) -> None:
    ping = await ping_of(chat)
    outcome = await slowly(chat, chat.press(ping, "Done", TAMSIN))
    assert "Wren" in only_for(TAMSIN, outcome).text
    assert chat.service.message(ping.id).content == ping.content
    async with chat.bot.records.read(HOLLOW_LOG.id) as book:
        delivery = int(ping.button("Done").custom_id.rpartition(":")[2])
        assert [o.state for o in await book.occurrences_of(delivery)] == [OccurrenceState.ASKED]


@pytest.mark.usefixtures("impatient")
async def test_a_refusal_that_waits_for_the_book_to_keep_its_draft_is_promised_and_comes_in_private(chat: Chat) -> None:
    outcome = await slowly(chat, chat.type("/odds cross:het emberr x wild", MOSS))
    assert outcome.deferred
    assert "⟪emberr⟫" in only_for(MOSS, outcome).text
    assert [m.viewer_id for m in chat.service.messages(BINS, MOSS)] == [MOSS.id]
    assert chat.service.messages(BINS) == []
    assert chat.sent("DELETE", "/@original") == []
    opened = await chat.press(outcome.messages[-1], "Edit", MOSS)
    assert opened.form is not None
    assert opened.form.fields[0].value == "het emberr x wild"


@pytest.mark.usefixtures("impatient")
async def test_a_stop_waits_for_a_refusal_that_waits_for_the_book(sqlite_chat: Chat) -> None:
    client = sqlite_chat.bot.client
    async with sqlite_chat.book_held():
        asking = asyncio.create_task(sqlite_chat.type("/odds cross:het emberr x wild", MOSS))
        await asyncio.sleep(0.2)
        stopping = asyncio.create_task(client.drain(5))
        await asyncio.sleep(0.1)
        assert not stopping.done()
    await stopping
    assert "⟪emberr⟫" in only_for(MOSS, await said(asking)).text


async def test_a_stop_waits_through_the_step_from_a_failed_answer_to_the_door_that_tells_of_it(
    sqlite_chat: Chat,
) -> None:
    client = sqlite_chat.bot.client
    answering, telling = client.busy(), client.busy()
    with answering:
        stopping = asyncio.create_task(client.drain(5))
        await asyncio.sleep(0)
    with telling:
        await asyncio.sleep(0.05)
        assert not stopping.done()
    await stopping
    await client.drain(0)


async def test_a_stop_waits_no_longer_than_it_is_given(sqlite_chat: Chat, caplog: pytest.LogCaptureFixture) -> None:
    with sqlite_chat.bot.client.busy():
        await sqlite_chat.bot.client.drain(0.05)
    assert "stopping with 1 answers still owed" in caplog.text


def late(work: Callable[..., Coroutine[Any, Any, Any]]) -> Callable[..., Coroutine[Any, Any, Any]]:
    """The same work, a little later."""

    async def wrapped(*args: Any, **named: Any) -> Any:
        await asyncio.sleep(0.2)
        return await work(*args, **named)

    return wrapped


@pytest.mark.usefixtures("impatient")
async def test_a_question_that_takes_long_is_answered_where_it_was_promised(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.chat.odds.odds_of", late(odds_of))
    outcome = await sqlite_chat.type("/odds cross:het ember x het ember")
    assert outcome.deferred
    assert first_line(outcome).startswith("**1 in 4** young will show ember.")
    assert len(sqlite_chat.service.messages(BINS)) == 1


@pytest.mark.usefixtures("impatient")
async def test_a_page_that_takes_long_is_turned_in_its_place(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    outcome = await sqlite_chat.service.command(
        HOLLOW_LOG, BINS, WREN, "bin open", {"species": "Porcellio scaber", "note": "moss and bark " * 250}
    )
    monkeypatch.setattr("bot.chat.bins.show_bin", late(show_bin))
    turned = await sqlite_chat.press(outcome.message, "More (2 of 4)")
    assert turned.deferred
    assert turned.updated
    assert [m.id for m in sqlite_chat.service.messages(BINS, WREN)] == [outcome.messages[0].id]


@pytest.mark.usefixtures("impatient")
async def test_a_form_that_comes_too_late_to_open_is_asked_for_again(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.chat.counts.label_of", late(label_of))
    outcome = await said(asyncio.create_task(sqlite_chat.type("/count log bin:B-3", MOSS)))
    assert outcome.form is None
    assert "too slow to open the form" in only_for(MOSS, outcome).text
    assert sqlite_chat.service.messages(BINS) == []


@pytest.mark.usefixtures("impatient")
async def test_a_promise_whose_acceptance_was_lost_is_kept(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(40060)
    sqlite_chat.service.faults.reset_next("POST", "/interactions/*/callback")
    outcome = await slowly(sqlite_chat, sqlite_chat.type("/count log bin:B-3 count:40", MOSS))
    assert outcome.deferred
    assert [r.code for r in outcome.refusals] == [40060]
    assert first_line(outcome) == "B-3 (frost line): **40** counted."


@pytest.mark.usefixtures("impatient")
async def test_a_promise_that_is_withdrawn_over_a_connection_that_breaks_is_withdrawn_once(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(10008)
    sqlite_chat.service.faults.reset_next("DELETE", "/webhooks/*")
    outcome = await slowly(sqlite_chat, sqlite_chat.type("/count log bin:B-3 count:40", TAMSIN))
    assert "Moss" in only_for(TAMSIN, outcome).text
    assert len(sqlite_chat.service.messages(BINS, TAMSIN)) == 1
