"""What a keeper writes of care: tasks, their due dates, answers, pauses and absences."""

from datetime import datetime

from bot.calendar import Cadence
from bot.records import tables
from bot.records.kinds import CareKind, CareScope, OccurrenceState
from bot.records.writing import Writing


class CareWriting(Writing):
    """The part of a writable book that is about care."""

    async def add_task(
        self,
        *,
        kind: CareKind,
        cadence: Cadence,
        channel_id: int,
        bin_id: int | None = None,
        shelf: str | None = None,
        text: str | None = None,
        keeper_id: int | None = None,
    ) -> int:
        """Ask a keeper, the actor if no other is named, for care in a room: of a bin, of their bins on a shelf, or of all.

        `text` are the actor's own words, for the kind OTHER and no other.
        """
        scope = CareScope.BIN if bin_id is not None else CareScope.ALL if shelf is None else CareScope.SHELF
        return await self._add(
            tables.care_tasks,
            scope=scope,
            bin_id=bin_id,
            shelf_id=await self._text(shelf),
            keeper_id=self.stamp.actor if keeper_id is None else keeper_id,
            kind=kind,
            text_id=await self._text(text),
            rhythm=cadence.rhythm,
            days=cadence.number,
            minute_of_day=cadence.minute,
            channel_id=channel_id,
            created_at=self.stamp.now,
            ended_at=None,
            paused_at=None,
            paused_until=None,
        )

    async def add_occurrence(self, task_id: int, bin_id: int, due_at: datetime, zone: str | None) -> int:
        """Write a due date of a task for a bin, waiting; `zone` is that whose wall clock made it, None if none did."""
        return await self._add(
            tables.occurrences,
            task_id=task_id,
            bin_id=bin_id,
            due_at=due_at,
            zone=zone,
            held_until=None,
            state=OccurrenceState.DUE,
            delivery_id=None,
            asked_at=None,
            done_at=None,
            done_by=None,
        )

    async def finish_occurrence(self, occurrence_id: int) -> None:
        """The actor did what was asked, now.

        Raises:
            Missing: this server has no such occurrence.
        """
        await self._change(
            tables.occurrences,
            occurrence_id,
            state=OccurrenceState.DONE,
            done_at=self.stamp.now,
            done_by=self.stamp.actor,
        )

    async def drop_occurrence(self, occurrence_id: int) -> None:
        """It is not asked for any more, and was not done.

        Raises:
            Missing: this server has no such occurrence.
        """
        await self._change(tables.occurrences, occurrence_id, state=OccurrenceState.DROPPED)

    async def put_off_occurrence(self, occurrence_id: int, due_at: datetime) -> None:
        """Ask again at another time, in another ping, wherever the keeper lives by then.

        Raises:
            Missing: this server has no such occurrence.
        """
        await self._change(
            tables.occurrences,
            occurrence_id,
            state=OccurrenceState.DUE,
            due_at=due_at,
            zone=None,
            held_until=None,
            delivery_id=None,
            asked_at=None,
        )

    async def move_occurrence(self, occurrence_id: int, due_at: datetime, zone: str) -> None:
        """Let a waiting due date fall at another time of this zone.

        Raises:
            Missing: this server has no such occurrence.
        """
        await self._change(tables.occurrences, occurrence_id, due_at=due_at, zone=zone, held_until=None)

    async def end_task(self, task_id: int) -> None:
        """Ask for this care no more, from now on; what waits of it or was asked and not answered is dropped.

        Raises:
            Missing: this server has no such task.
        """
        await self._change(tables.care_tasks, task_id, ended_at=self.stamp.now)
        for still in await self.open_occurrences(task_id):
            await self.drop_occurrence(still.id)

    async def pause_task(self, task_id: int, until: datetime | None) -> None:
        """Let a task rest from now on, until a time or until further notice.

        Raises:
            Missing: this server has no such task.
        """
        await self._change(tables.care_tasks, task_id, paused_at=self.stamp.now, paused_until=until)

    async def resume_task(self, task_id: int) -> None:
        """Let a resting task ask again from now on.

        Raises:
            Missing: this server has no such task.
        """
        await self._change(tables.care_tasks, task_id, paused_until=self.stamp.now)

    async def set_away(self, start: datetime | None, end: datetime | None) -> None:
        """The actor wants no ping from `start` until `end`; without them, the actor is here."""
        noted = ("away_from", "away_until")
        await self._change(tables.keepers, self.stamp.actor, noted, away_from=start, away_until=end)
