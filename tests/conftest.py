"""What tests of every folder share: databases on both engines, and the watch over every statement."""

import os
import shutil
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from pytest_asyncio import fixture as async_fixture

from bot.records import Records
from tests.support.postgres import VARIABLE, PostgresServer, is_at_hand, running_server
from tests.support.statements import Watch
from tests.support.wire import Recording

ENGINES = ("sqlite", "postgres") if is_at_hand() else ("sqlite",)
"""The engines of this run. Without a PostgreSQL its tests do not exist, which CI does not accept."""


def pytest_configure() -> None:
    """Let property tests take their time, and refuse a CI run on one engine."""
    # How fast a busy machine draws and checks an example says nothing of the code: speed is measured in tests/bench.
    settings.register_profile("mancabook", deadline=None, suppress_health_check=[HealthCheck.too_slow])
    settings.load_profile("mancabook")
    if os.environ.get("CI") == "true" and "postgres" not in ENGINES:
        raise pytest.UsageError(f"CI tests both engines: install PostgreSQL's server or set {VARIABLE}")


@pytest.fixture(scope="session", autouse=True)
def watch() -> Iterator[Watch]:
    """The watch, over the whole run."""
    with Watch().installed() as watch:
        yield watch


@pytest.fixture(autouse=True)
def _nothing_refused(watch: Watch) -> Iterator[None]:
    """A refused statement fails its test even if somebody caught the exception."""
    yield
    refused = list(watch.refused)
    watch.refused.clear()
    assert not refused


@pytest.fixture
def statements(watch: Watch) -> Callable[[], AbstractContextManager[list[str]]]:
    """`with statements() as seen:` leaves in `seen` the SQL executed in the block, but for BEGIN."""
    return watch.record


@async_fixture(scope="session")
async def postgres_server() -> AsyncIterator[PostgresServer]:
    """One server for the run."""
    with running_server() as address:
        server = await PostgresServer.connect(address)
        yield server
        await server.close()


@async_fixture(scope="session")
async def migrated_postgres(postgres_server: PostgresServer) -> AsyncIterator[str]:
    """An up-to-date database without rows, to be copied."""
    address = await postgres_server.create()
    await (await Records.open(address)).close()
    yield address
    await postgres_server.drop(address)


@async_fixture(scope="session")
async def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An up-to-date database file without rows, to be copied."""
    file = tmp_path_factory.mktemp("migrated") / "book.db"
    await (await Records.open(sqlite_address(file))).close()
    return file


def sqlite_address(file: Path) -> str:
    """The address of a database file."""
    return f"sqlite+aiosqlite:///{file}"


@pytest.fixture
def sqlite_url(migrated_sqlite: Path, tmp_path: Path) -> str:
    """A fresh up-to-date SQLite database."""
    file = tmp_path / "book.db"
    shutil.copy(migrated_sqlite, file)
    return sqlite_address(file)


@async_fixture
async def postgres_url(postgres_server: PostgresServer, migrated_postgres: str) -> AsyncIterator[str]:
    """A fresh up-to-date PostgreSQL database. Asked for by name only where no SQLite could do."""
    address = await postgres_server.create(template=migrated_postgres)
    yield address
    await postgres_server.drop(address)


@async_fixture
async def empty_postgres_url(postgres_server: PostgresServer) -> AsyncIterator[str]:
    """A PostgreSQL database without a table."""
    address = await postgres_server.create()
    yield address
    await postgres_server.drop(address)


@pytest.fixture(params=ENGINES)
def database_url(request: pytest.FixtureRequest) -> str:
    """A fresh up-to-date database, once per engine."""
    url: str = request.getfixturevalue(f"{request.param}_url")
    return url


@pytest.fixture(params=ENGINES)
def empty_database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A database without a table, once per engine."""
    if request.param == "sqlite":
        return sqlite_address(tmp_path / "empty.db")
    url: str = request.getfixturevalue("empty_postgres_url")
    return url


@async_fixture
async def records(database_url: str) -> AsyncIterator[Records]:
    """The book on a fresh database, once per engine."""
    records = await Records.open(database_url)
    yield records
    await records.close()


@async_fixture
async def sqlite_records(sqlite_url: str) -> AsyncIterator[Records]:
    """The book on a fresh SQLite database, where one engine is enough."""
    records = await Records.open(sqlite_url)
    yield records
    await records.close()


@pytest.fixture(scope="session")
def recorder() -> Iterator[Recording | None]:
    """Where the bot's requests are written for the contract check, if `MANCABOOK_RECORD` names a file."""
    named = os.environ.get("MANCABOOK_RECORD")
    if not named:
        yield None
        return
    recording = Recording(Path(named))
    yield recording
    recording.close()
