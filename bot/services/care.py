"""Care tasks: set one up, and answer its pings."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from bot.calendar import next_weekly
from bot.records import Book, CareKind, EventRow, OccurrenceRow, OccurrenceState, Subject, TaskRow
from bot.services.access import require_keeper
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import (
    BinLabel,
    NoRoomToPost,
    NotYours,
    NoZoneYet,
    Outlived,
    Superseded,
    TakenBack,
    TaskThere,
    WordNotKnown,
)
from bot.services.request import Request, Role
from bot.services.times import read_time, zone_named
from bot.services.undo import CARE_ADDED, EVENT, undo

TASK, DELIVERY = "care task", "delivery"
DONE, PUT_OFF = "care.done", "care.later"
_OPEN = (OccurrenceState.ASKED, OccurrenceState.DUE)
LATER = timedelta(days=1)
"""How long *Later* puts a ping off: to the same hour of the next day (a judgement)."""


KINDS = {"moisture": CareKind.MOISTURE, "leaf litter": CareKind.LITTER, "recount": CareKind.RECOUNT}
"""What a weekly task can ask for, by the words keepers type."""
WEEKDAYS = {
    name: number
    for number, name in enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"))
}
"""The days of the week, Monday as 0."""
_Meaning = TypeVar("_Meaning")


def _one_of(text: str, known: Mapping[str, _Meaning], what: str) -> _Meaning:
    """What a word means, of which the beginning is enough: "mon", "litter"."""
    wanted = text.strip().casefold()
    for word, meaning in known.items():
        if wanted and (word.casefold().startswith(wanted) or wanted in word.casefold().split()):
            return meaning
    raise WordNotKnown(what=what, text=text, known=tuple(known))


@dataclass(frozen=True, slots=True)
class TaskAdded:
    """A care task as it stands in the book, when it is first due, in whose zone, and the event that can take it back."""

    label: BinLabel
    task: TaskRow
    due_at: datetime
    zone: str
    event: int


@dataclass(frozen=True, slots=True)
class RoundAnswered:
    """A ping after *Done* or *Later*: what it asked, when each comes again, who answered, and the event of the answer."""

    delivery: int
    items: tuple[OccurrenceRow, ...]
    next_due: datetime | None
    by: int
    done: bool
    event: int


@dataclass(frozen=True, slots=True)
class RoundReopened:
    """A ping whose answer was taken back, and what it asks."""

    delivery: int
    items: tuple[OccurrenceRow, ...]


async def add_task(
    desk: Desk, request: Request, *, bin_text: str, kind: str, weekday: str, time: str, zone: str = ""
) -> TaskAdded:
    """Set a weekly task: pings come to the channel it was asked for in, at the keeper's own local time.

    `zone` names the keeper's time zone; it is remembered, so that it is needed once only.

    Raises:
        NoSuchBin, NotYours, NoRoomToPost, TaskThere, WordNotKnown, TimeNotRead, NoSuchZone, NoZoneYet, TakenBack:
            nothing was written.
    """
    asked, day, minute = (
        _one_of(kind, KINDS, "care task"),
        _one_of(weekday, WEEKDAYS, "day of the week"),
        read_time(time),
    )
    wanted = zone_named(zone) if zone.strip() else None
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            if not request.may_post:
                raise NoRoomToPost
            same = (asked, day, minute, request.actor)
            if same in {(t.kind, t.weekday, t.minute_of_day, t.keeper_id) for t in await book.tasks(row.id)}:
                raise TaskThere(BinLabel(row.code, row.name))
            local = wanted or await _zone_of(book, request.actor)
            if wanted:
                await book.set_keeper(zone=wanted)
            task = await book.add_task(
                row.id, kind=asked, weekday=day, minute_of_day=minute, channel_id=request.channel
            )
            await book.add_occurrence(task, next_weekly(request.now, day, minute, ZoneInfo(local)))
            event = await book.log(CARE_ADDED, Subject(TASK, task))
        return await _added(book, event)


async def _zone_of(book: Book, keeper: int) -> str:
    known = await book.keeper(keeper)
    server = await book.server_row()
    zone = (known.zone if known else None) or (server.zone if server else None)
    if zone is None:
        raise NoZoneYet
    return zone


async def _added(book: Book, event: EventRow) -> TaskAdded:
    """The task with the due date that its event made: a repeat of the request finds the same after that was asked."""
    first = next(row["id"] for row in event.after["rows"] if row["table"] == "occurrences")
    task, due = await book.task(event.subject.id), await book.occurrence(first)
    if task is None or due is None:
        raise TakenBack("care task")
    row = await book.bin(task.bin_id)
    label = BinLabel(row.code, row.name) if row else BinLabel(due.bin_code)
    return TaskAdded(label, task, due.due_at, await _zone_of(book, task.keeper_id), event.seq)


async def answer_round(desk: Desk, request: Request, *, delivery: int, done: bool) -> RoundAnswered:
    """*Done* or *Later* on a ping, for everything it asked that is still open.

    The next due times stand in the book since the ping was sent; *Later* adds one a day from now. A ping that was answered
    already gives that answer again, so that a second tap does no harm.

    Raises:
        Outlived: there is no such ping, or its tasks were taken back.
        Superseded: a newer ping asks for what this one asked.
        NotYours: it is another keeper's.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            items = await _open_items(book, request, delivery)
            if not items:
                return await _answered(book, delivery, await _last_answer(book, delivery))
            for item in items:
                if done:
                    await book.finish_occurrence(item.id)
                else:
                    await book.put_off_occurrence(item.id, request.now + LATER)
            event = await book.log(DONE if done else PUT_OFF, Subject(DELIVERY, delivery))
        return await _answered(book, delivery, event)


