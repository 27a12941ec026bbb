"""A running chat for each test, on both engines. The demo society is written once and copied."""

import shutil
from collections.abc import AsyncIterator, Callable
from datetime import datetime
from pathlib import Path

import pytest
from pytest_asyncio import fixture as async_fixture

import bot.chat.answer
from bot.practice.exchange import Exchange
from tests.conftest import ENGINES, sqlite_address
from tests.support.chat import Chat, chat_on, clocks_at, fill_with_society, some_thursday
from tests.support.postgres import PostgresServer


@pytest.fixture(autouse=True)
def answered_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """No answer shows first how far it is, however loaded the machine; a test of that says otherwise."""
    monkeypatch.setattr(bot.chat.answer, "STILL", 60.0)


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Answers are promised after a twentieth of a second, so that slow work need not be slow here."""
    monkeypatch.setattr(bot.chat.answer, "SOON", 0.05)


@pytest.fixture(scope="session")
def thursday() -> datetime:
    """The keepers' time at which every test begins."""
    return some_thursday()


@async_fixture(scope="session")
async def society_file(migrated_sqlite: Path, tmp_path_factory: pytest.TempPathFactory, thursday: datetime) -> Path:
    """A database file with the society in it, to be copied."""
    file = tmp_path_factory.mktemp("society") / "book.db"
    shutil.copy(migrated_sqlite, file)
    await fill_with_society(sqlite_address(file), clocks_at(thursday))
    return file


@async_fixture(scope="session")
async def society_template(
    postgres_server: PostgresServer, migrated_postgres: str, thursday: datetime
) -> AsyncIterator[str]:
    """A PostgreSQL database with the society in it, to be copied."""
    address = await postgres_server.create(template=migrated_postgres)
    await fill_with_society(address, clocks_at(thursday))
    yield address
    await postgres_server.drop(address)


@pytest.fixture
def society_sqlite(society_file: Path, tmp_path: Path) -> str:
    """A fresh SQLite database with the society in it."""
    file = tmp_path / "society.db"
    shutil.copy(society_file, file)
    return sqlite_address(file)


@async_fixture
async def society_postgres(postgres_server: PostgresServer, society_template: str) -> AsyncIterator[str]:
    """A fresh PostgreSQL database with the society in it."""
    address = await postgres_server.create(template=society_template)
    yield address
    await postgres_server.drop(address)


@pytest.fixture(params=ENGINES)
def society_url(request: pytest.FixtureRequest) -> str:
    """A fresh database with the society in it, once per engine."""
    url: str = request.getfixturevalue(f"society_{request.param}")
    return url


@async_fixture
async def chat(
    society_url: str, thursday: datetime, recorder: Callable[[Exchange], None] | None
) -> AsyncIterator[Chat]:
    """The bot and the demo society, once per engine. Whatever the bot sends must fit what the service takes."""
    async with chat_on(society_url, thursday, recorder) as running:
        yield running
    assert set(running.refused()) <= running.expected


@async_fixture
async def sqlite_chat(
    society_sqlite: str, thursday: datetime, recorder: Callable[[Exchange], None] | None
) -> AsyncIterator[Chat]:
    """The same on SQLite alone, where the engine makes no difference to what is tested."""
    async with chat_on(society_sqlite, thursday, recorder) as running:
        yield running
    assert set(running.refused()) <= running.expected
