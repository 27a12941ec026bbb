"""Care tasks: setting one, listing one's own, resting and ending them."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.calendar import Cadence, first_due, next_due
from bot.records import Book, CareKind, EventRow, Subject, TaskRow, WriteBook
from bot.services.access import require_keeper
from bot.services.care_words import Target, read_days, read_kind, read_target
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import (
    BinLabel,
    NoRoomToPost,
    NoSuchShelf,
    NoSuchTask,
    NotYours,
    NoZoneYet,
    TakenBack,
    TaskThere,
)
from bot.services.refusals_days import DatedRests
from bot.services.request import Request, Role
from bot.services.times import read_day, read_time, zone_named
from bot.services.undo import CARE_ADDED
from bot.services.zones import known_zone

TASK = "care task"
PAUSED, RESUMED, ENDED = "care.paused", "care.resumed", "care.ended"
USUAL_TIME = "18:00"
"""When a task asks if no time was said: in the evening (a judgement)."""


@dataclass(frozen=True, slots=True)
class TaskAdded:
    """A care task as it stands in the book, when it is first due, in whose zone, and the event that can take it back.

    `label` is the bin's, None for a shelf or for all bins; `bins` is how many open bins it is for.
    """

    label: BinLabel | None
    task: TaskRow
    bins: int
    due_at: datetime
    zone: str
    event: int


@dataclass(frozen=True, slots=True)
class TaskListed:
    """A task of a keeper's list: its bin (None for a shelf or for all), how many bins it is for, and when it is next due."""

    label: BinLabel | None
    task: TaskRow
    bins: int
    due_at: datetime | None
    rests: bool


@dataclass(frozen=True, slots=True)
class TaskList:
    """The tasks of a keeper, and whether and until when the keeper is away."""

    tasks: tuple[TaskListed, ...]
    zone: str
    away_from: datetime | None = None
    away_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class TasksChanged:
    """Tasks that were paused, resumed or ended (the event's kind says which), until when they rest, and the event."""

    tasks: tuple[TaskListed, ...]
    kind: str
    until: datetime | None
    event: int


async def add_task(
    desk: Desk,
    request: Request,
    *,
    bin_text: str,
    kind: str,
    days: str,
    time: str = "",
    zone: str = "",
    channel: int | None = None,
) -> TaskAdded:
    """Set a task for a bin, a shelf or all of one's bins: pings come at the keeper's own local time.

    They come to `channel`, or else to the room the keeper chose, or the server did, or the one this was asked in. `zone`
    names the keeper's time zone; it is remembered, so that it is needed once only.

    Raises:
        NoSuchBin, NoSuchShelf, NotYours, NoRoomToPost, TaskThere, WordNotKnown, DaysNotRead, TimeNotRead, NoSuchZone,
            NoZoneYet, TextTooLong, TakenBack: nothing was written.
    """
    target, (asked, words) = read_target(bin_text), read_kind(kind)
    cadence = read_days(days, read_time(time.strip() or USUAL_TIME))
    wanted = zone_named(zone) if zone.strip() else None
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            bin_id, shelf, label = await _place(book, request, target)
            room = await room_of(book, request, channel)
            if (asked, words, cadence) in await _there(book, request.actor, bin_id, shelf):
                raise TaskThere(label)
            local = wanted or await zone_of(book, request.actor)
            if wanted:
                await book.set_keeper(zone=wanted)
            task = await book.add_task(
                bin_id=bin_id, shelf=shelf, kind=asked, text=words, cadence=cadence, channel_id=room
            )
            await write_first(book, task, cadence, request.now, local)
            event = await book.log(CARE_ADDED, Subject(TASK, task))
        return await _added(book, event)


async def write_first(book: WriteBook, task: int, cadence: Cadence, after: datetime, zone: str) -> None:
    """Write the first due date of a task for each of its bins."""
    due = first_due(after, cadence, ZoneInfo(zone))
    for bin_id in await book.bins_of_task(task):
        if due is not None:
            await book.add_occurrence(task, bin_id, due, zone)


