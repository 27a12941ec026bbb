"""The database's history: Alembic's revisions, and the one way to bring a database up to date."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, func, select
from sqlalchemy.ext.asyncio import AsyncEngine

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
    """
    async with writer.begin() as connection:
        await connection.run_sync(upgrade, revision)
