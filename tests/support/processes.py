"""The bot as an operating-system process of its own, beside a stand-in service in the test's loop."""

import asyncio
import contextlib
import itertools
import os
import signal
import sys
import time
from asyncio.subprocess import Process
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path

from bot.practice.exchange import Exchange
from bot.practice.outcome import Outcome
from bot.practice.registered import commands_of
from bot.practice.sending import sendable
from bot.practice.service import Service
from bot.practice.typed import read_line
from bot.practice.values import Message, Person, Place, Room
from tests.support.chat import BINS, HOLLOW_LOG, WREN

ROOT = Path(__file__).parents[2]
SOON = 20.0
"""Seconds that a start or an end may take on a busy machine before the test gives up."""


def clean_environment(**more: str) -> dict[str, str]:
    """The environment of a started process: nothing of the bot's settings but `more`."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("MANCABOOK_")}
    return {**kept, "PYTHONPATH": str(ROOT), **more}


@dataclass(frozen=True, slots=True)
class BotProcess:
    """A running `mancabook serve`; `log` is the file with what it wrote."""

    process: Process
    log: Path

    @property
    def pid(self) -> int:
        """Its process id."""
        return self.process.pid

    def send(self, number: signal.Signals) -> None:
        """Send a signal, if it still runs."""
        with contextlib.suppress(ProcessLookupError):
            self.process.send_signal(number)

    async def ended(self, seconds: float = SOON) -> int:
        """Wait until it has ended; returns the exit status, negative for a signal. Raises TimeoutError."""
        async with asyncio.timeout(seconds):
            return await self.process.wait()

    def said(self) -> str:
        """Everything it wrote so far."""
        return self.log.read_text(errors="replace")


@dataclass(slots=True)
class Machine:
    """A machine on which the bot is started and ended, as often as wanted, always on one book and one service."""

    service: Service
    database: str
    folder: Path
    exchanges: list[Exchange]
    settings: dict[str, str] = field(default_factory=dict)
    started: list[BotProcess] = field(default_factory=list)
    _numbers: "itertools.count[int]" = field(default_factory=itertools.count)

    async def spawn(self) -> BotProcess:
        """Start the bot and do not wait for it."""
        environment = clean_environment(
            MANCABOOK_TOKEN=self.service.token,
            MANCABOOK_DATABASE=self.database,
            MANCABOOK_SERVICE=self.service.base_url.removesuffix("/api/v10"),
            MANCABOOK_TICK="0.2",
            **self.settings,
        )
        log = self.folder / f"bot-{next(self._numbers)}.log"
        with log.open("wb") as written:
            command = (sys.executable, "-W", "error::ResourceWarning", "-m", "bot", "serve")
            process = await asyncio.create_subprocess_exec(
                *command,
                cwd=self.folder,
                env=environment,
                stdin=asyncio.subprocess.DEVNULL,
                stdout=written,
                stderr=written,
            )
        bot = BotProcess(process, log)
        self.started.append(bot)
        return bot

    async def start(self) -> BotProcess:
        """Start the bot, and wait until it is logged in and has been told of all places."""
        sessions = len(self.service.gateway.identified)
        bot = await self.spawn()
        ending = asyncio.ensure_future(bot.process.wait())
        ready = asyncio.ensure_future(self.service.wait_ready(SOON))
        try:
            await asyncio.wait({ending, ready}, return_when=asyncio.FIRST_COMPLETED)
            assert not ending.done(), bot.said()
            await ready
        finally:
            ending.cancel()
            ready.cancel()
        assert len(self.service.gateway.identified) == sessions + 1
        return bot

    async def restart(self, bot: BotProcess) -> BotProcess:
        """End the bot as a system does at an update, and start it again: another process."""
        bot.send(signal.SIGTERM)
        assert await bot.ended() == 0, bot.said()
        await self.service.wait_gone()
        again = await self.start()
        assert again.pid != bot.pid
        return again

    async def end_all(self) -> None:
        """Kill what still runs."""
        for bot in self.started:
            if bot.process.returncode is None:
                bot.send(signal.SIGKILL)
                await bot.ended()

    async def type(self, line: str, person: Person = WREN, room: Room = BINS, place: Place = HOLLOW_LOG) -> Outcome:
        """Send a typed command, as `person`."""
        typed = read_line(line, commands_of(self.service.commands_in(place)))
        return await self.service.command(place, room, person, typed.command.path, sendable(typed.options))

    async def press(self, message: Message | None, label: str, person: Person = WREN) -> Outcome:
        """Press the button that reads `label`."""
        assert message is not None, "there is no message to press on"
        return await self.service.press(message, message.button(label).custom_id, person)

    async def heard(self, wanted: Callable[[Exchange], bool], since: int = 0) -> Exchange:
        """The first of the bot's requests from number `since` on that is `wanted`, made already or to come."""
        async with asyncio.timeout(SOON):
            while True:
                for exchange in self.exchanges[since:]:
                    if wanted(exchange):
                        return exchange
                await asyncio.sleep(0.01)


@asynccontextmanager
async def machine_on(
    database: str,
    folder: Path,
    places: list[Place],
    recorder: Callable[[Exchange], None] | None = None,
    clock: Callable[[], float] = time.time,
    **settings: str,
) -> AsyncIterator[Machine]:
    """A stand-in service in this loop, with `clock`, and a machine for the bot, with `settings` in its environment."""
    exchanges: list[Exchange] = []

    def record(exchange: Exchange) -> None:
        exchanges.append(exchange)
        if recorder is not None:
            recorder(exchange)

    service = Service(places, recorder=record, clock=clock)
    await service.start()
    machine = Machine(service, database, folder, exchanges, settings)
    try:
        yield machine
    finally:
        await machine.end_all()
        await service.stop()
