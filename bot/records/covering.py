"""Which bins a care task is for, and when it asks: conditions shared by the book's reads and the dispatcher's."""

from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, FromClause, and_, exists, func, or_

from bot.records.bin_tables import bin_shelves
from bot.records.kinds import CareScope, Privacy
from bot.records.tables import bin_keepers, bins, care_tasks, keepers, texts


def covers(task: FromClause = care_tasks, bin_: FromClause = bins) -> ColumnElement[bool]:
    """The task is for this open bin of the same server: it names it, or its shelf, or its keeper asked for all that they keep.

    A task for a bin that its keeper may no longer read is for none.
    """
    mine = bin_.c.keeper_id == task.c.keeper_id
    wanted, found = texts.alias("wanted_shelf"), texts.alias("found_shelf")
    on_shelf = (
        exists()
        .where(
            bin_shelves.c.server_id == bin_.c.server_id,
            bin_shelves.c.bin_id == bin_.c.id,
            found.c.server_id == bin_shelves.c.server_id,
            found.c.id == bin_shelves.c.name_id,
            wanted.c.server_id == task.c.server_id,
            wanted.c.id == task.c.shelf_id,
            func.lower(found.c.body) == func.lower(wanted.c.body),
        )
        .correlate(task, bin_)
    )
    shared = exists().where(
        bin_keepers.c.server_id == bin_.c.server_id,
        bin_keepers.c.bin_id == bin_.c.id,
        bin_keepers.c.keeper_id == task.c.keeper_id,
    )
    may_read = or_(bin_.c.privacy != Privacy.BIN, shared.correlate(task, bin_))
    return and_(
        bin_.c.server_id == task.c.server_id,
        bin_.c.closed_at.is_(None),
        or_(
            and_(task.c.scope == CareScope.BIN, task.c.bin_id == bin_.c.id, or_(may_read, mine)),
            and_(task.c.scope == CareScope.ALL, mine),
            and_(task.c.scope == CareScope.SHELF, mine, on_shelf),
        ),
    )


def is_awake(now: datetime | Any) -> ColumnElement[bool]:
    """The task of `care_tasks` has not ended and does not rest at this time."""
    tasks = care_tasks.c
    return and_(
        tasks.ended_at.is_(None),
        or_(tasks.paused_at.is_(None), and_(tasks.paused_until.is_not(None), tasks.paused_until <= now)),
    )


def is_here(now: datetime | Any) -> ColumnElement[bool]:
    """The keeper of `keepers` is not away at this time."""
    away = keepers.c
    return or_(away.away_from.is_(None), away.away_from > now, away.away_until <= now)
