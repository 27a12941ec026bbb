"""Photos that were scored blind, written straight into a book."""

from collections.abc import Sequence
from dataclasses import replace

from bot.records import Call, GuideEntry, Media, PhotoFile, Subject
from tests.support.asking import Asking

READ = {"y": Call.SHOWS, "n": Call.NOT, "u": Call.UNSURE}


async def photos_for(asking: Asking, trait: int, number: int) -> list[int]:
    """So many photos of a trait, of a few bytes each; their ids."""
    made = []
    for at in range(number):
        request = asking.by()
        async with asking.desk.records.write(request.stamp) as book:
            file = PhotoFile(Media.JPEG, 4, 3, f"{at:064x}", b"bytes")
            photo = await book.add_photo(file, taken_at=request.now, trait_id=trait)
            await book.log("photo.filed", Subject("photo", photo))
            made.append(photo)
    return made


async def scored_blind(asking: Asking, trait: int, photos: Sequence[int], **readings: str) -> None:
    """A set of these photos with what keepers read in them, by the keeper's number: `k1="yynu"`; all are through."""
    request = asking.by()
    async with asking.desk.records.write(request.stamp) as book:
        guide = await book.guide_of(trait)
        made = await book.add_blind_set(trait, guide.id if guide is not None else None, photos)
        await book.log("blind.opened", Subject("blind set", made))
    for keeper, read in readings.items():
        request = asking.by()
        stamp = replace(request.stamp, actor=request.actor + int(keeper[1:]), actor_name=keeper)
        async with asking.desk.records.write(stamp) as book:
            for photo, letter in zip(await book.blind_photos(made), read, strict=True):
                await book.answer_blind(made, photo.id, READ[letter])
            await book.log("blind.answered", Subject("blind set", made))
        again = replace(stamp, request_id=asking.by().request_id)
        async with asking.desk.records.write(again) as book:
            mine = [each.id for each in await book.blind_answers(made) if each.keeper_id == stamp.actor]
            await book.finish_blind(mine)
            await book.log("blind.finished", Subject("blind set", made))


async def guided(asking: Asking, trait: int, photos: Sequence[int], read: str) -> None:
    """A guide of these photos, each read so."""
    entries = [GuideEntry(photo, READ[letter]) for photo, letter in zip(photos, read, strict=True)]
    async with asking.desk.records.write(asking.by().stamp) as book:
        made = await book.add_guide(trait, 1, entries)
        await book.log("guide.changed", Subject("guide", made))
