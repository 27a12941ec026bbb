"""One reader and one writer engine for a database, SQLite or PostgreSQL.

SQLite needs care: its driver would open transactions by itself and too late, so that two read-modify-writes lose one of
the updates in silence. Here the driver is told to open none, and every transaction says `BEGIN` (readers) or
`BEGIN IMMEDIATE` (writers) for itself.
"""

from dataclasses import dataclass
from functools import partial
from importlib.util import find_spec
from typing import Any

from sqlalchemy import URL, Connection, event, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.ext.asyncio import AsyncEngine, create_async_engine

from bot.records.errors import BadAddress
from bot.records.one_trip import connect

SQLITE = "sqlite+aiosqlite"
POSTGRES = "postgresql+asyncpg"

BUSY_MS = 10_000
"""How long a SQLite connection waits for another's lock, in milliseconds."""

READERS = 4
"""Reader connections kept open."""

WRITERS = 4
"""Writer connections kept open on PostgreSQL. SQLite has one write lock, so one writer; others queue in the process."""


@dataclass(frozen=True, slots=True)
class Engines:
    """The two engines of one database. The reader cannot write."""

    reader: AsyncEngine
    writer: AsyncEngine

    @property
    def address(self) -> str:
        """The database's address without its password."""
        return self.writer.url.render_as_string()

    async def close(self) -> None:
        """Close every connection."""
        await self.reader.dispose()
        await self.writer.dispose()


def make_engines(address: str, *, alone: bool = False) -> Engines:
    """Build the engines; nothing connects yet.

    Args:
        address: `sqlite+aiosqlite:///file` or `postgresql+asyncpg://user@host/name`.
        alone: a SQLite file is being made and is nobody's yet: it is written fast, and is safe on the disk when the
            engines are closed.

    Raises:
        BadAddress: no address, another driver, or one of SQLite without a file (two engines could not share its memory).
    """
    try:
        url = make_url(address)
    except ArgumentError as error:
        # Not repeated in words: an address that cannot be read may hide a password anywhere.
        raise BadAddress("(unreadable)", f"not of the form {SQLITE}:///file or {POSTGRES}://user@host/name") from error
    if url.drivername == SQLITE:
        if not url.database or url.database == ":memory:":
            raise BadAddress(url.render_as_string(), "a file is needed")
        return Engines(_sqlite(url, writes=False, alone=alone), _sqlite(url, writes=True, alone=alone))
    if url.drivername == POSTGRES:
        if find_spec("asyncpg") is None:
            raise BadAddress(url.render_as_string(), "for PostgreSQL install mancabook[postgres]")
        return Engines(_postgres(url, writes=False), _postgres(url, writes=True))
    raise BadAddress(url.render_as_string(), f"expected {SQLITE} or {POSTGRES}")


def _sqlite(url: URL, *, writes: bool, alone: bool) -> AsyncEngine:
    (path,), options = url.get_dialect()().create_connect_args(url)
    engine = create_async_engine(
        url,
        pool_size=1 if writes else READERS,
        max_overflow=0,
        async_creator=partial(connect, path, dict(options), at_once=alone),
    )
    begin = "BEGIN IMMEDIATE" if writes else "BEGIN"

    def set_up(connection: Any, _record: object) -> None:
        connection.isolation_level = None
        cursor = connection.cursor()
        # The wait comes first: switching a fresh file to WAL needs a lock that another process may hold.
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute(f"PRAGMA synchronous = {'OFF' if alone else 'FULL'}")
        cursor.execute("PRAGMA foreign_keys = ON")
        if not writes:
            cursor.execute("PRAGMA query_only = ON")
        cursor.close()

    def say_begin(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    def make_safe(connection: Any, _record: object) -> None:
        cursor = connection.cursor()
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.close()

    if alone and writes:
        event.listen(engine.sync_engine, "close", make_safe)
    event.listen(engine.sync_engine, "connect", set_up)
    event.listen(engine.sync_engine, "begin", say_begin)
    return engine


def _postgres(url: URL, *, writes: bool) -> AsyncEngine:
    if writes:
        return create_async_engine(url, pool_size=WRITERS)
    # One snapshot for all statements of a read unit, as SQLite gives.
    return create_async_engine(
        url,
        pool_size=READERS,
        isolation_level="REPEATABLE READ",
        connect_args={"server_settings": {"default_transaction_read_only": "on"}},
    )
