"""The dates that wait to be asked, kept right by the clock: each task has one for each of its bins, by its keeper's wall clock.

So a bin that is opened under a task for all bins, a bin that is put on a shelf, and a keeper who moves to another zone need
nobody to think of care. Whoever writes here holds the server's row.
"""

from collections.abc import Collection
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Row, Select, and_, func, insert, or_, select, type_coerce, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.calendar import Cadence, Rhythm, first_due, moved, next_due, quiet_until
from bot.records.covering import covers, is_awake, is_here
from bot.records.kinds import OccurrenceState
from bot.records.tables import bins, care_tasks, keepers, occurrences, servers
from bot.records.types import UtcDateTime

_ACROSS = {"unscoped": "waiting"}
_ZONE = func.coalesce(keepers.c.zone, servers.c.zone, "UTC")
_WAITS = and_(occurrences.c.state == OccurrenceState.DUE, occurrences.c.delivery_id.is_(None))
_KEEPER = and_(keepers.c.server_id == care_tasks.c.server_id, keepers.c.id == care_tasks.c.keeper_id)

Date = tuple[int, int, datetime, str | None]
"""A date that waits: task, bin, when, and the zone whose wall clock says so."""


async def put_right(connection: AsyncConnection, now: datetime) -> None:
    """Write the dates that are missing, and move those of keepers who moved to another zone."""
    for row in await _of_locked(connection, _missing()):
        due = _first(row, now)
        if due is not None:
            await add_waiting(connection, row.server_id, [(row.task_id, row.bin_id, due, row.zone)])
    for row in await _of_locked(connection, _of_another_zone()):
        due = moved(row.due_at, row.minute_of_day, ZoneInfo(row.zone), ZoneInfo(row.new_zone))
        await _change(connection, row, due_at=due, zone=row.new_zone, held_until=None)


async def hold_quiet(connection: AsyncConnection, now: datetime) -> None:
    """Hold what is due in its keeper's quiet hours until they end."""
    for row in await _of_locked(connection, _in_doubt(now)):
        until = quiet_until(now, row.quiet_from, row.quiet_to, ZoneInfo(row.zone))
        if until is not None:
            await _change(connection, row, held_until=until)


async def _of_locked(connection: AsyncConnection, wanted: Select[Any]) -> list[Row[Any]]:
    """What a selection finds in the servers that nobody is writing to; they are then held. The others have another turn."""
    found = await connection.execute(wanted, execution_options=_ACROSS)
    of = sorted({row.server_id for row in found})
    if not of:
        return []
    held = lock(servers.c.server_id.in_(of), skip_locked=True)
    ours = (await connection.execute(held, execution_options=_ACROSS)).scalars().all()
    # Looked at once more: before the lock it was another's to change.
    again = wanted.where(servers.c.server_id.in_(ours))
    return list(await connection.execute(again, execution_options=_ACROSS))


def _missing() -> Select[Any]:
    """The pairs of a task that goes on and a bin of it of which no date waits and none is unanswered."""
    pair = and_(
        occurrences.c.server_id == care_tasks.c.server_id,
        occurrences.c.task_id == care_tasks.c.id,
        occurrences.c.bin_id == bins.c.id,
    )
    still = occurrences.c.state.in_((OccurrenceState.DUE, OccurrenceState.ASKED))
    latest = select(func.max(occurrences.c.due_at)).where(pair).scalar_subquery()
    done = select(func.max(occurrences.c.done_at)).where(pair).scalar_subquery()
    tasks = care_tasks.c
    return (
        select(tasks.server_id, tasks.id.label("task_id"), tasks.rhythm, tasks.days, tasks.minute_of_day)
        .add_columns(tasks.paused_until, bins.c.id.label("bin_id"), _ZONE.label("zone"))
        .add_columns(
            type_coerce(latest, UtcDateTime).label("latest"), type_coerce(done, UtcDateTime).label("last_done")
        )
        .select_from(care_tasks)
        .join(bins, covers())
        .join(keepers, _KEEPER)
        .join(servers, servers.c.server_id == tasks.server_id)
        .where(
            tasks.ended_at.is_(None),
            tasks.rhythm != Rhythm.ONCE,
            or_(tasks.paused_at.is_(None), tasks.paused_until.is_not(None)),
            ~select(occurrences.c.id).where(pair, still).exists(),
        )
    )


