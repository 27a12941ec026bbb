"""Odd animals: logging one, what follows from it, showing and listing them."""

from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from bot.records import (
    BinRow,
    Book,
    FindRow,
    HoldCause,
    PairingRow,
    PhotoFile,
    PhotoRow,
    Sex,
    State,
    Subject,
    Units,
    WriteBook,
)
from bot.services.access import require_keeper
from bot.services.bin_marks import put_on_hold
from bot.services.bin_state import bin_state
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.find_pings import FIND, FindPing, end_pings, pings_of, set_pings
from bot.services.find_steps import Step, steps_of
from bot.services.find_text import Animal, read_animal
from bot.services.find_traits import trait_found
from bot.services.finding import bin_named, row_id
from bot.services.keepers import units_of
from bot.services.photographed import Photographed
from bot.services.photos import keep_photo, taken
from bot.services.refusals import NotYours, Refusal, TakenBack, WordNotKnown
from bot.services.refusals_finds import NobodyToPing, NoSuchFind, PhotoLater
from bot.services.refusals_photos import PhotoGone, PhotoNotTaken, PhotoTooLarge
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.texts import checked
from bot.services.trait_models import read_model
from bot.workers import AllBusy, Overdue, WorkerLost

LOGGED, SHEEN, QUIET = "find.logged", "find.sheen", "find.quiet"
_YES = {"yes": True, "y": True, "no": False, "n": False}
_UNSURE = frozenset(("", "not sure", "unsure", "unknown", "?"))


@dataclass(frozen=True, slots=True)
class NewFind:
    """What a person typed of an odd animal; the bin and what to call it are always needed.

    `same`: whether a trait that has that name already is the same one, or another. `photo`: the address of one, in the chat.
    """

    place: str
    trait: str
    animal: str = ""
    sheen: str = ""
    slow: str = ""
    day: str = ""
    note: str = ""
    same: str = ""
    photo: str = ""


@dataclass(frozen=True, slots=True)
class FindView:
    """All that the book says of a find, and what follows from it.

    Attributes:
        place: the bin it was found in.
        is_open: nobody knows yet how what it shows is inherited.
        steps: what to do first, in order.
        pings: what will be asked of the person who asks, if they logged it.
        pairings: those that the animal was put into.
        held: its bin is on hold for a blue sheen.
        units: those that the reader chose.
        photos: those of the animal, the newest first; `picture` are the bytes of the first, where it is to be seen.
        unread: of the words that this view answers, those that were not understood.
        missing: why the photo that was attached to them is not among them.
        event: the event that this view answers, if it answers one.
    """

    row: FindRow
    place: BinRow
    is_open: bool
    species: SpeciesCard
    steps: tuple[Step, ...]
    pings: tuple[FindPing, ...]
    pairings: tuple[PairingRow, ...]
    held: bool
    units: Units | None = None
    photos: tuple[PhotoRow, ...] = ()
    picture: bytes = b""
    unread: str = ""
    missing: Refusal | None = None
    event: int | None = None


async def log_find(desk: Desk, request: Request, new: NewFind) -> FindView:
    """Write an odd animal into the book, with what follows from it.

    It becomes an animal that can be put into a pairing, its trait is opened if it is new, a blue sheen puts its bin on hold,
    and whoever logged it is asked to photograph it after its moult and to count its sisters.

    Raises:
        NoSuchBin, NotYours, DayNotRead, DayAhead, AnimalNotRead, AnimalContradicts, SheenMeant, LengthNotRead, TraitNeeded,
            TraitMeant, SameOrAnother, NameForAnother, NoSuchTrait, WordNotKnown, TextTooLong, TraitTaken, TraitNotNamed,
            TakenBack: nothing was written.
    """
    checked("note", new.note)
    file, missing = await _developed(desk, request, new)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        animal = _animal(new, request, await zone_of(book, request))
        if event is None:
            find = await _write(desk, book, request, new, animal)
            if file is not None:
                of = Photographed(await book.bin(find.bin_id), find, await book.trait(find.trait_id))
                await keep_photo(book, file, of, taken_at=find.found_at)
            event = await book.log(LOGGED, Subject(FIND, find.id))
        view = await _view(desk, book, request, event.subject.id, event=event.seq)
    return replace(view, unread=animal.unread, missing=missing)


async def _developed(desk: Desk, request: Request, new: NewFind) -> tuple[PhotoFile | None, Refusal | None]:
    """The photo that was attached, or why there is none. An animal is logged all the same: it may be gone by the next try."""
    if not new.photo:
        return None, None
    async with desk.records.read(request.server, request.actor) as book:
        if await book.event_of_request(request.request_id) is not None:
            return None, None
        # Who may not log it, or wrote what cannot be read, is told so before anything is fetched.
        require_keeper(request, await bin_named(book, new.place))
        _animal(new, request, await zone_of(book, request))
    try:
        return await taken(desk, new.photo), None
    except (PhotoGone, PhotoTooLarge, PhotoNotTaken) as refusal:
        return None, refusal
    except (Overdue, WorkerLost, AllBusy):
        return None, PhotoLater()


