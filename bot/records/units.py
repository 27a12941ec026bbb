"""The two units of work on the colony book, and the process's one way to reach it."""

from collections.abc import AsyncIterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import datetime

from alembic.util import CommandError
from sqlalchemy import insert, update
from sqlalchemy.exc import DBAPIError

from bot.guard import unit_of_work
from bot.records.book import Book
from bot.records.care_selects import DELIVERY_HOME
from bot.records.dispatch import Dispatch
from bot.records.engines import Engines, make_engines
from bot.records.errors import BrokenReference, NotOpened
from bot.records.migrations import migrate
from bot.records.reading import NOBODY
from bot.records.rows import Stamp
from bot.records.selects import SERVERS, SYNCED_HASH
from bot.records.tables import applications
from bot.records.write_book import WriteBook, open_write_book


class Records:
    """The book of every server in one database. One per process; made by `open`."""

    def __init__(self, engines: Engines) -> None:
        self._engines = engines

    @classmethod
    async def open(cls, url: str, *, alone: bool = False) -> "Records":
        """Connect and bring the tables up to date; processes that do so at the same moment wait for each other.

        Args:
            url: `sqlite+aiosqlite:///file` or `postgresql+asyncpg://user@host/name`.
            alone: see `make_engines`.

        Raises:
            BadAddress: the address is of another kind.
            NotOpened: there is no database there, or it is none of ours, or a newer version's.
        """
        engines = make_engines(url, alone=alone)
        try:
            await migrate(engines.writer)
        except (DBAPIError, OSError, CommandError, BrokenReference) as error:
            await engines.close()
            reason = error.orig if isinstance(error, DBAPIError) else error
            raise NotOpened(engines.address, str(reason)) from error
        except BaseException:
            await engines.close()
            raise
        return cls(engines)

    async def close(self) -> None:
        """Close every connection."""
        await self._engines.close()

    @asynccontextmanager
    async def read(self, server: int, reader: int = NOBODY) -> AsyncIterator[Book]:
        """A server's book for reading, by one of its keepers: one snapshot, and no way to write."""
        with unit_of_work():
            async with self._engines.reader.connect() as connection:
                yield Book(server, connection, reader)

    def public(self, server: int) -> AbstractAsyncContextManager[Book]:
        """A server's book for reading, as far as everybody in it may know: for what is said to all of them."""
        return self.read(server, NOBODY)

    @asynccontextmanager
    async def write(self, stamp: Stamp) -> AsyncIterator[WriteBook]:
        """A server's book for writing: committed when the block ends well, undone when it raises.

        Writers of one server wait for each other. When `repeat` is set the request was done before.

        Raises:
            Unlogged: the block changed the book and wrote no event.
        """
        with unit_of_work():
            async with self._engines.writer.connect() as connection:
                book = await open_write_book(stamp, connection)
                yield book
                await book.finish()
                await connection.commit()

    async def servers(self) -> tuple[int, ...]:
        """Every server that has a book in this database."""
        with unit_of_work():
            async with self._engines.reader.connect() as connection:
                found = await connection.execute(SERVERS)
                return tuple(found.scalars())

    async def home_of_direct(self, channel_id: int, message_id: int, keeper_id: int) -> int | None:
        """The server of a ping that went to its keeper alone; None if that message is none, or is another keeper's."""
        asked = {"channel_id": channel_id, "message_id": message_id, "keeper_id": keeper_id}
        with unit_of_work():
            async with self._engines.reader.connect() as connection:
                found = await connection.execute(DELIVERY_HOME, asked)
                return found.scalar_one_or_none()

    async def synced_hash(self, application_id: int) -> str | None:
        """The fingerprint of the commands that the chat service was last told, by this application."""
        with unit_of_work():
            async with self._engines.reader.connect() as connection:
                found = await connection.execute(SYNCED_HASH, {"id": application_id})
                return found.scalar_one_or_none()

    async def set_synced_hash(self, application_id: int, commands_hash: str, at: datetime) -> None:
        """Remember what the chat service was told."""
        told = {"commands_hash": commands_hash, "synced_at": at}
        with unit_of_work():
            async with self._engines.writer.begin() as connection:
                changed = await connection.execute(
                    update(applications).where(applications.c.id == application_id).values(told)
                )
                if changed.rowcount == 0:
                    await connection.execute(insert(applications).values(id=application_id, **told))

    def dispatch(self) -> Dispatch:
        """The dispatcher's own statements, which look across servers."""
        return Dispatch(self._engines.writer)