async def _open_items(book: Book, request: Request, delivery: int) -> tuple[OccurrenceRow, ...]:
    row = await book.delivery(delivery)
    if row is None:
        raise Outlived("ping")
    if row.keeper_id != request.actor and Role.STEWARD not in request.roles:
        keeper = await book.keeper(row.keeper_id)
        raise NotYours(what="ping", keeper_name=keeper.name if keeper else "")
    return tuple(item for item in await book.occurrences_of(delivery) if item.state in _OPEN)


async def _last_answer(book: Book, delivery: int) -> EventRow:
    for event in await book.events(DELIVERY, delivery, limit=1):
        # An answer that was taken back is none; nor is any before it, which had to be taken back for it.
        if not await book.events(EVENT, event.seq, limit=1):
            return event
    dropped = [i for i in await book.occurrences_of(delivery) if i.state is OccurrenceState.DROPPED]
    tasks = [await book.task(item.task_id) for item in dropped]
    if any(task is not None and task.ended_at is None for task in tasks):
        raise Superseded
    raise Outlived("ping")


async def _answered(book: Book, delivery: int, event: EventRow) -> RoundAnswered:
    """The answer as its event has it: a repeat of the request finds the same, whatever was changed since."""
    touched = [row["id"] for row in event.after["rows"] if row["table"] == "occurrences"]
    items = [item for item in [await book.occurrence(occurrence) for occurrence in touched] if item is not None]
    following = [await book.open_occurrence(item.task_id) for item in items]
    return RoundAnswered(
        delivery=delivery,
        items=tuple(items),
        next_due=min((f.due_at for f in following if f is not None), default=None),
        by=event.actor_id,
        done=event.kind == DONE,
        event=event.seq,
    )


async def reopen_round(desk: Desk, request: Request, *, seq: int) -> RoundReopened:
    """Take back *Done* or *Later*: the ping asks again for what it had asked.

    Raises:
        NothingToUndo, NotYourChange, ChangedSince, BuiltUpon: nothing was put back.
    """
    undone = await undo(desk, request, seq, only=(DONE, PUT_OFF))
    delivery = undone.event.subject.id
    async with desk.records.read(request.server, request.actor) as book:
        items = [item for item in await book.occurrences_of(delivery) if item.state in _OPEN]
    return RoundReopened(delivery, tuple(items))


async def bins_of_round(desk: Desk, request: Request, *, delivery: int) -> tuple[BinLabel, ...]:
    """The bins a ping is about, the late ones first.

    Raises:
        Outlived: there is no such ping.
    """
    async with desk.records.read(request.server, request.actor) as book:
        items = await book.occurrences_of(delivery)
        rows = [await book.bin(bin_id) for bin_id in dict.fromkeys(item.bin_id for item in items)]
    if not rows:
        raise Outlived("ping")
    return tuple(BinLabel(row.code, row.name) for row in rows if row is not None)
