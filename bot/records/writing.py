"""What every writer of a server's book needs: row images noted for each change, one event that carries them, the counters."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Table, delete, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records import bin_tables, breeding_tables, event_selects, tables
from bot.records.book import Book
from bot.records.errors import AlreadyLogged, Missing, Repeated, Unlogged
from bot.records.journal import VERSION, Journal, Values, bins_of, key_of
from bot.records.rows import EventRow, Stamp, Subject
from bot.records.undo import take_back


@dataclass(slots=True)
class Counters:
    """The server row's counters, held by the one unit that holds the row."""

    next_id: int
    next_event: int
    next_bin: int
    next_pairing: int
    bin_prefix: str


class Writing(Book):
    """A book that can be written, within one request.

    Attributes:
        stamp: who writes, when, on which request.
        repeat: the event this very request left before; then nothing may be written, and leaving is fine.
    """

    def __init__(self, stamp: Stamp, connection: AsyncConnection, counters: Counters, repeat: EventRow | None) -> None:
        super().__init__(stamp.server, connection, stamp.actor)
        self.stamp = stamp
        self.repeat = repeat
        self._counters = counters
        self._journal = Journal()
        self._unlogged: set[str] = set()
        self._logged: EventRow | None = None

    async def add_text(self, body: str) -> int:
        """Keep a text of the actor's. Texts are never changed; another wording is another text."""
        self._touch(tables.texts)
        text_id = self._take_id()
        await self._put(tables.texts, id=text_id, author_id=self.stamp.actor, body=body, at=self.stamp.now)
        return text_id

    # What is owed for a change.

    async def log(self, kind: str, subject: Subject) -> EventRow:
        """Write the event of this request from everything changed so far.

        Raises:
            AlreadyLogged: a request has one event.
            Repeated: this request has had its event before.
        """
        self._refuse_repeat()
        before, after = self._journal.documents()
        event = EventRow(
            seq=self._counters.next_event,
            at=self.stamp.now,
            actor_id=self.stamp.actor,
            request_id=self.stamp.request_id,
            kind=kind,
            subject=subject,
            before=before,
            after=after,
            version=VERSION,
        )
        self._counters.next_event += 1
        await self._put(
            tables.events,
            seq=event.seq,
            at=event.at,
            actor_id=event.actor_id,
            request_id=event.request_id,
            kind=event.kind,
            subject_kind=subject.kind,
            subject_id=subject.id,
            before=before,
            after=after,
            version=event.version,
        )
        for bin_id in sorted(await self._bins_touched()):
            await self._put(bin_tables.event_bins, id=self._take_id(), seq=event.seq, bin_id=bin_id)
        self._logged = event
        self._unlogged.clear()
        return event

    async def undo(self, event: EventRow) -> EventRow:
        """Take an event back and log that as an event of its own, whose subject is the event undone.

        A refusal leaves everything as it was.

        Raises:
            NotUndone: see `bot.records.errors`.
        """
        self._refuse_repeat()
        await take_back(self._connection, self.server, event, self._journal, self._take_id)
        self._unlogged |= self._journal.tables
        return await self.log(event_selects.UNDO, Subject(event_selects.EVENT, event.seq))

    # The machinery.

    async def _bins_touched(self) -> set[int]:
        """The bins that the changes so far are about; what names only a task, or a brood, is about the bin of that."""
        found, tasks, broods = bins_of(self._journal)
        for table, ids in ((tables.care_tasks, tasks), (breeding_tables.broods, broods)):
            if ids:
                asked = await self._connection.execute(
                    select(table.c.bin_id).where(table.c.server_id == self.server, table.c.id.in_(sorted(ids)))
                )
                found |= {bin_id for bin_id in asked.scalars() if bin_id is not None}
        return found

    def _refuse_repeat(self) -> None:
        if self.repeat is not None:
            raise Repeated(self.repeat.seq)
        if self._logged is not None:
            raise AlreadyLogged(self._logged.seq)

    def _touch(self, table: Table) -> None:
        """Announce a change: it must be allowed, and an event is owed for it."""
        self._refuse_repeat()
        self._unlogged.add(table.name)

    def _take_id(self) -> int:
        taken = self._counters.next_id
        self._counters.next_id += 1
        return taken

    async def _text(self, body: str | None) -> int | None:
        return None if body is None else await self.add_text(body)

    async def _put(self, table: Table, **values: Any) -> None:
        await self._connection.execute(insert(table), {"server_id": self.server, **values})

    async def _add(self, table: Table, **values: Any) -> int:
        self._touch(table)
        row_id = self._take_id()
        await self._put(table, id=row_id, **values)
        self._journal.note(table, row_id, None, values)
        return row_id

    async def _change(self, table: Table, row_id: int, noted: Collection[str] | None = None, **changes: Any) -> None:
        """Change a row. With `noted` the event says of these columns alone, and others may change without hindering an undo.

        Raises:
            Missing: this server has no such row.
        """
        self._refuse_repeat()
        here = (table.c.server_id == self.server, key_of(table) == row_id)
        # Nobody comes in between: whoever writes rows of a server holds the server's row.
        found = (await self._connection.execute(select(table).where(*here))).mappings().first()
        if found is None:
            raise Missing(table.name, row_id)
        self._touch(table)
        before: Values = {name: value for name, value in found.items() if noted is None or name in noted}
        await self._connection.execute(update(table).where(*here).values(changes))
        self._journal.note(table, row_id, before, {**before, **{n: v for n, v in changes.items() if n in before}})

    async def _remove(self, table: Table, row_id: int) -> None:
        """Take a row away.

        Raises:
            Missing: this server has no such row.
        """
        here = (table.c.server_id == self.server, key_of(table) == row_id)
        found = (await self._connection.execute(select(table).where(*here))).mappings().first()
        if found is None:
            raise Missing(table.name, row_id)
        self._touch(table)
        await self._connection.execute(delete(table).where(*here))
        self._journal.note(table, row_id, dict(found), None)

    async def finish(self) -> None:
        """Write the counters back; called once, by the unit of work, before it commits.

        Raises:
            Unlogged: something changed and no event says so.
        """
        if self._unlogged:
            raise Unlogged(frozenset(self._unlogged))
        counters = self._counters
        await self._connection.execute(
            update(tables.servers)
            .where(tables.servers.c.server_id == self.server)
            .values(
                next_id=counters.next_id,
                next_event=counters.next_event,
                next_bin=counters.next_bin,
                next_pairing=counters.next_pairing,
            )
        )
