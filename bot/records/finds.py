"""What can be asked about the odd animals that were found in one server."""

from bot.records import find_selects as selects
from bot.records.find_rows import FindRow
from bot.records.reading import Reading


class FindReading(Reading):
    """Everything that can be asked about finds. Each method is one statement; what is in a bin of others' is not found."""

    async def finds(self) -> tuple[FindRow, ...]:
        """Every find, oldest first."""
        return tuple(FindRow(*row) for row in await self._all(selects.FINDS))

    async def finds_of(self, trait_id: int) -> tuple[FindRow, ...]:
        """The animals that were found to show a trait, oldest first."""
        return tuple(FindRow(*row) for row in await self._all(selects.FINDS_OF_TRAIT, trait_id=trait_id))

    async def finds_of_bin(self, bin_id: int) -> tuple[FindRow, ...]:
        """The animals that were found in a bin, oldest first."""
        return tuple(FindRow(*row) for row in await self._all(selects.FINDS_OF_BIN, bin_id=bin_id))

    async def latest_finds(self, limit: int) -> tuple[FindRow, ...]:
        """The latest finds, newest first."""
        return tuple(FindRow(*row) for row in await self._all(selects.LATEST_FINDS, limit=limit))

    async def finds_in(self, bin_id: int, limit: int) -> tuple[FindRow, ...]:
        """The latest animals that were found in a bin, newest first."""
        return tuple(FindRow(*row) for row in await self._all(selects.FINDS_IN, bin_id=bin_id, limit=limit))

    async def find(self, find_id: int) -> FindRow | None:
        """One find."""
        row = await self._one(selects.FIND, id=find_id)
        return None if row is None else FindRow(*row)

    async def find_numbered(self, number: int) -> FindRow | None:
        """The find with this number."""
        row = await self._one(selects.FIND_BY_NUMBER, number=number)
        return None if row is None else FindRow(*row)
