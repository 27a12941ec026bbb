"""Odd animals: logging one, what follows from it, showing and listing them."""

from dataclasses import dataclass

from bot.records import (
    BinRow,
    Book,
    FindRow,
    HoldCause,
    MarkKind,
    PairingRow,
    Sex,
    State,
    Subject,
    TraitRow,
    Units,
    WriteBook,
)
from bot.services.access import require_keeper
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.find_pings import FIND, FindPing, end_pings, pings_of, set_pings
from bot.services.find_steps import Step, steps_of
from bot.services.find_text import read_animal
from bot.services.find_traits import trait_found
from bot.services.finding import MOST_CHOICES, any_bin_named, bin_named, row_id
from bot.services.keepers import units_of
from bot.services.refusals import NotYours, TakenBack, WordNotKnown
from bot.services.refusals_finds import NobodyToPing, NoSuchFind
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.texts import checked
from bot.services.trait_models import read_model
from bot.services.traits import row_named

LOGGED, SHEEN, QUIET = "find.logged", "find.sheen", "find.quiet"
_YES = {"yes": True, "y": True, "no": False, "n": False}
_UNSURE = frozenset(("", "not sure", "unsure", "unknown", "?"))


@dataclass(frozen=True, slots=True)
class NewFind:
    """What a person typed of an odd animal; the bin and what to call it are always needed.

    `same`: whether a trait that has that name already is the same one, or another.
    """

    place: str
    trait: str
    animal: str = ""
    sheen: str = ""
    slow: str = ""
    day: str = ""
    note: str = ""
    same: str = ""


@dataclass(frozen=True, slots=True)
class FindView:
    """All that the book says of a find, and what follows from it.

    Attributes:
        place: the bin it was found in.
        trait: what it shows; `is_open` says that nobody knows yet how that is inherited.
        steps: what to do first, in order.
        pings: what will be asked of whoever logged it.
        pairings: those that the animal was put into.
        held: its bin is on hold for a blue sheen.
        units: those that the reader chose.
        unread: of the words that this view answers, those that were not understood.
        event: the event that this view answers, if it answers one.
    """

    row: FindRow
    place: BinRow
    trait: TraitRow | None
    is_open: bool
    species: SpeciesCard
    steps: tuple[Step, ...]
    pings: tuple[FindPing, ...]
    pairings: tuple[PairingRow, ...]
    held: bool
    units: Units | None = None
    unread: str = ""
    event: int | None = None


@dataclass(frozen=True, slots=True)
class FindLine:
    """A find in a list, and whether nobody knows yet how its trait is inherited."""

    row: FindRow
    is_open: bool


@dataclass(frozen=True, slots=True)
class FindList:
    """Finds of a bin, of a trait, or of all, newest first.

    `settled` is how many more there are whose trait is known by now; they are among `lines` if `every` was asked for.
    `place` and `trait` are the ids of what the list was narrowed to, 0 if to nothing; `code` and `name` are theirs.
    """

    lines: tuple[FindLine, ...]
    settled: int
    every: bool
    place: int
    trait: int
    code: str = ""
    name: str = ""


async def log_find(desk: Desk, request: Request, new: NewFind) -> FindView:
    """Write an odd animal into the book, with what follows from it.

    It becomes an animal that can be put into a pairing, its trait is opened if it is new, a blue sheen puts its bin on hold,
    and whoever logged it is asked to photograph it after its moult and to count its sisters.

    Raises:
        NoSuchBin, NotYours, DayNotRead, DayAhead, AnimalNotRead, AnimalContradicts, SheenMeant, LengthNotRead, TraitNeeded,
            TraitMeant, SameOrAnother, NameForAnother, NoSuchTrait, WordNotKnown, TextTooLong, TraitTaken, TraitNotNamed,
            TakenBack: nothing was written.
    """
    note, typed = checked("note", new.note), checked("animal", new.animal)
    async with desk.records.write(request.stamp) as book:
        event, zone = book.repeat, await zone_of(book, request)
        animal = read_animal(
            typed,
            request.now,
            zone,
            sheen=_answer("sheen", new.sheen),
            slow=_answer("slow", new.slow),
            asked=bool(new.sheen.strip()),
        )
        if event is None:
            place = await bin_named(book, new.place)
            require_keeper(request, place)
            found_at = read_day(new.day, request.now, zone)
            species = await card_of(desk, book, place.species_key)
            trait = await trait_found(book, desk, new.trait, new.same, place.species_key)
            sex = animal.sex or Sex.UNKNOWN
            breeders = await book.add_breeders(sex=sex, number=1, from_bin_id=place.id, described=True)
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
                typed=typed or None,
                note=note or None,
            )
            if animal.sheen:
                await _hold(book, place.id)
            find = await book.find(find_id)
            if find is None:
                raise LookupError(f"find {find_id} was not written")
            await set_pings(book, request, find, species)
            event = await book.log(LOGGED, Subject(FIND, find_id))
        return await _view(desk, book, request, event.subject.id, event=event.seq, unread=animal.unread)


