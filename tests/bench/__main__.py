"""What an `/odds` costs, beside a command that does nothing, in the same process and run: `python -m tests.bench`."""

import asyncio
import json
import os
import signal
import sys
import tempfile
import time
from asyncio.subprocess import DEVNULL, PIPE, Process
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from dataclasses import asdict, dataclass
from datetime import timedelta
from pathlib import Path
from statistics import median
from typing import Any

import discord
from discord import app_commands

from bot.chat.client import Mancabook
from bot.clocks import MovableClocks, SystemClocks
from bot.wiring import Bot, assembled, run, use_service
from tests.bench.driver import Round
from tests.bench.parts import Cost, Parts
from tests.support.chat import fill_with_society
from tests.support.processes import ROOT, clean_environment

IN_FLIGHT = (1, 8, 32)
COUNT, ROUNDS = 320, 3
TYPED = "het ember, het frost x het ember, het frost"
SHELVED = "B-4 x B-5"
ANSWERS = {
    TYPED: "**1 in 16** young will show ember and frost in two doses. See **47 young** grown",
    SHELVED: "**1 in 4** young will show ember if this pair can give it at all;",
}
NOTHING = "nothing"


@app_commands.command(name=NOTHING, description="Do nothing")
@app_commands.guild_only()
async def nothing(interaction: discord.Interaction[Mancabook]) -> None:
    """The least a command can do: answer."""
    await interaction.response.send_message("Nothing.")


@dataclass(frozen=True, slots=True)
class Driver:
    """The chat service in its process."""

    process: Process

    async def hear(self) -> dict[str, Any]:
        """Its next line."""
        assert self.process.stdout is not None
        line = await self.process.stdout.readline()
        assert line, "the chat service's process has ended; see above"
        heard: dict[str, Any] = json.loads(line)
        return heard

    async def ask(self, **what: Any) -> dict[str, Any]:
        """Ask it something, and wait for the answer."""
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(what).encode() + b"\n")
        return await self.hear()


@asynccontextmanager
async def driver() -> AsyncIterator[Driver]:
    """The chat service, for the length of the block."""
    command = (sys.executable, "-m", "tests.bench.driver")
    process = await asyncio.create_subprocess_exec(*command, cwd=ROOT, stdin=PIPE, stdout=PIPE, limit=1 << 24)
    try:
        yield Driver(process)
    finally:
        assert process.stdin is not None
        process.stdin.close()
        await process.wait()


async def whole(driver: Driver, command: str, options: dict[str, str], wanted: str, in_flight: int) -> Cost:
    """One round of a command through client and service."""
    before = time.process_time()
    asked = Round(command, options, wanted, in_flight, COUNT)
    latencies = (await driver.ask(**asdict(asked)))["latencies"]
    return Cost(median(latencies) * 1000, (time.process_time() - before) / len(latencies) * 1000)


def middle(costs: Sequence[Cost]) -> Cost:
    """The medians of several rounds."""
    return Cost(median(c.p50 for c in costs), median(c.processor for c in costs))


async def compared(driver: Driver, cross: str, in_flight: int) -> tuple[Cost, Cost]:
    """The do-nothing command and the cross, in turns."""
    idle, odds = [], []
    for number in range(ROUNDS + 1):
        taken = await whole(driver, NOTHING, {}, "Nothing.", in_flight)
        asked = await whole(driver, "odds", {"cross": cross}, ANSWERS[cross], in_flight)
        # The first round of each is for warming up.
        if number:
            idle.append(taken)
            odds.append(asked)
    return middle(idle), middle(odds)


async def measure(bot: Bot, driver: Driver) -> None:
    """Measure both crosses and write the table."""
    for cross, codes in ((TYPED, ()), (SHELVED, ("B-4", "B-5"))):
        parts = Parts(bot.client.desk, cross, codes)
        odds, card = await parts.odds(), await parts.card()
        _say(f"\n/odds cross:{cross}\n")
        _row("", "p50 ms", "cpu ms", "÷ nothing")
        _row("odds alone", odds.p50, odds.processor)
        _row("card alone", card.p50, card.processor)
        _goal("odds + card, processor time", odds.processor + card.processor, 0.3, "ms")
        for in_flight in IN_FLIGHT:
            read = await parts.book_read(in_flight)
            idle, asked = await compared(driver, cross, in_flight)
            _say(f"{in_flight} in flight\n")
            _row("do nothing", idle.p50, idle.processor)
            _row("book read alone", read.p50, read.processor, read.p50 / idle.p50)
            _row("whole", asked.p50, asked.processor, asked.p50 / idle.p50)
            _goal("whole, against do nothing", asked.p50 / idle.p50, 4, "times")


async def starts(database: str, driver: Driver, where: dict[str, str]) -> None:
    """From the start of a process to the login, and of one that asks to its end."""
    settings = {"TOKEN": where["token"], "SERVICE": where["address"], "DATABASE": database, "LOG_LEVEL": "ERROR"}
    environment = clean_environment(**{f"MANCABOOK_{key}": value for key, value in settings.items()})
    logins, asks = [], []
    for _ in range(3):
        start = time.perf_counter()
        serving = await _mancabook("serve", environment=environment)
        await driver.ask(wait="ready")
        logins.append(time.perf_counter() - start)
        serving.send_signal(signal.SIGTERM)
        assert await serving.wait() == 0
        await driver.ask(wait="gone")
        start = time.perf_counter()
        asking = await _mancabook("ask", f"/odds cross:{TYPED}", environment=environment)
        assert await asking.wait() == 0
        asks.append(time.perf_counter() - start)
    _say(f"start to logged in {median(logins):.2f} s, `mancabook ask` {median(asks):.2f} s (medians of 3)\n")


async def _mancabook(*arguments: str, environment: dict[str, str]) -> Process:
    command = (sys.executable, "-m", "bot", *arguments)
    return await asyncio.create_subprocess_exec(*command, cwd=ROOT, env=environment, stdin=DEVNULL, stdout=DEVNULL)


async def main() -> None:
    """The bench, in less than a minute."""
    _say(f"{os.cpu_count()} processors, Python {sys.version.split()[0]}, discord.py {discord.__version__}, SQLite\n")
    with tempfile.TemporaryDirectory(prefix="mancabook-bench-") as folder:
        database = f"sqlite+aiosqlite:///{Path(folder) / 'book.db'}"
        await fill_with_society(database, MovableClocks())
        async with driver() as service:
            where = await service.hear()
            await starts(database, service, where)
            use_service(where["address"])
            async with assembled(database, SystemClocks(), timedelta(hours=1), new_service=True) as bot:
                bot.tree.add_command(nothing)
                leave = asyncio.Event()
                running = asyncio.create_task(run(bot, where["token"], leave, timedelta(seconds=5)))
                await service.ask(wait="ready")
                await measure(bot, service)
                leave.set()
                await running


def _row(name: str, *figures: float | str) -> None:
    shown = "".join(f"{f:>12}" if isinstance(f, str) else f"{f:>12.3f}" for f in figures)
    _say(f"  {name:<18}{shown}\n")


def _goal(name: str, reached: float, most: float, unit: str) -> None:
    _say(f"  {name}: {reached:.2f}, at most {most:g} {unit}: {'met' if reached <= most else 'NOT MET'}\n")


def _say(text: str) -> None:
    sys.stdout.write(text)
    sys.stdout.flush()


if __name__ == "__main__":
    asyncio.run(main())
