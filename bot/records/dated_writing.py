"""What is written of dated tasks: their days, which an event carries, and their due dates, which follow; and of the dead."""

from datetime import date

from bot.calendar import Cadence, Rhythm
from bot.records import care_tables, tables
from bot.records.care_writing import CareWriting
from bot.records.dated_dates import close_dates, follow_day
from bot.records.errors import Missing
from bot.records.kinds import CareKind, OccurrenceState
from bot.records.rows import Subject


class DatedWriting(CareWriting):
    """The part of a writable book that is about dated tasks, and about animals found dead."""

    async def add_dated(
        self, *, kind: CareKind, bin_id: int, keeper_id: int, channel_id: int, about: Subject, day: date, minute: int
    ) -> int:
        """Ask a keeper once, on a day at this minute of it, for what a thing of the book wants; returns the care task's id.

        Raises:
            ValueError: the kind is not a dated one.
        """
        if not kind.dated:
            raise ValueError(f"{kind} is set by a keeper and not by a day of the book")
        single = Cadence(Rhythm.ONCE, (), minute)
        task = await self.add_task(bin_id=bin_id, kind=kind, cadence=single, channel_id=channel_id, keeper_id=keeper_id)
        await self._add(care_tables.dated_tasks, task_id=task, day=day, about_kind=about.kind, about_id=about.id)
        await follow_day(self._connection, self.server, task, moved=True, new_id=self._take_id)
        return task

    async def move_dated(self, task_id: int, day: date) -> None:
        """Let a dated task be due on another day; the old one is not asked for any more.

        Raises:
            Missing: this server has no such dated task.
        """
        row = await self.dated_task(task_id)
        if row is None:
            raise Missing(care_tables.dated_tasks.name, task_id)
        if row.day != day:
            await self._change(care_tables.dated_tasks, row.id, day=day)
            await follow_day(self._connection, self.server, task_id, moved=True, new_id=self._take_id)

    async def end_dated(self, task_id: int, *, done: bool) -> None:
        """A dated task is over: the actor did what it asks, now, or it is not wanted any more.

        Raises:
            Missing: this server has no such task.
        """
        await self._change(tables.care_tasks, task_id, ("ended_at", "bin_id"), ended_at=self.stamp.now)
        became = OccurrenceState.DONE if done else OccurrenceState.DROPPED
        by = {"done_at": self.stamp.now, "done_by": self.stamp.actor} if done else {}
        await close_dates(self._connection, self.server, task_id, state=became, **by)

    async def add_death(self, bin_id: int, number: int = 1, note: str | None = None) -> int:
        """The actor found animals dead in a bin, now: so many, at least 1."""
        return await self._add(
            care_tables.deaths,
            bin_id=bin_id,
            at=self.stamp.now,
            keeper_id=self.stamp.actor,
            number=number,
            note_id=await self._text(note),
        )

    async def tell_death(self, death_id: int, number: int, note: str | None) -> None:
        """Say how many they were and what was seen of them.

        Raises:
            Missing: this server has no such note.
        """
        await self._change(care_tables.deaths, death_id, number=number, note_id=await self._text(note))