async def zone_of(book: Book, keeper: int) -> str:
    """The keeper's time zone, or else the server's.

    Raises:
        NoZoneYet: the book knows neither.
    """
    zone = await known_zone(book, keeper)
    if zone is None:
        raise NoZoneYet
    return zone


async def _place(book: Book, request: Request, target: Target) -> tuple[int | None, str | None, BinLabel | None]:
    """The bin that a task is for, with its label; or the shelf's name as it is written; or neither, for all bins."""
    if target.all:
        return None, None, None
    if target.shelf:
        return None, await _shelf(book, request.actor, target.shelf), None
    row = await bin_named(book, target.bin)
    require_keeper(request, row)
    return row.id, None, BinLabel(row.code, row.name)


async def _shelf(book: Book, keeper: int, text: str) -> str:
    """A shelf of the keeper's bins, in the words in which it is written."""
    names = await shelves_of(book, keeper)
    for name in names:
        if name.casefold() == text.casefold():
            return name
    raise NoSuchShelf(text, names)


async def shelves_of(book: Book, keeper: int) -> tuple[str, ...]:
    """The shelves on which a keeper's open bins stand, in order of the alphabet."""
    return tuple(sorted({row.shelf for row in await book.bins() if row.keeper_id == keeper and row.shelf}))


async def room_of(book: Book, request: Request, channel: int | None = None) -> int:
    """Where a task's pings come: to `channel`, or the keeper's room, or the server's, or the one it is asked for in.

    Raises:
        NoRoomToPost: it is the last of these, and nothing may be posted there.
    """
    keeper, server = await book.keeper(request.actor), await book.server_row()
    chosen = channel or (keeper and keeper.channel_id) or (server and server.channel_id)
    if chosen:
        return chosen
    if not request.may_post:
        raise NoRoomToPost
    return request.channel


async def _there(
    book: Book, keeper: int, bin_id: int | None, shelf: str | None
) -> set[tuple[CareKind, str | None, Cadence]]:
    """What the keeper has asked for already, for the same bin, shelf or all."""
    return {
        (task.kind, task.text, task.cadence)
        for task in await book.tasks_by(keeper)
        if (task.bin_id, task.shelf) == (bin_id, shelf)
    }


async def _added(book: Book, event: EventRow) -> TaskAdded:
    """The task with the due date that its event made: a repeat of the request finds the same after that was asked."""
    task = await book.task(event.subject.id)
    if task is None:
        raise TakenBack("care task")
    made = [await book.occurrence(row["id"]) for row in event.after["rows"] if row["table"] == "occurrences"]
    zone = await zone_of(book, task.keeper_id)
    due = next((found.due_at for found in made if found), None) or first_due(event.at, task.cadence, ZoneInfo(zone))
    if due is None:
        raise TakenBack("care task")
    listed = await _listed(book, task, event.at)
    return TaskAdded(listed.label, task, listed.bins, due, zone, event.seq)


async def _listed(book: Book, task: TaskRow, now: datetime) -> TaskListed:
    row = await book.bin(task.bin_id) if task.bin_id is not None else None
    waiting = [found.due_at for found in await book.open_occurrences(task.id) if found.asked_at is None]
    return TaskListed(
        label=BinLabel(row.code, row.name) if row else None,
        task=task,
        bins=len(await book.bins_of_task(task.id)),
        due_at=min(waiting, default=None),
        rests=task.rests(now),
    )


