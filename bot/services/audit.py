"""What was done in a server, newest first: who, what, when."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime

from bot.records import Book, EventRow, Privacy
from bot.services.access import is_steward
from bot.services.desk import Desk
from bot.services.finding import any_bin_named
from bot.services.refusals import BinLabel, NothingToUndo
from bot.services.request import Request
from bot.services.undo import Undone, undo

PAGE = 10
"""Changes on a page: what fits a phone screen."""
_LAST = 2**63 - 1
_LOOKED_BACK = 200


@dataclass(frozen=True, slots=True)
class Change:
    """One change: its number, when, by whom, of what kind, the bins that it changed something of, and if it was undone.

    `undid` is the number of the change that this one took back.
    """

    seq: int
    at: datetime
    keeper_id: int
    keeper_name: str
    kind: str
    bins: tuple[BinLabel, ...]
    undone: bool
    undid: int | None


@dataclass(frozen=True, slots=True)
class Audit:
    """A page of changes. `older` is the number below which the next page begins, None on the last one.

    `bin_id` and `label` say of which bin, `keeper_id` and `keeper_name` of whom, where only those were asked for.
    """

    changes: tuple[Change, ...]
    older: int | None
    bin_id: int | None
    label: BinLabel | None
    keeper_id: int | None
    keeper_name: str | None


async def audit_of(desk: Desk, request: Request, *, bin_text: str = "", keeper: int | None = None) -> Audit:
    """The newest changes of a server, of one bin or of one keeper. What changed a bin that is private stays with its keepers.

    Raises:
        NoSuchBin: there is no such bin for the person who asks.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await any_bin_named(book, bin_text) if bin_text.strip() else None
        return await _page(book, before=_LAST, bin_id=row.id if row else None, keeper=keeper)


async def audit_page(
    desk: Desk, request: Request, *, before: int, bin_id: int | None = None, keeper: int | None = None
) -> Audit:
    """The changes numbered below `before`."""
    async with desk.records.read(request.server, request.actor) as book:
        return await _page(book, before=before, bin_id=bin_id, keeper=keeper)


async def undo_last(desk: Desk, request: Request) -> Undone:
    """Take back the last thing the person who asks did that was not taken back yet.

    Raises:
        NothingToUndo, ChangedSince, BuiltUpon: nothing was put back.
    """
    async with desk.records.read(request.server, request.actor) as book:
        # The request may have been here before: then its answer is the one it had.
        done = await book.event_of_request(request.request_id)
        last = await book.last_event_of(request.actor)
    if done is not None:
        return await undo(desk, request, done.subject.id)
    if last is None:
        raise NothingToUndo
    return await undo(desk, request, last.seq)


async def undoable(desk: Desk, request: Request) -> tuple[Change, ...]:
    """What the person who asks may take back, newest first: their own changes, and for a steward everybody's."""
    keeper = None if is_steward(request) else request.actor
    async with desk.records.read(request.server, request.actor) as book:
        page = await _page(book, before=_LAST, bin_id=None, keeper=keeper, size=25)
    return tuple(change for change in page.changes if not change.undone and change.undid is None)


async def _page(book: Book, *, before: int, bin_id: int | None, keeper: int | None, size: int = PAGE) -> Audit:
    found = await book.audit(before=before, limit=size + 1, actor=keeper, bin_id=bin_id)
    events = found[:size]
    seqs = [event.seq for event in events]
    bins = await book.bins_of_events(seqs)
    rows = {row.id: BinLabel(row.code, row.name) for row in await book.bins(open_only=False)}
    hidden = await _once_private(book, {each for several in bins.values() for each in several} - rows.keys())
    undone = await book.undone(seqs)
    names = {known.id: known.name for known in await book.keepers()}
    return Audit(
        changes=tuple(
            _change(event, bins[event.seq], rows, names, event.seq in undone)
            for event in events
            if event.actor_id == book.reader or hidden.isdisjoint(bins[event.seq])
        ),
        older=events[-1].seq if len(found) > size else None,
        bin_id=bin_id,
        label=rows.get(bin_id) if bin_id is not None else None,
        keeper_id=keeper,
        keeper_name=names.get(keeper, "") if keeper is not None else None,
    )


async def _once_private(book: Book, gone: Collection[int]) -> frozenset[int]:
    """Those of these bins, which were taken back whole, that were private at any time: the book has no row that says so."""
    found = set()
    for bin_id in gone:
        for event in await book.audit(before=_LAST, limit=_LOOKED_BACK, bin_id=bin_id):
            images = (*event.before["rows"], *event.after["rows"])
            if any(image["table"] == "bins" and image.get("privacy") == Privacy.BIN for image in images):
                found.add(bin_id)
    return frozenset(found)


def _named(event: EventRow, bins: tuple[int, ...]) -> tuple[int, ...]:
    """The bins to name: of a new bin not its parents, though the change is about them as well."""
    return (event.subject.id,) if event.kind == "bin.opened" else bins


def _change(
    event: EventRow, bins: tuple[int, ...], rows: Mapping[int, BinLabel], names: Mapping[int, str], undone: bool
) -> Change:
    return Change(
        seq=event.seq,
        at=event.at,
        keeper_id=event.actor_id,
        keeper_name=names.get(event.actor_id, ""),
        kind=event.kind,
        bins=tuple(rows[each] for each in _named(event, bins) if each in rows),
        undone=undone,
        undid=event.subject.id if event.subject.kind == "event" else None,
    )