def _animal(new: NewFind, request: Request, zone: ZoneInfo) -> Animal:
    return read_animal(
        checked("animal", new.animal),
        request.now,
        zone,
        sheen=_answer("sheen", new.sheen),
        slow=_answer("slow", new.slow),
        asked=bool(new.sheen.strip()),
    )


async def _write(desk: Desk, book: WriteBook, request: Request, new: NewFind, animal: Animal) -> FindRow:
    place = await bin_named(book, new.place)
    require_keeper(request, place)
    found_at = read_day(new.day, request.now, await zone_of(book, request))
    species = await card_of(desk, book, place.species_key)
    trait = await trait_found(book, desk, new.trait, new.same, place.species_key)
    breeders = await book.add_breeders(sex=animal.sex or Sex.UNKNOWN, number=1, from_bin_id=place.id, described=True)
    await book.add_breeder_state(breeders, trait, State.VISUAL)
    find_id = await book.add_find(
        bin_id=place.id,
        trait_id=trait,
        breeders_id=breeders,
        found_at=found_at,
        stage=animal.stage,
        pouch_filled=animal.pouch_filled,
        length_mm=animal.length_mm,
        moulted_at=animal.moulted_at,
        such=animal.such,
        looked_at=animal.looked_at,
        sheen=animal.sheen,
        slow=animal.slow,
        typed=new.animal.strip() or None,
        note=new.note.strip() or None,
    )
    find = await book.find(find_id)
    if find is None:
        raise LookupError(f"find {find_id} was not written")
    if animal.sheen:
        await put_on_hold(book, place.id, HoldCause.BLUE_SHEEN)
    await set_pings(book, request, find, species)
    return find


async def show_find(desk: Desk, request: Request, text: str) -> FindView:
    """All that the book says of a find.

    Raises:
        NoSuchFind: none has this number.
    """
    async with desk.records.read(request.server, request.actor) as book:
        view = await _view(desk, book, request, (await find_named(book, text)).id)
        first = [photo.id for photo in view.photos[:1]]
        return replace(view, picture=b"".join((await book.photo_bodies(first)).values()))


async def sheen_seen(desk: Desk, request: Request, text: str) -> FindView:
    """A blue-violet sheen was seen on the animal after all: its bin is put on hold.

    Raises:
        NoSuchFind, NotYours, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            find = await _tended(book, request, text)
            if find.sheen:
                return await _view(desk, book, request, find.id)
            await book.set_sheen(find.id)
            await put_on_hold(book, find.bin_id, HoldCause.BLUE_SHEEN)
            event = await book.log(SHEEN, Subject(FIND, find.id))
        return await _view(desk, book, request, event.subject.id, event=event.seq)


async def no_pings(desk: Desk, request: Request, text: str) -> FindView:
    """Ask nothing of what a find asks for. Only whom it pings takes that back.

    Raises:
        NoSuchFind, NotYours, NobodyToPing, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            find = await find_named(book, text)
            if find.keeper_id != request.actor:
                raise NotYours(what=f"find {find.number}", keeper_name=find.keeper_name, stewards=False)
            if not await end_pings(book, find):
                raise NobodyToPing(find.number)
            event = await book.log(QUIET, Subject(FIND, find.id))
        return await _view(desk, book, request, event.subject.id, event=event.seq)


async def find_named(book: Book, text: str) -> FindRow:
    """The find with this number: "3", "find 3".

    Raises:
        NoSuchFind: there is none.
    """
    row = await book.find_numbered(row_id(text.strip().casefold().removeprefix("find").strip(" #-")))
    if row is None:
        latest = await book.latest_finds(1)
        raise NoSuchFind(text=text, last=latest[0].number if latest else 0)
    return row


async def _tended(book: Book, request: Request, text: str) -> FindRow:
    find = await find_named(book, text)
    place = await book.bin(find.bin_id)
    if place is None:
        raise NoSuchFind(text=text)
    require_keeper(request, place)
    return find


async def _view(desk: Desk, book: Book, request: Request, find_id: int, *, event: int | None = None) -> FindView:
    row = await book.find(find_id)
    place = await book.bin(row.bin_id) if row is not None else None
    if row is None or place is None:
        raise TakenBack("find")
    trait = await book.trait(row.trait_id)
    species = await card_of(desk, book, row.species_key)
    holds = (await bin_state(book, place.id, request.now)).holds
    return FindView(
        row=row,
        place=place,
        is_open=trait is not None and read_model(trait.model).open,
        species=species,
        steps=steps_of(row, species.sex_system),
        pings=await pings_of(book, row) if row.keeper_id == request.actor else (),
        pairings=await book.pairings_with(row.breeders_id),
        held=any(hold.cause is HoldCause.BLUE_SHEEN for hold in holds),
        units=await units_of(book, request),
        photos=await book.photos_of_find(row.id),
        event=event,
    )


def _answer(what: str, text: str) -> bool | None:
    """Yes, no, or nothing where nobody is sure.

    Raises:
        WordNotKnown: it is none of these.
    """
    wanted = text.strip().casefold()
    if wanted in _UNSURE:
        return None
    if wanted not in _YES:
        raise WordNotKnown(what=f"answer about {what}", text=text, known=("yes", "no", "not sure"))
    return _YES[wanted]
