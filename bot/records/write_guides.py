"""Writing scoring guides, sets of photos to be scored, and what is said of each."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.records import guide_tables
from bot.records.kinds import Call, Sex, Stage
from bot.records.writing import Writing


@dataclass(frozen=True, slots=True)
class GuideEntry:
    """A photo of a guide that is to be written; see `GuidePhotoRow`. Its place is where it stands among the others.

    `caption` is new words; `caption_id` those that stand in an earlier version, and stay whose they are.
    """

    photo_id: int
    call: Call
    extent: int | None = None
    stage: Stage | None = None
    sex: Sex | None = None
    moulted: bool = False
    caption: str | None = None
    caption_id: int | None = None


class GuideWriting(Writing):
    """The part of a book for writing that is about how traits are scored."""

    async def add_guide(self, trait_id: int, number: int, entries: Sequence[GuideEntry]) -> int:
        """Write a version of a trait's guide; it holds if its number is the highest."""
        guide_id = await self._add(
            guide_tables.guides,
            trait_id=trait_id,
            number=number,
            keeper_id=self.stamp.actor,
            made_at=self.stamp.now,
        )
        for place, entry in enumerate(entries, start=1):
            await self._add(
                guide_tables.guide_photos,
                guide_id=guide_id,
                photo_id=entry.photo_id,
                place=place,
                call=entry.call,
                extent=entry.extent,
                stage=entry.stage,
                sex=entry.sex,
                moulted=entry.moulted,
                caption_id=await self._text(entry.caption) if entry.caption else entry.caption_id,
            )
        return guide_id

    async def add_blind_set(self, trait_id: int, guide_id: int | None, photo_ids: Sequence[int]) -> int:
        """Put photos together, in this order, to be scored by whoever likes to."""
        set_id = await self._add(
            guide_tables.blind_sets,
            trait_id=trait_id,
            guide_id=guide_id,
            keeper_id=self.stamp.actor,
            opened_at=self.stamp.now,
        )
        for place, photo_id in enumerate(photo_ids, start=1):
            await self._add(guide_tables.blind_photos, set_id=set_id, photo_id=photo_id, place=place)
        return set_id

    async def answer_blind(self, set_id: int, blind_photo_id: int, call: Call, *, instead: int | None = None) -> None:
        """Say of a photo what the actor sees, `instead` of an answer of theirs that stands already.

        Raises:
            Missing: this server has no answer `instead`.
        """
        if instead is not None:
            await self._change(guide_tables.blind_answers, instead, call=call, at=self.stamp.now)
            return
        await self._add(
            guide_tables.blind_answers,
            set_id=set_id,
            blind_photo_id=blind_photo_id,
            keeper_id=self.stamp.actor,
            call=call,
            final=False,
            at=self.stamp.now,
        )

    async def finish_blind(self, answer_ids: Sequence[int]) -> None:
        """Let answers stand for good. No event says so of them, so that this is not undone; and the answers, which have
        changed since, are not undone either: whoever has read the others' can't answer blind again.

        Raises:
            Missing: this server has no such answer.
        """
        for answer_id in answer_ids:
            await self._change(guide_tables.blind_answers, answer_id, noted=(), final=True)
