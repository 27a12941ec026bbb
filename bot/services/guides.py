"""Scoring guides: up to six photos that say how a trait is read. A change is a new version; the earlier ones stay."""

import re
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from bot.records import (
    Book,
    Call,
    GuideEntry,
    GuidePhotoRow,
    GuideRow,
    PhotoRow,
    Privacy,
    Sex,
    Stage,
    Subject,
    WriteBook,
)
from bot.services.blind_errors import ScoringError, scoring_error_of
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.photographed import Photographed
from bot.services.photos import keep_photo, photo_numbered, taken
from bot.services.refusals import TakenBack, WordNotKnown
from bot.services.refusals_guides import (
    ExtentNotRead,
    GuideFull,
    InGuideAlready,
    NoPhotoGiven,
    NotInGuide,
    OrderNotRead,
    PhotoKeptPrivate,
    ScoreFirst,
)
from bot.services.refusals_photos import PhotoThere
from bot.services.request import Request
from bot.services.texts import checked
from bot.services.trait_models import read_model
from bot.services.traits import require_author, row_named

T = TypeVar("T")

GUIDE: Final = "guide"
CHANGED: Final = "guide.changed"
MOST_PHOTOS: Final = 6
LARGEST_EXTENT: Final = 5
CALLS: Final = {"shows it": Call.SHOWS, "does not": Call.NOT, "doubtful": Call.UNSURE}
"""How an animal on a photo of a guide can be read, in a keeper's words."""
STAGES: Final = {"adult": Stage.ADULT, "young": Stage.JUVENILE, "manca": Stage.MANCA}
SEXES: Final = {"female": Sex.FEMALE, "male": Sex.MALE}


@dataclass(frozen=True, slots=True)
class GuideEntryView:
    """A photo of a guide; `photo` is None where it was removed, or the reader may not see it."""

    row: GuidePhotoRow
    photo: PhotoRow | None


@dataclass(frozen=True, slots=True)
class GuideView:
    """How a trait is to be scored.

    Attributes:
        trait: its id, its name, and the week of age from which it can be read (0: from the first).
        guide: the version that holds, None where none was made; `entries` are its photos, `bodies` their bytes by id.
        error: how far keepers agree who scored photos of it blind.
        event: what this view answers, if it answers a change.
    """

    trait: int
    name: str
    week: int
    guide: GuideRow | None
    entries: tuple[GuideEntryView, ...]
    bodies: dict[int, bytes]
    error: ScoringError | None
    event: int | None = None


@dataclass(frozen=True, slots=True)
class GuideWords:
    """What was typed of a photo for a guide: a number of one on file or the address of a new one, and how it is read."""

    photo: str = ""
    address: str = ""
    call: str = ""
    extent: str = ""
    stage: str = ""
    sex: str = ""
    moulted: str = ""
    caption: str = ""


async def show_guide(desk: Desk, request: Request, text: str) -> GuideView:
    """The guide of a trait that holds.

    Raises:
        NoSuchTrait: no trait has the name.
        ScoreFirst: the person is in the middle of scoring photos of it blind.
    """
    async with desk.records.read(request.server, request.actor) as book:
        trait = row_named(text, await book.traits())
        await _require_not_scoring(book, request, trait.id)
        return await _view(book, trait.id)


async def add_to_guide(desk: Desk, request: Request, name: str, words: GuideWords) -> GuideView:
    """Put a photo at the end of a trait's guide; one that is attached is filed for the trait as well.

    Raises:
        NoSuchTrait, NotYours, NoPhotoGiven, NoSuchPhoto, PhotoKeptPrivate, InGuideAlready, GuideFull, WordNotKnown,
        ExtentNotRead, TextTooLong, PhotoGone, PhotoTooLarge, PhotoNotTaken, TakenBack: nothing was written.
    """
    entry = _entry(words)
    if not words.photo.strip() and not words.address:
        raise NoPhotoGiven
    async with desk.records.read(request.server, request.actor) as book:
        repeated = await book.event_of_request(request.request_id) is not None
        trait = row_named(name, await book.traits())
        await require_author(book, request, trait)
    file = await taken(desk, words.address) if words.address and not repeated else None

    async def added(writing: WriteBook, entries: list[GuideEntry]) -> list[GuideEntry]:
        if len(entries) >= MOST_PHOTOS:
            raise GuideFull(MOST_PHOTOS)
        if file is not None:
            of = Photographed(trait=trait)
            try:
                number = await keep_photo(writing, file, of, taken_at=request.now, shows=words.caption)
            except PhotoThere as there:
                number = await _on_file(writing, str(there.number), entries)
        else:
            number = await _on_file(writing, words.photo, entries)
        return [*entries, replace(entry, photo_id=number)]

    return await _revised(desk, request, name, added)