def _first(row: Row[Any], now: datetime) -> datetime | None:
    """When a pair without a date is due: after now, after its rest, and after every date it had."""
    cadence = Cadence.of(row.rhythm, row.days, row.minute_of_day)
    after = max(now, row.paused_until or now, row.latest or now)
    zone = ZoneInfo(row.zone)
    since = row.last_done or row.latest
    return first_due(after, cadence, zone) if since is None else next_due(after, cadence, zone, since)


def _of_another_zone() -> Select[Any]:
    """The waiting dates that were made by another wall clock than their keeper's."""
    return (
        select(occurrences.c.server_id, occurrences.c.id, occurrences.c.due_at, occurrences.c.zone)
        .add_columns(care_tasks.c.minute_of_day, _ZONE.label("new_zone"))
        .select_from(occurrences)
        .join(
            care_tasks,
            and_(care_tasks.c.server_id == occurrences.c.server_id, care_tasks.c.id == occurrences.c.task_id),
        )
        .join(keepers, _KEEPER)
        .join(servers, servers.c.server_id == occurrences.c.server_id)
        .where(_WAITS, occurrences.c.zone != _ZONE, care_tasks.c.ended_at.is_(None))
    )


def _in_doubt(now: datetime) -> Select[Any]:
    """What is due and not held, of keepers who have quiet hours."""
    what = select(occurrences.c.server_id, occurrences.c.id, keepers.c.quiet_from, keepers.c.quiet_to)
    return (
        asking(what.add_columns(_ZONE.label("zone")), now)
        .join(servers, servers.c.server_id == occurrences.c.server_id)
        .where(
            _WAITS,
            occurrences.c.due_at <= now,
            or_(occurrences.c.held_until.is_(None), occurrences.c.held_until <= now),
            keepers.c.quiet_from.is_not(None),
            keepers.c.quiet_to.is_not(None),
        )
    )


async def _change(connection: AsyncConnection, row: Row[Any], **changes: Any) -> None:
    here = (occurrences.c.server_id == row.server_id, occurrences.c.id == row.id)
    await connection.execute(update(occurrences).where(*here).values(changes))


def asking(what: Select[Any], now: datetime) -> Select[Any]:
    """Restrict a selection to occurrences of tasks that ask at this time: not ended or resting, for a bin that is still
    theirs, and of a keeper who is here."""
    return (
        what.select_from(occurrences)
        .join(
            care_tasks,
            and_(care_tasks.c.server_id == occurrences.c.server_id, care_tasks.c.id == occurrences.c.task_id),
        )
        .join(bins, and_(bins.c.server_id == occurrences.c.server_id, bins.c.id == occurrences.c.bin_id))
        .join(keepers, _KEEPER)
        .where(is_awake(now), covers(), is_here(now))
    )


def lock(which: ColumnElement[bool], *, skip_locked: bool = False) -> Select[Any]:
    """Hold servers' rows against every other writer until the transaction ends. SQLite holds the whole file anyway."""
    return select(servers.c.server_id).where(which).with_for_update(skip_locked=skip_locked, key_share=True)


async def new_ids(connection: AsyncConnection, server: int, number: int) -> range:
    """The next ids of a server whose row is held."""
    if not number:
        return range(0)
    count_up = (
        update(servers)
        .where(servers.c.server_id == server)
        .values(next_id=servers.c.next_id + number)
        .returning(servers.c.next_id)
    )
    after: int = (await connection.execute(count_up)).scalar_one()
    return range(after - number, after)


async def add_waiting(connection: AsyncConnection, server: int, dates: Collection[Date]) -> None:
    """Write dates that wait, in a server whose row is held."""
    ids = await new_ids(connection, server, len(dates))
    rows = [
        {
            "server_id": server,
            "id": occurrence,
            "task_id": task,
            "bin_id": bin_id,
            "due_at": due,
            "zone": zone,
            "state": OccurrenceState.DUE,
        }
        for occurrence, (task, bin_id, due, zone) in zip(ids, dates, strict=True)
    ]
    if rows:
        await connection.execute(insert(occurrences), rows)