async def list_tasks(desk: Desk, request: Request) -> TaskList:
    """The actor's tasks, those that are due next first."""
    async with desk.records.read(request.server, request.actor) as book:
        keeper = await book.keeper(request.actor)
        server = await book.server_row()
        found = [await _listed(book, task, request.now) for task in await book.tasks_by(request.actor)]
    never = datetime.max.replace(tzinfo=request.now.tzinfo)
    found.sort(key=lambda item: (item.rests, item.due_at or never, item.task.id))
    zone = (keeper.zone if keeper else None) or (server.zone if server else None) or "UTC"
    away = (keeper.away_from, keeper.away_until) if keeper else (None, None)
    return TaskList(tuple(found), zone, *away)


async def pause_tasks(desk: Desk, request: Request, *, task: int | None, until: str = "") -> TasksChanged:
    """Let a task rest, or all of the actor's but the dated ones: until a day, or until further notice. What waits falls after
    that.

    Raises:
        NoSuchTask, NotYours, DatedRests, DateNotRead, NoZoneYet: nothing was changed.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            tasks = await _chosen(book, request, task)
            if any(each.kind.dated for each in tasks):
                raise DatedRests
            zone = await zone_of(book, request.actor)
            end = read_day(until, request.now, ZoneInfo(zone)) if until.strip() else None
            for each in tasks:
                await book.pause_task(each.id, end)
                if end is not None:
                    await _move_waiting(book, each, end, zone)
            event = await book.log(PAUSED, Subject(TASK, tasks[0].id))
        return await _changed(book, event)


async def resume_tasks(desk: Desk, request: Request, *, task: int | None) -> TasksChanged:
    """Let a resting task ask again, or all of the actor's that rest. What fell due meanwhile is not made up for.

    Raises:
        NoSuchTask, NotYours, NoZoneYet: nothing was changed.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            tasks = [each for each in await _chosen(book, request, task) if each.rests(request.now)]
            if not tasks:
                raise NoSuchTask
            zone = await zone_of(book, request.actor)
            for each in tasks:
                await book.resume_task(each.id)
                await _move_waiting(book, each, request.now, zone)
            event = await book.log(RESUMED, Subject(TASK, tasks[0].id))
        return await _changed(book, event)


async def end_task(desk: Desk, request: Request, *, task: int) -> TasksChanged:
    """Ask for this care no more.

    Raises:
        NoSuchTask, NotYours: nothing was changed.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            (row,) = await _chosen(book, request, task)
            await book.end_task(row.id)
            event = await book.log(ENDED, Subject(TASK, row.id))
        return await _changed(book, event)


async def _chosen(book: Book, request: Request, task: int | None) -> list[TaskRow]:
    if task is None:
        every = [each for each in await book.tasks_by(request.actor) if not each.kind.dated]
        if not every:
            raise NoSuchTask
        return every
    row = await book.task(task)
    if row is None or row.ended_at is not None:
        raise NoSuchTask
    if row.keeper_id != request.actor and Role.STEWARD not in request.roles:
        keeper = await book.keeper(row.keeper_id)
        raise NotYours(what="care task", keeper_name=keeper.name if keeper else "")
    return [row]


async def _move_waiting(book: WriteBook, task: TaskRow, after: datetime, zone: str) -> None:
    """Let what waits of a task and falls before a time fall after it."""
    due = next_due(after, task.cadence, ZoneInfo(zone), after)
    taken: set[int] = set()
    for waiting in await book.open_occurrences(task.id):
        if waiting.asked_at is not None or waiting.due_at > after:
            continue
        if due is None or waiting.bin_id in taken:
            await book.drop_occurrence(waiting.id)
        else:
            await book.move_occurrence(waiting.id, due, zone)
            taken.add(waiting.bin_id)


async def _changed(book: Book, event: EventRow) -> TasksChanged:
    rows = [await book.task(row["id"]) for row in event.after["rows"] if row["table"] == "care_tasks"]
    tasks = [await _listed(book, row, event.at) for row in rows if row is not None]
    until = next((item.task.paused_until for item in tasks), None) if event.kind == PAUSED else None
    return TasksChanged(tuple(tasks), event.kind, until, event.seq)
