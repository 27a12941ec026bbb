"""The database's history: Alembic's revisions, and the one way to bring a database up to date."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, func, select
from sqlalchemy.ext.asyncio import AsyncEngine

from bot.records.errors import BrokenReference

HERE = Path(__file__).parent

_LOCK = 0x6D616E6361
"""The advisory lock of PostgreSQL that migrations hold; any fixed number of our own will do."""


def config_for(connection: Connection) -> Config:
    """Alembic's configuration for this connection, made without a file so that nobody's logging is set up."""
    config = Config()
    # Config reads % as the start of a substitution.
    config.set_main_option("script_location", str(HERE).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def upgrade(connection: Connection, revision: str = "head") -> None:
    """Bring the database to a revision within the connection's transaction, alone."""
    if connection.dialect.name == "postgresql":
        connection.execute(select(func.pg_advisory_xact_lock(_LOCK)))
    command.upgrade(config_for(connection), revision)


async def migrate(writer: AsyncEngine, revision: str = "head") -> None:
    """Bring a database to a revision: whole or not at all, and one process at a time.

    On SQLite the writer's `BEGIN IMMEDIATE` is the lock.

    Raises:
        BrokenReference: a revision left a row that points to nothing; everything is as it was.
    """
    async with writer.connect() as connection:
        await connection.run_sync(_migrate, revision)


def _migrate(connection: Connection, revision: str) -> None:
    with _references_unwatched(connection), connection.begin():
        upgrade(connection, revision)
        _require_references(connection)


@contextmanager
def _references_unwatched(connection: Connection) -> Iterator[None]:
    """Let SQLite rebuild a table that others refer to, which it refuses while it watches references.

    Its own documentation says so of a change of a table: the watch is switched off before the transaction, and every
    reference is checked before it ends.
    """
    if connection.dialect.name != "sqlite":
        yield
        return
    _set_watch(connection, "OFF")
    try:
        yield
    finally:
        _set_watch(connection, "ON")


def _set_watch(connection: Connection, on_or_off: str) -> None:
    # On the driver's own connection: a statement of SQLAlchemy would begin the transaction, in which this does nothing.
    cursor = connection.connection.cursor()
    cursor.execute(f"PRAGMA foreign_keys = {on_or_off}")
    cursor.close()


def _require_references(connection: Connection) -> None:
    if connection.dialect.name == "sqlite":
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if broken is not None:
            raise BrokenReference(str(broken[0]), str(broken[2]))