async def remove_from_guide(desk: Desk, request: Request, name: str, place: str) -> GuideView:
    """Take the photo at a place out of a trait's guide. It stays on file.

    Raises:
        NoSuchTrait, NotYours, NotInGuide, TakenBack: nothing was written.
    """

    async def removed(_: WriteBook, entries: list[GuideEntry]) -> list[GuideEntry]:
        at = row_id(place.strip())
        if not 1 <= at <= len(entries):
            raise NotInGuide(place.strip(), len(entries))
        return [entry for number, entry in enumerate(entries, start=1) if number != at]

    return await _revised(desk, request, name, removed)


async def order_guide(desk: Desk, request: Request, name: str, order: str) -> GuideView:
    """Put the photos of a trait's guide in another order: "3 1 2".

    Raises:
        NoSuchTrait, NotYours, OrderNotRead, TakenBack: nothing was written.
    """

    async def ordered(_: WriteBook, entries: list[GuideEntry]) -> list[GuideEntry]:
        places = [int(each) for each in re.findall(r"\d{1,2}", order)]
        if sorted(places) != list(range(1, len(entries) + 1)):
            raise OrderNotRead(order.strip(), len(entries))
        return [entries[place - 1] for place in places]

    return await _revised(desk, request, name, ordered)


def entries_of(guide: GuideRow | None) -> list[GuideEntry]:
    """The photos of a version, to be written into the next."""
    return [
        GuideEntry(
            row.photo_id, row.call, row.extent, row.stage, row.sex, moulted=row.moulted, caption_id=row.caption_id
        )
        for row in (guide.photos if guide is not None else ())
    ]


async def _revised(
    desk: Desk,
    request: Request,
    name: str,
    change: Callable[[WriteBook, list[GuideEntry]], Awaitable[list[GuideEntry]]],
) -> GuideView:
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            trait = row_named(name, await book.traits())
            await require_author(book, request, trait)
            held = await book.guide_of(trait.id)
            entries = await change(book, entries_of(held))
            made = await book.add_guide(trait.id, 1 if held is None else held.number + 1, entries)
            event = await book.log(CHANGED, Subject(GUIDE, made))
        guide = await book.guide(event.subject.id)
        if guide is None:
            raise TakenBack(GUIDE)
        return await _view(book, guide.trait_id, event.seq)


async def _view(book: Book, trait_id: int, event: int | None = None) -> GuideView:
    trait = await book.trait(trait_id)
    if trait is None:
        raise TakenBack("trait")
    guide = await book.guide_of(trait_id)
    rows: Sequence[GuidePhotoRow] = guide.photos if guide is not None else ()
    photos = {photo.id: photo for photo in await book.photos([row.photo_id for row in rows])}
    return GuideView(
        trait=trait.id,
        name=trait.name,
        week=read_model(trait.model).week,
        guide=guide,
        entries=tuple(GuideEntryView(row, photos.get(row.photo_id)) for row in rows),
        bodies=await book.photo_bodies(list(photos)),
        error=await scoring_error_of(book, trait_id),
        event=event,
    )


async def _on_file(book: Book, text: str, entries: Sequence[GuideEntry]) -> int:
    photo = await photo_numbered(book, text)
    if photo.privacy is Privacy.BIN:
        raise PhotoKeptPrivate(photo.id)
    for place, entry in enumerate(entries, start=1):
        if entry.photo_id == photo.id:
            raise InGuideAlready(photo.id, place)
    return photo.id


async def _require_not_scoring(book: Book, request: Request, trait: int) -> None:
    """Keep the guide from who scores blind: what it says is what they are to say by themselves."""
    mine = [answer for answer in await book.blind_answers_for(trait) if answer.keeper_id == request.actor]
    for set_id in dict.fromkeys(answer.set_id for answer in mine if not answer.final):
        photos = await book.blind_photos(set_id)
        raise ScoreFirst(set_id, len(photos) - sum(answer.set_id == set_id for answer in mine))


def _entry(words: GuideWords) -> GuideEntry:
    call = _word("reading of a photo", words.call, CALLS)
    if call is None:
        raise WordNotKnown(what="reading of a photo", text=words.call, known=tuple(CALLS))
    extent = words.extent.strip()
    if extent and (not extent.isdecimal() or len(extent) > 1 or int(extent) > LARGEST_EXTENT):
        raise ExtentNotRead(extent)
    if extent and call is not Call.UNSURE and (int(extent) > 0) != (call is Call.SHOWS):
        raise ExtentNotRead(extent, fits=False)
    return GuideEntry(
        photo_id=0,
        call=call,
        extent=int(extent) if extent else None,
        stage=_word("stage", words.stage, STAGES),
        sex=_word("sex", words.sex, SEXES),
        moulted=words.moulted.strip().casefold() in ("yes", "true"),
        caption=checked("caption", words.caption) or None,
    )


def _word(what: str, text: str, known: dict[str, T]) -> T | None:
    wanted = " ".join(text.split()).casefold()
    if not wanted:
        return None
    if wanted not in known:
        raise WordNotKnown(what=what, text=text, known=tuple(known))
    return known[wanted]
