"""Care to start with: a set of tasks for each group of species, offered once a bin is opened. Common practice, no source."""

import tomllib
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib import resources
from zoneinfo import ZoneInfo

from bot.calendar import Cadence, next_due
from bot.records import BinRow, Book, CareKind, EventRow, Subject, TaskRow
from bot.services.access import require_keeper
from bot.services.care_tasks import USUAL_TIME, room_of, zone_of
from bot.services.care_words import read_days, read_kind
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import BinLabel, TakenBack, TaskThere
from bot.services.request import Request
from bot.services.times import read_time
from bot.services.undo import CARE_ADDED

_OTHER = "other"


@dataclass(frozen=True, slots=True)
class Starter:
    """A task of a starter set."""

    kind: CareKind
    cadence: Cadence


@dataclass(frozen=True, slots=True)
class StarterSet:
    """What a bin could start with: the tasks that its keeper does not have for it yet, and what the species is called."""

    label: BinLabel
    species: str
    group: str
    tasks: tuple[Starter, ...]


@dataclass(frozen=True, slots=True)
class StartersAdded:
    """The tasks that were set for a bin, when the first of them asks, in whose zone, and the event."""

    label: BinLabel
    tasks: tuple[TaskRow, ...]
    due_at: datetime
    zone: str
    event: int


@cache
def _sets() -> dict[str, tuple[frozenset[str], tuple[Starter, ...]]]:
    """The shipped sets by group, each with its genera. Package data, which does not change while the process runs."""
    document = tomllib.loads(resources.files("bot.services").joinpath("starters.toml").read_text("utf-8"))
    minute = read_time(USUAL_TIME)
    return {
        group: (
            frozenset(row["genera"]),
            tuple(Starter(read_kind(task["task"])[0], read_days(task["days"], minute)) for task in row["tasks"]),
        )
        for group, row in document.items()
    }


def starters_for(species_key: str) -> tuple[str, tuple[Starter, ...]]:
    """The group of a species by the genus its key begins with, and the group's tasks."""
    genus = species_key.partition("-")[0]
    group = next((name for name, (genera, _) in _sets().items() if genus in genera), _OTHER)
    return group, _sets()[group][1]


async def offer_starters(desk: Desk, request: Request, *, bin_text: str) -> StarterSet:
    """What a bin could start with, as far as its keeper does not have it already.

    Raises:
        NoSuchBin, NotYours: nothing is offered.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await bin_named(book, bin_text)
        require_keeper(request, row)
        group, tasks = await _new(book, request, row)
    return StarterSet(BinLabel(row.code, row.name), desk.species.of(row.species_key).name, group, tasks)


async def add_starters(desk: Desk, request: Request, *, bin_text: str) -> StartersAdded:
    """Set them, all in one change that can be taken back.

    Raises:
        NoSuchBin, NotYours, NoZoneYet, NoRoomToPost, TaskThere, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            _, tasks = await _new(book, request, row)
            if not tasks:
                raise TaskThere(BinLabel(row.code, row.name))
            room, zone = await room_of(book, request), await zone_of(book, request.actor)
            made = []
            for task in tasks:
                number = await book.add_task(bin_id=row.id, kind=task.kind, cadence=task.cadence, channel_id=room)
                made.append(number)
                due = _first(task.cadence, request.now, ZoneInfo(zone))
                if due is not None:
                    await book.add_occurrence(number, row.id, due, zone)
            event = await book.log(CARE_ADDED, Subject("care task", made[0]))
        return await _started(book, event)


def _first(cadence: Cadence, now: datetime, zone: ZoneInfo) -> datetime | None:
    """A bin that was just opened wants nothing that comes every so many days before those days have passed."""
    return next_due(now, cadence, zone, now)


async def _new(book: Book, request: Request, row: BinRow) -> tuple[str, tuple[Starter, ...]]:
    group, tasks = starters_for(row.species_key)
    there = {task.kind for task in await book.care_of(row.id) if task.keeper_id == request.actor}
    return group, tuple(task for task in tasks if task.kind not in there)


async def _started(book: Book, event: EventRow) -> StartersAdded:
    rows = [await book.task(row["id"]) for row in event.after["rows"] if row["table"] == "care_tasks"]
    tasks = tuple(row for row in rows if row is not None)
    dates = [await book.occurrence(row["id"]) for row in event.after["rows"] if row["table"] == "occurrences"]
    due = min((date.due_at for date in dates if date is not None), default=None)
    one = await book.bin(tasks[0].bin_id) if tasks and tasks[0].bin_id is not None else None
    if due is None or one is None:
        raise TakenBack("care task")
    zone = await zone_of(book, event.actor_id)
    return StartersAdded(BinLabel(one.code, one.name), tasks, due, zone, event.seq)
