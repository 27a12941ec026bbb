"""What a keeper's day wants, on request: asked and unanswered, or due before midnight."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.calendar import day_end
from bot.records import Book, CareKind, OccurrenceRow, OccurrenceState, Subject
from bot.rounds import RoundItem, items_of
from bot.services.care import DONE, OCCURRENCE, Answer, answer_items
from bot.services.desk import Desk
from bot.services.refusals import BinLabel, Outlived
from bot.services.request import Request
from bot.services.undo import undo
from bot.services.zones import zone_of

_AHEAD = timedelta(days=400)


@dataclass(frozen=True, slots=True)
class Today:
    """What wants doing until the keeper's midnight, late first; whether the keeper is away; and what comes next."""

    items: tuple[RoundItem, ...]
    away: bool
    next_due: datetime | None
    event: int | None = None


async def care_today(desk: Desk, request: Request) -> Today:
    """What the actor's bins want today."""
    async with desk.records.read(request.server, request.actor) as book:
        return await _today(book, request)


async def done_today(desk: Desk, request: Request, *, occurrence: int | None) -> Today:
    """One thing of today was done, or all of it; pinged already or not.

    Raises:
        Outlived: nothing of today has this number any more.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            every = await _wanted(book, request)
            meant = {_asks(row) for row in every if occurrence in (None, row.id)}
            wanted = [row for row in every if _asks(row) in meant]
            if not wanted:
                raise Outlived("task")
            await answer_items(book, wanted, Answer.DONE, request.now)
            event = await book.log(DONE, Subject(OCCURRENCE, wanted[0].id))
        return await _today(book, request, event.seq)


@dataclass(frozen=True, slots=True)
class DoneInBin:
    """What of the person's care for a bin was done today; nothing if nothing was wanted. `event` can take it back."""

    label: BinLabel
    items: tuple[RoundItem, ...]
    event: int | None


async def done_in_bin(desk: Desk, request: Request, *, bin_id: int) -> DoneInBin:
    """All that the person's tasks want of one bin today was done, pinged already or not.

    Raises:
        Outlived: the person can see no such bin.
    """
    async with desk.records.write(request.stamp) as book:
        row = await book.bin(bin_id)
        if row is None or row.closed_at is not None:
            raise Outlived("button")
        event = book.repeat
        if event is None:
            wanted = [each for each in await _wanted(book, request) if each.bin_id == row.id]
            answered = tuple(each.id for each in wanted)
            if wanted:
                await answer_items(book, wanted, Answer.DONE, request.now)
                event = await book.log(DONE, Subject(OCCURRENCE, wanted[0].id))
        else:
            rows = [each for each in event.after["rows"] if each["table"] == "occurrences"]
            answered = tuple(each["id"] for each in rows if each["state"] == OccurrenceState.DONE)
        items = (
            items_of(await book.items(answered), request.now, await zone_of(book, request.actor)) if answered else ()
        )
        return DoneInBin(BinLabel(row.code, row.name), items, None if event is None else event.seq)


async def undone_today(desk: Desk, request: Request, *, seq: int) -> Today:
    """Take such an answer back.

    Raises:
        NothingToUndo, NotYourChange, ChangedSince, BuiltUpon: nothing was put back.
    """
    await undo(desk, request, seq, only=(DONE,))
    return await care_today(desk, request)


async def _wanted(book: Book, request: Request) -> list[OccurrenceRow]:
    """The due dates of today, one of each task and bin: the latest that is due, or else the next."""
    until = day_end(request.now, await zone_of(book, request.actor))
    found = await book.open_for(request.actor, request.now, until)
    return list({(row.task_id, row.bin_id): row for row in found}.values())


def _asks(row: OccurrenceRow) -> tuple[int, CareKind, str | None, int]:
    """What is asked of a bin: two tasks that ask for the same are one thing to do, but each day of the book is its own."""
    return row.bin_id, row.kind, row.text, row.task_id if row.kind.dated else 0


async def _today(book: Book, request: Request, event: int | None = None) -> Today:
    zone = await zone_of(book, request.actor)
    wanted = await _wanted(book, request)
    keeper = await book.keeper(request.actor)
    later = await book.open_for(request.actor, request.now, request.now + _AHEAD)
    # The earliest stands for all that ask for the same.
    shown = set({_asks(row): row.id for row in reversed(wanted)}.values())
    same = {row.id for row in wanted}
    return Today(
        items=items_of(await book.items(tuple(shown)), request.now, zone),
        away=keeper is not None and keeper.is_away(request.now),
        next_due=min((row.due_at for row in later if row.id not in same), default=None),
        event=event,
    )
