"""What can be asked about photos in one server's book."""

from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import Row

from bot.discretion import say_private
from bot.records import photo_selects as selects
from bot.records.kinds import Privacy
from bot.records.photo_rows import PhotoRow
from bot.records.reading import Reading


class PhotoReading(Reading):
    """Each method is one statement. A photo of a bin that the reader may not read is not found, nor one whose bytes are gone."""

    async def photo(self, photo_id: int) -> PhotoRow | None:
        """One photo, removed or not."""
        row = await self._one(selects.PHOTO, id=photo_id)
        return None if row is None else _photos([row])[0]

    async def photos(self, photo_ids: Collection[int]) -> tuple[PhotoRow, ...]:
        """Those of these photos that were not removed, the newest first. Without ids nothing is asked."""
        return _photos(await self._all(selects.PHOTOS, ids=sorted(photo_ids))) if photo_ids else ()

    async def photos_of_bin(self, bin_id: int) -> tuple[PhotoRow, ...]:
        """The photos of a bin, those of finds in it as well, the newest first."""
        return _photos(await self._all(selects.PHOTOS_OF_BIN, id=bin_id))

    async def photos_of_find(self, find_id: int) -> tuple[PhotoRow, ...]:
        """The photos of an animal that was found, the newest first."""
        return _photos(await self._all(selects.PHOTOS_OF_FIND, id=find_id))

    async def photos_of_trait(self, trait_id: int) -> tuple[PhotoRow, ...]:
        """The photos that are kept for a trait, the newest first."""
        return _photos(await self._all(selects.PHOTOS_OF_TRAIT, id=trait_id))

    async def photos_alike(self, sha256: str) -> tuple[PhotoRow, ...]:
        """The photos whose bytes have this hash."""
        return _photos(await self._all(selects.PHOTOS_ALIKE, sha256=sha256))

    async def photo_bodies(self, photo_ids: Collection[int]) -> dict[int, bytes]:
        """The bytes of these photos, by id. Without ids nothing is asked."""
        if not photo_ids:
            return {}
        return {row[0]: bytes(row[1]) for row in await self._all(selects.BODIES, ids=sorted(photo_ids))}


def _photos(found: Iterable[Row[*tuple[Any, ...]]]) -> tuple[PhotoRow, ...]:
    """Photos; what is shown of a private bin is for its keepers alone."""
    rows = tuple(PhotoRow(*row) for row in found)
    if any(row.privacy is Privacy.BIN for row in rows):
        say_private()
    return rows
