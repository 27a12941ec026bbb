"""What can be asked about how bins live in one server's book."""

from collections.abc import Collection

from bot.records import mark_selects as selects
from bot.records.mark_rows import BackupRow, BatchRow, HandledRow, LitterRow, LookRow, MarkRow, TemperatureRow
from bot.records.reading import Reading


class MarkReading(Reading):
    """Each method is one statement. What is said of a bin that the reader may not read is not found."""

    async def marks_of(self, bin_ids: Collection[int]) -> tuple[MarkRow, ...]:
        """Everything these bins were ever marked with, the earliest first. Without bins nothing is asked."""
        if not bin_ids:
            return ()
        return tuple(MarkRow(*row) for row in await self._all(selects.MARKS_OF, bin_ids=sorted(bin_ids)))

    async def mark(self, mark_id: int) -> MarkRow | None:
        """One mark."""
        row = await self._one(selects.MARK, id=mark_id)
        return None if row is None else MarkRow(*row)

    async def holding(self) -> tuple[MarkRow, ...]:
        """Every hold and quarantine of the server that has not ended."""
        return tuple(MarkRow(*row) for row in await self._all(selects.HOLDING))

    async def accidents(self) -> tuple[MarkRow, ...]:
        """Every stray animal and open lid of the server, the earliest first."""
        return tuple(MarkRow(*row) for row in await self._all(selects.ACCIDENTS))

    async def looks_at(self, bin_id: int, limit: int) -> tuple[LookRow, ...]:
        """The latest looks at a bin, the newest first."""
        return tuple(LookRow(*row) for row in await self._all(selects.LOOKS_AT, bin_id=bin_id, limit=limit))

    async def backups(self, bin_id: int) -> tuple[BackupRow, ...]:
        """Which bins a bin is the backup of now, and which are its backups; a bin the reader may not read has no code."""
        return tuple(BackupRow(*row) for row in await self._all(selects.BACKUPS, bin_id=bin_id))

    async def temperatures_of(self, bin_id: int, limit: int) -> tuple[TemperatureRow, ...]:
        """The latest temperatures of a bin, the newest first."""
        found = await self._all(selects.TEMPERATURES_OF, bin_id=bin_id, limit=limit)
        return tuple(TemperatureRow(*row) for row in found)

    async def handled(self, bin_id: int) -> tuple[HandledRow, ...]:
        """The pairings for which a bin was opened up, the earliest first."""
        return tuple(HandledRow(*row) for row in await self._all(selects.HANDLED, bin_id=bin_id))

    async def batches(self) -> tuple[BatchRow, ...]:
        """The batches of litter that the reader may know of, the newest first."""
        return tuple(BatchRow(*row) for row in await self._all(selects.BATCHES))

    async def litters_of(self, bin_id: int, limit: int) -> tuple[LitterRow, ...]:
        """What litter a bin got, the latest first."""
        return tuple(LitterRow(*row) for row in await self._all(selects.LITTERS_OF, bin_id=bin_id, limit=limit))

    async def litters_from(self, batch_id: int) -> tuple[LitterRow, ...]:
        """Which bins got litter of a batch, the latest first."""
        return tuple(LitterRow(*row) for row in await self._all(selects.LITTERS_FROM, batch_id=batch_id))
