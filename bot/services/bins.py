"""Opening a bin, and showing one."""

import re
from dataclasses import dataclass
from fractions import Fraction

from bot.records import (
    BinRow,
    Book,
    CountRow,
    FounderRow,
    ParentRole,
    ParentRow,
    Sex,
    Subject,
    TaskRow,
    TraitRow,
    WriteBook,
)
from bot.services.desk import Desk
from bot.services.finding import bin_named, matching
from bot.services.heredity import trait_of
from bot.services.lengths import read_length
from bot.services.refusals import BinLabel, HoldingNotRead, ParentsNotRead, TakenBack, TraitOfAnother, TwoSpecies
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.tally import Tally, read_tally
from bot.services.texts import checked
from genetics import NotationError, Side, State, Stated, read_side, write_side

BIN = "bin"
_LATEST_COUNTS = 5
_TIMES = re.compile(r"\s+[x×]\s+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Founders:
    """A group of alike founders: how many, what they are in the notation of a cross (None: not said), from where."""

    row: FounderRow
    stated: str | None


@dataclass(frozen=True, slots=True)
class BinView:
    """All that the book says of a bin; `event` is the one that opened it, where this view answers that."""

    row: BinRow
    species: SpeciesCard
    founders: tuple[Founders, ...]
    parents: tuple[ParentRow, ...]
    counts: tuple[CountRow, ...]
    tasks: tuple[TaskRow, ...]
    event: int | None = None
    co_keepers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NewBin:
    """What a person typed to open a bin; only the species is needed."""

    species: str
    name: str = ""
    animals: str = ""
    holds: str = ""
    parents: str = ""
    origin: str = ""
    length: str = ""
    note: str = ""


async def open_bin(desk: Desk, request: Request, new: NewBin) -> BinView:
    """Open a bin with the founders it starts from. Animals that were counted also make its first count.

    Raises:
        NoSuchSpecies, CountNotRead, HoldingNotRead, ParentsNotRead, NoSuchBin, TwoSpecies, TraitOfAnother, LengthNotRead,
            TextTooLong, TakenBack: nothing was written.
    """
    species = desk.species.named(new.species)
    tally = read_tally(new.animals) if new.animals.strip() else None
    length = read_length(new.length) if new.length.strip() else None
    name, note, origin = checked("name", new.name), checked("note", new.note), checked("origin", new.origin)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            traits = await book.traits()
            side = _holds(new.holds, traits)
            parents = await _parents(book, new.parents)
            _require_one_species(desk, species, side, traits, parents)
            row = await book.add_bin(species_key=species.key, name=name or None, note=note or None)
            if side is not None or tally is not None:
                await _found(book, row, side, traits, tally, origin, length)
            for parent, role in parents:
                await book.add_parent(row.id, parent.id, role)
            if tally is not None:
                typed = checked("count", new.animals)
                await book.add_count(row.id, total=tally.total, exactness=tally.exactness, typed=typed)
            event = await book.log("bin.opened", Subject(BIN, row.id))
        opened = await book.bin(event.subject.id)
        if opened is None:
            raise TakenBack("bin")
        return await bin_view(desk, book, opened, event.seq)


async def show_bin(desk: Desk, request: Request, text: str) -> BinView:
    """All that the book says of a bin.

    Raises:
        NoSuchBin: no open bin has the code.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await bin_view(desk, book, await bin_named(book, text))


async def bin_view(desk: Desk, book: Book, row: BinRow, event: int | None = None) -> BinView:
    """A bin with all that the book says of it."""
    traits = {trait.id: trait for trait in await book.traits()}
    return BinView(
        row=row,
        species=desk.species.of(row.species_key),
        founders=tuple(Founders(f, _stated(f, traits)) for f in await book.founders(row.id)),
        parents=await book.parents(row.id),
        counts=await book.counts(row.id, limit=_LATEST_COUNTS),
        tasks=await book.tasks(row.id),
        co_keepers=tuple(keeper.name for keeper in await book.co_keepers(row.id)),
        event=event,
    )


def _stated(founder: FounderRow, traits: dict[int, TraitRow]) -> str | None:
    if not founder.described:
        return None
    return write_side(
        side_of([(traits[s.trait_id], s.state, s.chance) for s in founder.states if s.trait_id in traits])
    )


def side_of(states: list[tuple[TraitRow, State, Fraction | None]]) -> Side:
    """One side of a cross from what the book states of a group of animals."""
    return Side(tuple(Stated(trait_of(trait), state, chance) for trait, state, chance in states))


def _holds(text: str, traits: tuple[TraitRow, ...]) -> Side | None:
    if not text.strip():
        return None
    try:
        return read_side(text, [trait_of(t) for t in traits])
    except NotationError as error:
        raise HoldingNotRead(error=error, known=tuple(t.name for t in traits)) from error


async def _found(
    book: WriteBook,
    row: BinRow,
    side: Side | None,
    traits: tuple[TraitRow, ...],
    tally: Tally | None,
    origin: str,
    length: Fraction | None,
) -> None:
    founder = await book.add_founder(
        row.id,
        number=(tally.total or None) if tally else None,
        sex=Sex.UNKNOWN,
        origin=origin or None,
        described=side is not None,
        length_mm=length,
    )
    ids = {trait_of(t): t.id for t in traits}
    for item in side.stated if side else ():
        await book.add_founder_state(founder, ids[item.trait], item.state, item.chance)


def _require_one_species(
    desk: Desk,
    species: SpeciesCard,
    side: Side | None,
    traits: tuple[TraitRow, ...],
    parents: list[tuple[BinRow, ParentRole]],
) -> None:
    for parent, _ in parents:
        if parent.species_key != species.key:
            raise TwoSpecies(first=species.name, second=desk.species.of(parent.species_key).name)
    known = {trait_of(t): t.species_key for t in traits}
    for item in side.stated if side else ():
        key = known[item.trait]
        if key not in (None, species.key):
            raise TraitOfAnother(item.trait.name, species=desk.species.of(str(key)).name, other=species.name)


async def _parents(book: Book, text: str) -> list[tuple[BinRow, ParentRole]]:
    """Parents as typed: "B-1 x B-3" (the dams' bin first), or one code where both came from the same bin."""
    if not text.strip():
        return []
    sides = _TIMES.split(text.strip())
    if len(sides) > 2 or any(len(side.split()) != 1 for side in sides):
        raise ParentsNotRead(text=text, rest=sides[-1])
    rows = [await bin_named(book, side) for side in sides]
    if len(rows) == 1 or rows[0].id == rows[1].id:
        return [(rows[0], ParentRole.BOTH)]
    return [(rows[0], ParentRole.DAM), (rows[1], ParentRole.SIRE)]


async def label_of(desk: Desk, request: Request, text: str) -> BinLabel:
    """The code and name of an open bin.

    Raises:
        NoSuchBin: no open bin has the code.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await bin_named(book, text)
    return BinLabel(row.code, row.name)


async def choose_bin(desk: Desk, request: Request, text: str) -> tuple[BinLabel, ...]:
    """Open bins whose code or name holds `text`, the person's own first."""
    async with desk.records.read(request.server, request.actor) as book:
        return matching(text, await book.bins(), request.actor)
