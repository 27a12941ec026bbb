"""Opening a bin, and showing one."""

import re
from dataclasses import dataclass
from fractions import Fraction

from bot.records import BinRow, Book, ParentRole, Sex, Subject, TraitRow, WriteBook
from bot.services.bin_views import BinView, view_of
from bot.services.count_text import CountRead
from bot.services.counts import read_for, write_count
from bot.services.days import zone_of
from bot.services.desk import Desk
from bot.services.finding import any_bin_named, bin_named, matching
from bot.services.founding import found, read_holds
from bot.services.heredity import trait_of
from bot.services.lengths import read_length
from bot.services.refusals import BinLabel, ParentsNotRead, TakenBack, TraitOfAnother, TwoSpecies
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.texts import checked
from genetics import Side

BIN = "bin"
_TIMES = re.compile(r"\s+[x×]\s+", re.IGNORECASE)


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
    shelf: str = ""
    note: str = ""


async def open_bin(desk: Desk, request: Request, new: NewBin) -> BinView:
    """Open a bin with the founders it starts from. Animals that were counted also make its first count.

    Raises:
        NoSuchSpecies, CountNotRead, CountUnclear, HoldingNotRead, ParentsNotRead, NoSuchBin, TwoSpecies, TraitOfAnother,
            LengthNotRead, TextTooLong, TakenBack: nothing was written.
    """
    species = desk.species.named(new.species)
    length = read_length(new.length) if new.length.strip() else None
    name, note, origin = checked("name", new.name), checked("note", new.note), checked("origin", new.origin)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            traits = await book.traits()
            today = request.now.astimezone(await zone_of(book, request)).date()
            read = await read_for(book, new.animals, today) if new.animals.strip() else None
            side = read_holds(new.holds, traits)
            parents = await _parents(book, new.parents)
            _require_one_species(desk, species, side, traits, parents)
            row = await book.add_bin(species_key=species.key, name=name or None, note=note or None)
            if new.shelf.strip():
                await book.set_shelf(row.id, checked("shelf", new.shelf))
            if side is not None or read is not None:
                await _found(book, row.id, side, traits, read, origin, length)
            for parent, role in parents:
                await book.add_parent(row.id, parent.id, role)
            if read is not None:
                await write_count(book, row.id, read, typed=checked("count", new.animals))
            event = await book.log("bin.opened", Subject(BIN, row.id))
        opened = await book.bin(event.subject.id)
        if opened is None:
            raise TakenBack("bin")
        return await view_of(desk, book, request, opened, event.seq)


async def show_bin(desk: Desk, request: Request, text: str) -> BinView:
    """All that the book says of a bin; a closed one by its code alone.

    Raises:
        NoSuchBin: no bin is meant.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await view_of(desk, book, request, await any_bin_named(book, text))


async def _found(
    book: WriteBook,
    bin_id: int,
    side: Side | None,
    traits: tuple[TraitRow, ...],
    read: CountRead | None,
    origin: str,
    length: Fraction | None,
) -> None:
    """Write the founders: a group of each sex, if that is how they were counted."""
    sexes: list[tuple[Sex, int | None]] = [*_by_sex(read)]
    for sex, number in sexes or [(Sex.UNKNOWN, read.whole.total if read else None)]:
        await found(book, bin_id, side, traits, number, sex=sex, origin=origin, length=length)


def _by_sex(read: CountRead | None) -> list[tuple[Sex, int]]:
    """How many of each sex, of a count whose classes say that and how they look does not matter; none otherwise."""
    if read is None or read.share is not None:
        return []
    found: list[tuple[Sex, int]] = []
    for item in read.classes:
        if item.animals is None or item.animals.sex is None or item.animals.looked or item.figure is None:
            return []
        found.append((item.animals.sex, item.figure.total))
    return [(sex, n) for sex, n in found if n] if sum(n for _, n in found) == read.whole.total else []


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