async def show_find(desk: Desk, request: Request, text: str) -> FindView:
    """All that the book says of a find.

    Raises:
        NoSuchFind: none has this number.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await _view(desk, book, request, (await find_named(book, text)).id)


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
            await _hold(book, find.bin_id)
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


async def list_finds(
    desk: Desk, request: Request, *, place: str = "", trait: str = "", every: bool = False
) -> FindList:
    """The finds whose trait is still open, or every one, of a bin or a trait if one is named; the newest first.

    Raises:
        NoSuchBin, NoSuchTrait: there is no such bin or trait.
    """
    async with desk.records.read(request.server, request.actor) as book:
        traits = await book.traits()
        at = await any_bin_named(book, place) if place.strip() else None
        of = row_named(trait, traits) if trait.strip() else None
        return await _list(book, traits, at, of, every)


async def list_again(desk: Desk, request: Request, place: int, trait: int, every: bool) -> FindList:
    """The list of a button: ids of a bin and a trait, 0 for any. What is no more there narrows to nothing."""
    async with desk.records.read(request.server, request.actor) as book:
        traits = await book.traits()
        at = await book.bin(place) if place else None
        of = next((row for row in traits if row.id == trait), None)
        return await _list(book, traits, at, of, every)


async def choose_find(desk: Desk, request: Request, text: str) -> tuple[FindRow, ...]:
    """Finds whose number, bin or trait holds `text`, the newest first."""
    wanted = text.strip().casefold()
    async with desk.records.read(request.server, request.actor) as book:
        rows = await book.finds()
    found = [row for row in rows if wanted in f"{row.number} {row.bin_code} {row.trait_name}".casefold()]
    return tuple(reversed(found))[:MOST_CHOICES]


async def find_named(book: Book, text: str) -> FindRow:
    """The find with this number: "3", "find 3".

    Raises:
        NoSuchFind: there is none.
    """
    row = await book.find_numbered(row_id(text.strip().casefold().removeprefix("find").strip(" #-")))
    if row is None:
        every = await book.finds()
        raise NoSuchFind(text=text, last=every[-1].number if every else 0)
    return row


async def _tended(book: Book, request: Request, text: str) -> FindRow:
    find = await find_named(book, text)
    place = await book.bin(find.bin_id)
    if place is not None:
        require_keeper(request, place)
    return find


async def _hold(book: WriteBook, bin_id: int) -> None:
    """Put a bin on hold for a blue sheen, unless it is already."""
    if not await _held(book, bin_id):
        await book.add_mark(bin_id, MarkKind.HOLD, cause=HoldCause.BLUE_SHEEN)


async def _held(book: Book, bin_id: int) -> bool:
    return any(
        mark.kind is MarkKind.HOLD and mark.cause is HoldCause.BLUE_SHEEN and mark.ended_at is None
        for mark in await book.marks_of([bin_id])
    )


async def _view(
    desk: Desk, book: Book, request: Request, find_id: int, *, event: int | None = None, unread: str = ""
) -> FindView:
    row = await book.find(find_id)
    place = await book.bin(row.bin_id) if row is not None else None
    if row is None or place is None:
        raise TakenBack("find")
    trait = next((one for one in await book.traits() if one.id == row.trait_id), None)
    species = await card_of(desk, book, row.species_key)
    paired = {one.pairing_id for one in await book.all_paired() if one.breeders_id == row.breeders_id}
    return FindView(
        row=row,
        place=place,
        trait=trait,
        is_open=trait is not None and read_model(trait.model).open,
        species=species,
        steps=steps_of(row, species.sex_system),
        pings=await pings_of(book, row),
        pairings=tuple(one for one in await book.pairings() if one.id in paired) if paired else (),
        held=await _held(book, place.id),
        units=await units_of(book, request),
        unread=unread,
        event=event,
    )


async def _list(
    book: Book, traits: tuple[TraitRow, ...], place: BinRow | None, trait: TraitRow | None, every: bool
) -> FindList:
    opened = {row.id for row in traits if read_model(row.model).open}
    lines = [
        FindLine(row, row.trait_id in opened)
        for row in reversed(await book.finds())
        if (place is None or row.bin_id == place.id) and (trait is None or row.trait_id == trait.id)
    ]
    for bin_id in {line.row.bin_id for line in lines}:
        # Whoever listens hears from this whether one of them keeps anything private.
        await book.bin(bin_id)
    shown = [line for line in lines if every or line.is_open]
    return FindList(
        lines=tuple(shown),
        settled=sum(not line.is_open for line in lines),
        every=every,
        place=place.id if place is not None else 0,
        trait=trait.id if trait is not None else 0,
        code=place.code if place is not None else "",
        name=trait.name if trait is not None else "",
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
