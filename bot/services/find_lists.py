"""Lists of finds: of all, of a bin, of a trait; those whose trait is still open, or every one."""

from dataclasses import dataclass

from bot.records import BinRow, Book, FindRow, TraitRow
from bot.services.desk import Desk
from bot.services.finding import MOST_CHOICES, any_bin_named
from bot.services.request import Request
from bot.services.trait_models import read_model
from bot.services.traits import row_named


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
    """The list of a button: ids of a bin and a trait, 0 for any. Of a bin or a trait that is no more there no find is listed."""
    async with desk.records.read(request.server, request.actor) as book:
        traits = await book.traits()
        at = await book.bin(place) if place else None
        of = next((row for row in traits if row.id == trait), None)
        if (place and at is None) or (trait and of is None):
            return FindList((), 0, every, place, trait)
        return await _list(book, traits, at, of, every)


async def choose_find(desk: Desk, request: Request, text: str) -> tuple[FindRow, ...]:
    """Finds whose number, bin or trait holds `text`, the newest first."""
    wanted = text.strip().casefold()
    async with desk.records.read(request.server, request.actor) as book:
        if not wanted:
            return await book.latest_finds(MOST_CHOICES)
        rows = await book.finds()
    found = [row for row in rows if wanted in f"{row.number} {row.bin_code} {row.trait_name}".casefold()]
    return tuple(reversed(found))[:MOST_CHOICES]


async def _list(
    book: Book, traits: tuple[TraitRow, ...], place: BinRow | None, trait: TraitRow | None, every: bool
) -> FindList:
    opened = {row.id for row in traits if read_model(row.model).open}
    if trait is not None:
        rows = await book.finds_of(trait.id)
    else:
        rows = await (book.finds_of_bin(place.id) if place is not None else book.finds())
    lines = [FindLine(row, row.trait_id in opened) for row in reversed(rows) if place is None or row.bin_id == place.id]
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
