"""A running chat for each test, on both engines."""

from collections.abc import AsyncIterator, Callable

from pytest_asyncio import fixture as async_fixture

from bot.practice.exchange import Exchange
from tests.support.chat import Chat, chat_on


@async_fixture
async def chat(database_url: str, recorder: Callable[[Exchange], None] | None) -> AsyncIterator[Chat]:
    """The bot and the demo society, once per engine. Whatever the bot sends must fit what the service takes."""
    async with chat_on(database_url, recorder) as running:
        yield running
    assert set(running.refused()) <= running.expected


@async_fixture
async def sqlite_chat(sqlite_url: str, recorder: Callable[[Exchange], None] | None) -> AsyncIterator[Chat]:
    """The same on SQLite alone, where the engine makes no difference to what is tested."""
    async with chat_on(sqlite_url, recorder) as running:
        yield running
    assert set(running.refused()) <= running.expected
