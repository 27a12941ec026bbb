"""A machine with the demo book for each test, on both engines."""

from collections.abc import AsyncIterator, Callable
from pathlib import Path

from pytest_asyncio import fixture as async_fixture

from bot.clocks import MovableClocks
from bot.practice.exchange import Exchange
from tests.support.chat import HOLLOW_LOG, fill_with_society
from tests.support.processes import Machine, machine_on


@async_fixture
async def machine(
    database_url: str, tmp_path: Path, recorder: Callable[[Exchange], None] | None
) -> AsyncIterator[Machine]:
    """A machine and the demo society, once per engine."""
    await fill_with_society(database_url, MovableClocks())
    async with machine_on(database_url, tmp_path, [HOLLOW_LOG], recorder) as made:
        yield made


@async_fixture
async def sqlite_machine(
    sqlite_url: str, tmp_path: Path, recorder: Callable[[Exchange], None] | None
) -> AsyncIterator[Machine]:
    """The same on SQLite alone, where the engine makes no difference to what is tested."""
    await fill_with_society(sqlite_url, MovableClocks())
    async with machine_on(sqlite_url, tmp_path, [HOLLOW_LOG], recorder) as made:
        yield made
