"""What can be asked about scoring guides, and about photos that are scored blind, in one server's book."""

from dataclasses import replace

from bot.records import guide_selects as selects
from bot.records.guide_rows import BlindAnswerRow, BlindPhotoRow, BlindSetRow, GuidePhotoRow, GuideRow
from bot.records.reading import Reading


class GuideReading(Reading):
    """What is scored blind, and how, is the whole server's; which of its photos a reader sees is asked of the photos."""

    async def guide_of(self, trait_id: int) -> GuideRow | None:
        """The guide of a trait that holds, in two statements; None where none was made."""
        row = await self._one(selects.LATEST_GUIDE, trait_id=trait_id)
        return None if row is None else replace(GuideRow(*row), photos=await self._guide_photos(row[0]))

    async def guide(self, guide_id: int) -> GuideRow | None:
        """One version of a guide, in two statements."""
        row = await self._one(selects.GUIDE, id=guide_id)
        return None if row is None else replace(GuideRow(*row), photos=await self._guide_photos(row[0]))

    async def _guide_photos(self, guide_id: int) -> tuple[GuidePhotoRow, ...]:
        return tuple(GuidePhotoRow(*row) for row in await self._all(selects.GUIDE_PHOTOS, guide_id=guide_id))

    async def blind_set(self, set_id: int) -> BlindSetRow | None:
        """One set of photos."""
        row = await self._one(selects.BLIND_SET, id=set_id)
        return None if row is None else BlindSetRow(*row)

    async def blind_sets(self, trait_id: int) -> tuple[BlindSetRow, ...]:
        """The sets that were put together for a trait, the newest first."""
        return tuple(BlindSetRow(*row) for row in await self._all(selects.BLIND_SETS, trait_id=trait_id))

    async def blind_photos(self, set_id: int) -> tuple[BlindPhotoRow, ...]:
        """The photos of a set in their order."""
        return tuple(BlindPhotoRow(*row) for row in await self._all(selects.BLIND_PHOTOS, set_id=set_id))

    async def blind_answers(self, set_id: int) -> tuple[BlindAnswerRow, ...]:
        """What anybody says of the photos of a set, through with it or not, in the order of the photos."""
        return tuple(BlindAnswerRow(*row) for row in await self._all(selects.ANSWERS_OF_SET, set_id=set_id))

    async def blind_answers_for(self, trait_id: int) -> tuple[BlindAnswerRow, ...]:
        """The same of all sets of a trait."""
        return tuple(BlindAnswerRow(*row) for row in await self._all(selects.ANSWERS_FOR_TRAIT, trait_id=trait_id))
