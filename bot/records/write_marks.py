"""What is written of how bins live."""

from collections.abc import Collection
from datetime import datetime
from fractions import Fraction
from typing import Any

from sqlalchemy import select

from bot.records import mark_tables as marks
from bot.records.kinds import HoldCause, MarkKind
from bot.records.writing import Writing


class MarkWriting(Writing):
    """The part of a book for writing that is about holds, quarantines, accidents, looks, backups, temperatures and litter."""

    async def add_mark(
        self,
        bin_id: int,
        kind: MarkKind,
        *,
        at: datetime | None = None,
        cause: HoldCause | None = None,
        until: datetime | None = None,
        note: str | None = None,
    ) -> int:
        """Mark a bin. `cause` belongs to a hold, `until` to a quarantine."""
        return await self._add(
            marks.bin_marks,
            bin_id=bin_id,
            kind=kind,
            cause=cause,
            at=at or self.stamp.now,
            until=until,
            keeper_id=self.stamp.actor,
            note_id=await self._text(note),
            ended_at=None,
            ended_by=None,
        )

    async def copy_marks(self, mark_ids: Collection[int], bin_id: int, *, notes: bool) -> None:
        """Mark another bin as these marks say, because animals of theirs went into it; with what was noted, if `notes`.

        A quarantine begins anew there, so that a look from before they came is none of it.
        """
        table = marks.bin_marks
        wanted = select(table).where(table.c.server_id == self.server, table.c.id.in_(sorted(mark_ids)))
        for row in (await self._connection.execute(wanted)).mappings().all():
            values = {name: value for name, value in row.items() if name not in ("server_id", "id")}
            began = self.stamp.now if row["kind"] is MarkKind.QUARANTINE else row["at"]
            note = row["note_id"] if notes else None
            await self._add(table, **{**values, "bin_id": bin_id, "at": began, "note_id": note})

    async def set_until(self, mark_id: int, until: datetime, note: str | None = None) -> None:
        """Change the day before which a quarantine does not end, and what is noted with it; no note leaves that as it is.

        Raises:
            Missing: this server has no such mark.
        """
        said: dict[str, Any] = {} if note is None else {"note_id": await self._text(note)}
        await self._change(marks.bin_marks, mark_id, until=until, **said)

    async def end_mark(self, mark_id: int) -> None:
        """Lift a hold or end a quarantine, now.

        Raises:
            Missing: this server has no such mark.
        """
        await self._change(marks.bin_marks, mark_id, ended_at=self.stamp.now, ended_by=self.stamp.actor)

    async def add_look(self, bin_id: int, *, clean: bool, at: datetime | None = None, note: str | None = None) -> int:
        """Record a look at a bin: clean, or something was seen."""
        return await self._add(
            marks.bin_looks,
            bin_id=bin_id,
            at=at or self.stamp.now,
            clean=clean,
            keeper_id=self.stamp.actor,
            note_id=await self._text(note),
        )

    async def add_backup(self, bin_id: int, of_bin_id: int) -> int:
        """Let a bin be the backup of another from now on."""
        return await self._add(
            marks.bin_backups, bin_id=bin_id, of_bin_id=of_bin_id, since=self.stamp.now, ended_at=None
        )

    async def end_backup(self, backup_id: int) -> None:
        """A bin is the backup of that other no more.

        Raises:
            Missing: this server has no such row.
        """
        await self._change(marks.bin_backups, backup_id, ended_at=self.stamp.now)

    async def add_temperature(self, bin_id: int, celsius: Fraction, at: datetime | None = None) -> int:
        """Record a temperature that was read in a bin, in °C."""
        return await self._add(
            marks.bin_temperatures,
            bin_id=bin_id,
            at=at or self.stamp.now,
            celsius=celsius,
            keeper_id=self.stamp.actor,
        )

    async def add_batch(self, name: str, *, source: str | None = None, treatment: str | None = None) -> int:
        """Name a batch of litter, with where it came from and what was done to it."""
        return await self._add(
            marks.litter_batches,
            name_id=await self.add_text(name),
            source_id=await self._text(source),
            treatment_id=await self._text(treatment),
            keeper_id=self.stamp.actor,
            added_at=self.stamp.now,
        )

    async def describe_batch(self, batch_id: int, *, source: str | None, treatment: str | None) -> None:
        """Say of a batch where it came from, or what was done to it; None leaves that as it is.

        Raises:
            Missing: this server has no such batch.
        """
        said: dict[str, Any] = {"source_id": await self._text(source), "treatment_id": await self._text(treatment)}
        await self._change(
            marks.litter_batches, batch_id, **{name: text for name, text in said.items() if text is not None}
        )

    async def add_litter(self, bin_id: int, batch_id: int, at: datetime | None = None) -> int:
        """Record that a bin got litter of a batch."""
        return await self._add(
            marks.bin_litters, bin_id=bin_id, batch_id=batch_id, at=at or self.stamp.now, keeper_id=self.stamp.actor
        )
