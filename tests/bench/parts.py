"""The parts of an `/odds`, each alone, in the process of the bot."""

import asyncio
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Collection
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from statistics import median
from typing import Any, cast

from bot.cards import render
from bot.cards.odds import odds_card
from bot.records import Heredity, Holding, Records
from bot.services.desk import Desk
from bot.services.odds import odds_of
from bot.services.request import Request
from tests.support.chat import BINS, HOLLOW_LOG, WREN

REPEATS = 600


@dataclass(frozen=True, slots=True)
class Cost:
    """What one call costs, in milliseconds: the median of its duration, and processor time of this whole process."""

    p50: float
    processor: float


@dataclass(frozen=True, slots=True)
class Prepared:
    """A book whose rows were read before: what is left of a service when reading costs nothing."""

    known: Heredity
    held: tuple[Holding, ...]

    @asynccontextmanager
    async def read(self, server: int, reader: int | None = None) -> AsyncIterator["Prepared"]:
        yield self

    async def heredity(self) -> Heredity:
        return self.known

    async def holdings(self, codes: Collection[str]) -> tuple[Holding, ...]:
        return self.held


async def cost(work: Callable[[], Awaitable[object]], in_flight: int = 1) -> Cost:
    """What `work` costs when it is done over and over, `in_flight` at once."""
    times: list[float] = []

    async def repeat(count: int) -> None:
        for _ in range(count):
            start = time.perf_counter()
            await work()
            times.append(time.perf_counter() - start)

    await repeat(20)
    times.clear()
    before = time.process_time()
    await asyncio.gather(*(repeat(REPEATS // in_flight) for _ in range(in_flight)))
    return Cost(median(times) * 1000, (time.process_time() - before) / len(times) * 1000)


class Parts:
    """The parts of the answer to one cross, on one book."""

    def __init__(self, desk: Desk, cross: str, codes: tuple[str, ...]) -> None:
        self._desk = desk
        self._cross = cross
        self._codes = codes
        self._request = Request(
            server=HOLLOW_LOG.id,
            actor=WREN.id,
            actor_name=WREN.name,
            request_id=1 << 60,
            now=datetime.now(UTC),
            channel=BINS.id,
        )

    async def read(self) -> tuple[Heredity, tuple[Holding, ...]]:
        """What the service reads of the book, in one unit."""
        async with self._desk.records.read(HOLLOW_LOG.id, WREN.id) as book:
            return await book.heredity(), await book.holdings(self._codes)

    async def book_read(self, in_flight: int) -> Cost:
        """The book alone."""
        return await cost(self.read, in_flight)

    async def odds(self) -> Cost:
        """The service with the rows at hand: from the typed cross to the numbers."""
        desk = Desk(cast(Records, Prepared(*await self.read())), self._desk.species)
        return await cost(lambda: odds_of(desk, self._request, self._cross))

    async def card(self) -> Cost:
        """From the numbers to what is sent."""
        odds = await odds_of(self._desk, self._request, self._cross)

        async def say() -> object:
            view: Any = render.layout(odds_card(odds))
            return view.to_components()

        return await cost(say)
