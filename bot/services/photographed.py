"""What a photo shows: the bin, the find or the trait that a person typed, and whether they may file one there."""

import difflib
import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from bot.records import BinRow, Book, FindRow, TraitRow, code_key
from bot.services.access import Right, may, require
from bot.services.days import zone_of
from bot.services.desk import Desk
from bot.services.finding import MOST_CHOICES, matching, nearest, row_id
from bot.services.refusals import BinLabel
from bot.services.refusals_photos import NothingPhotographed
from bot.services.request import Request
from bot.services.traits import row_named

_FIND: Final = re.compile(r"(?:find|f)[\s-]*#?(\d{1,18})", re.IGNORECASE)
_RECENT: Final = 60
"""The changes of a keeper that are gone through for the bins they worked on last."""


@dataclass(frozen=True, slots=True)
class Photographed:
    """What photos are of. A find comes with its bin and its trait; a bin may come with a trait that it is kept for.

    Raises:
        ValueError: it is of nothing.
    """

    bin: BinRow | None = None
    find: FindRow | None = None
    trait: TraitRow | None = None

    def __post_init__(self) -> None:
        if self.bin is None and self.trait is None:
            raise ValueError("a photo of nothing")

    @property
    def ids(self) -> tuple[int | None, int | None, int | None]:
        """The ids of the bin, the find and the trait."""
        bin_, find, trait = (None if row is None else row.id for row in (self.bin, self.find, self.trait))
        return bin_, find, trait

    @property
    def key(self) -> str:
        """How a button names it: "b12", "f3" or "t7"."""
        kind, row = next((k, r) for k, r in (("f", self.find), ("b", self.bin), ("t", self.trait)) if r is not None)
        return f"{kind}{row.id}"


async def photographed(book: Book, text: str, trait: str = "") -> Photographed:
    """The bin, find or trait that is meant: "B-3", "find 2", "ember", or what autocomplete shows of a bin.

    A find goes before a bin, a bin's code before a trait, a trait before a bin's name. With `trait` it is kept for that too.

    Raises:
        NothingPhotographed: nothing of that name; it holds the nearest.
        NoSuchTrait: `trait` is none.
    """
    wanted = " ".join(text.split())
    traits = await book.traits()
    beside = row_named(trait, traits) if trait.strip() else None
    if number := _FIND.fullmatch(wanted):
        find = await book.find_numbered(row_id(number[1]))
        if find is not None:
            return await _found(book, find)
    for code in dict.fromkeys((wanted.split(" ", 1)[0], wanted)):
        row = await book.bin_by_code(code) if code_key(code) else None
        if row is not None:
            return Photographed(bin=row, trait=beside)
    for each in traits:
        if each.name.casefold() == wanted.casefold():
            return Photographed(trait=each)
    bins = await book.bins()
    named = [row for row in bins if wanted and (row.name or "").casefold() == wanted.casefold()]
    if len(named) == 1:
        return Photographed(bin=named[0], trait=beside)
    close = difflib.get_close_matches(wanted.casefold(), [each.name.casefold() for each in traits], n=2)
    raise NothingPhotographed(
        wanted,
        nearest(wanted, bins) if wanted else (),
        tuple(each.name for each in traits if each.name.casefold() in close),
    )


async def standing(book: Book, key: str) -> Photographed:
    """The bin, find or trait with a button's key.

    Raises:
        NothingPhotographed: it is gone, or none of the reader's.
    """
    number = row_id(key[1:])
    if key[:1] == "b" and (row := await book.bin(number)) is not None:
        return Photographed(bin=row)
    if key[:1] == "f" and (find := await book.find(number)) is not None:
        return await _found(book, find)
    if key[:1] == "t" and (trait := await book.trait(number)) is not None:
        return Photographed(trait=trait)
    raise NothingPhotographed("")


async def _found(book: Book, find: FindRow) -> Photographed:
    return Photographed(bin=await book.bin(find.bin_id), find=find, trait=await book.trait(find.trait_id))


def require_may_file(request: Request, of: Photographed) -> None:
    """Let those pass who may file a photo there: of a bin who tends it, of a find also who found it, of a trait everybody.

    Raises:
        NotYours: the person may not.
    """
    if of.bin is not None and not (of.find is not None and of.find.keeper_id == request.actor):
        require(request, of.bin, Right.TEND)


async def choose_photographed(desk: Desk, request: Request, text: str) -> tuple[tuple[str, str], ...]:
    """Bins, traits and finds whose code or name holds `text`, each as shown and as typed; the person's own bins first."""
    wanted = text.strip().casefold()
    async with desk.records.read(request.server, request.actor) as book:
        bins = matching(text, await book.bins(), request.actor)
        traits = [row.name for row in await book.traits() if wanted in row.name.casefold()]
        finds = [f"find {find.number}" for find in await book.finds() if wanted in f"find {find.number}"]
    named = [(f"{b.code} {b.name}" if b.name else b.code, b.code) for b in bins]
    others = [(each, each) for each in [*finds[::-1], *traits]]
    # Neither kind crowds the other out.
    share = max(MOST_CHOICES - len(others), MOST_CHOICES // 2)
    return (*named[:share], *others)[:MOST_CHOICES]


@dataclass(frozen=True, slots=True)
class Filing:
    """What a form about a photo offers: the bins that the person may tend, those they worked on last first, and its day."""

    bins: tuple[BinLabel, ...]
    day: date


async def filing(desk: Desk, request: Request, posted_at: datetime) -> Filing:
    """What to offer somebody who files a photo that was posted at that time."""
    async with desk.records.read(request.server, request.actor) as book:
        zone = await zone_of(book, request)
        done = await book.audit(before=2**62, limit=_RECENT, actor=request.actor)
        touched = await book.bins_of_events([event.seq for event in done])
        mine = {row.id: row for row in await book.bins() if row.keeper_id == request.actor or row.shared}
        lately = [bin_id for event in done for bin_id in touched[event.seq] if bin_id in mine]
        stewarded = {row.id: row for row in await book.bins() if may(request, row, Right.TEND)}
    order = dict.fromkeys([*lately, *mine, *stewarded])
    bins = [BinLabel(stewarded[each].code, stewarded[each].name) for each in order if each in stewarded]
    return Filing(tuple(bins[:MOST_CHOICES]), min(posted_at, request.now).astimezone(zone).date())
