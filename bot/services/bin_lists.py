"""The bins of a server in a list, and what happened to one of them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from bot.records import BinRow, Book, CountRow, EventRow, Exactness
from bot.services.desk import Desk
from bot.services.finding import any_bin_named, row_id
from bot.services.refusals import BinLabel, Outlived, WordNotKnown
from bot.services.request import Request
from bot.services.species import SpeciesCard

MINE, ALL, CLOSED = "mine", "all", "closed"
WHOSE: Final = (MINE, ALL, CLOSED)
"""Which bins a list can be of: those that the person keeps, all that are open, or all that are closed."""
EVENTS_A_PAGE: Final = 12
_LAST = 2**63 - 1


@dataclass(frozen=True, slots=True)
class Listed:
    """A bin in a list: the bin, its species and its last count."""

    row: BinRow
    species: SpeciesCard
    count: CountRow | None


@dataclass(frozen=True, slots=True)
class BinList:
    """Bins by shelf and code. `whose` is a word of `WHOSE`; `shelf` and `species` are what the list was narrowed to.

    `shelf_of` is the id of a bin on that shelf, which tells the shelf from others.
    """

    bins: tuple[Listed, ...]
    whose: str
    shelf: str | None
    shelf_of: int | None
    species: SpeciesCard | None


@dataclass(frozen=True, slots=True)
class Happened:
    """One event of a bin's history.

    Attributes:
        seq, at, keeper_name, kind: the event: its number, when, who, and its kind.
        undone: whether it was taken back since.
        undid: the number of the event that this one took back.
        other: the code of another bin, where animals came from (`came`) or went to.
        came: whether animals came into this bin.
        number, exactness, low, high: how many animals it speaks of, and how that is known.
        reason: the word for why the bin was closed.
    """

    seq: int
    at: datetime
    keeper_name: str
    kind: str
    undone: bool
    undid: int | None
    other: str | None
    came: bool
    number: int | None
    exactness: Exactness | None
    low: int | None
    high: int | None
    reason: str | None


@dataclass(frozen=True, slots=True)
class History:
    """A page of what happened to a bin, newest first; `older` is the number below which the next page begins."""

    bin_id: int
    label: BinLabel
    events: tuple[Happened, ...]
    older: int | None


async def list_bins(
    desk: Desk, request: Request, *, whose: str = "", shelf: str = "", species: str = "", shelf_of: str = ""
) -> BinList:
    """The bins of a server that the person may see. Without a word for `whose`, their own if they keep any.

    `shelf_of` names a shelf by a bin that stands on it.

    Raises:
        WordNotKnown, NoSuchSpecies: a word was not understood.
    """
    wanted = whose.strip().casefold()
    if wanted and wanted not in WHOSE:
        raise WordNotKnown(what="kind of list", text=whose, known=WHOSE)
    card = desk.species.named(species) if species.strip() else None
    async with desk.records.read(request.server, request.actor) as book:
        every = await book.bins(open_only=wanted != CLOSED)
        latest = {count.bin_id: count for count in await book.latest_counts()}
    standing = next((row for row in every if row.id == row_id(shelf_of)), None) if shelf_of else None
    place = standing.shelf if standing is not None else " ".join(shelf.split())
    fitting = [
        row
        for row in every
        if (wanted != CLOSED or row.closed_at is not None)
        and (not place or same_shelf(row.shelf, place))
        and (card is None or row.species_key == card.key)
    ]
    mine = [row for row in fitting if row.keeper_id == request.actor or row.shared]
    chosen = wanted or (MINE if mine else ALL)
    shown = mine if chosen == MINE else fitting
    return BinList(
        bins=tuple(Listed(row, desk.species.of(row.species_key), latest.get(row.id)) for row in _by_shelf(shown)),
        whose=chosen,
        shelf=place or None,
        shelf_of=shown[0].id if place and shown else None,
        species=card,
    )


def same_shelf(one: str | None, other: str | None) -> bool:
    """Whether two names are of one shelf: capitals and blanks do not matter, and no name is no shelf."""
    return bool(one and other) and " ".join(str(one).split()).casefold() == " ".join(str(other).split()).casefold()


def _by_shelf(rows: Iterable[BinRow]) -> list[BinRow]:
    return sorted(rows, key=lambda row: (not row.shelf, (row.shelf or "").casefold(), row.id))


async def choose_shelf(desk: Desk, request: Request, text: str) -> tuple[str, ...]:
    """The names of shelves that hold `text`: the person's own before those of others, each once."""
    async with desk.records.read(request.server, request.actor) as book:
        rows = [row for row in await book.bins() if row.shelf and text.strip().casefold() in row.shelf.casefold()]
    rows.sort(key=lambda row: row.keeper_id != request.actor)
    return tuple({str(row.shelf).casefold(): str(row.shelf) for row in reversed(rows)}.values())[::-1]


async def history_of(desk: Desk, request: Request, *, bin_text: str) -> History:
    """The latest of what happened to a bin, open or closed.

    Raises:
        NoSuchBin: no bin is meant.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await _page(book, await any_bin_named(book, bin_text), _LAST)


async def history_page(desk: Desk, request: Request, *, bin_id: str, before: str) -> History:
    """What happened to a bin before an event.

    Raises:
        Outlived: the person can see no such bin.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await book.bin(row_id(bin_id))
        if row is None:
            raise Outlived("button")
        return await _page(book, row, row_id(before) or _LAST)


async def _page(book: Book, row: BinRow, before: int) -> History:
    found = await book.audit(before=before, limit=EVENTS_A_PAGE + 1, bin_id=row.id)
    events = found[:EVENTS_A_PAGE]
    undone = await book.undone([event.seq for event in events])
    names = {keeper.id: keeper.name for keeper in await book.keepers()}
    codes = {each.id: each.code for each in await book.bins(open_only=False)}
    return History(
        bin_id=row.id,
        label=BinLabel(row.code, row.name),
        events=tuple(_happened(event, row.id, names, codes, event.seq in undone) for event in events),
        older=events[-1].seq if len(found) > len(events) else None,
    )


def _happened(
    event: EventRow, bin_id: int, names: Mapping[int, str], codes: Mapping[int, str], undone: bool
) -> Happened:
    rows: Sequence[Mapping[str, Any]] = event.after["rows"]
    transfer = _first(rows, "transfers")
    counts = [row for row in rows if row["table"] == "counts" and row["bin_id"] == bin_id]
    closing = _first(rows, "closings")
    spoken = transfer if transfer is not None else counts[0] if counts else {}
    number = spoken.get("number", spoken.get("total"))
    word = spoken.get("exactness")
    return Happened(
        seq=event.seq,
        at=event.at,
        keeper_name=names.get(event.actor_id, ""),
        kind=event.kind,
        undone=undone,
        undid=event.subject.id if event.subject.kind == "event" else None,
        other=_other(transfer, bin_id, codes),
        came=transfer is not None and transfer["to_bin_id"] == bin_id,
        number=number,
        exactness=Exactness(word) if word else None,
        low=spoken.get("low"),
        high=spoken.get("high"),
        reason=closing["reason"] if closing is not None else None,
    )


def _first(rows: Sequence[Mapping[str, Any]], table: str) -> Mapping[str, Any] | None:
    return next((row for row in rows if row["table"] == table), None)


def _other(transfer: Mapping[str, Any] | None, bin_id: int, codes: Mapping[int, str]) -> str | None:
    """The code of the bin at the other end; None for one that is not for the person's eyes."""
    if transfer is None:
        return None
    return codes.get(transfer["from_bin_id"] if transfer["to_bin_id"] == bin_id else transfer["to_bin_id"])
