"""The due date of a dated task, which follows from its day and its keeper's wall clock."""

from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import and_, func, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.calendar import instant
from bot.records.care_tables import dated_tasks
from bot.records.kinds import OccurrenceState
from bot.records.tables import care_tasks, keepers, occurrences, servers

OPEN = (OccurrenceState.DUE, OccurrenceState.ASKED)
"""The states of what still wants an answer."""


async def follow_day(
    connection: AsyncConnection, server: int, task_id: int, *, moved: bool, new_id: Callable[[], int]
) -> None:
    """Let a dated task of a server whose row is held be due on its day, once.

    `moved`: its day is another than before, so that what was put off or asked gives way. Otherwise an open date is left as
    it stands. A task that has ended asks for nothing; one that is no dated task is left alone. `new_id` gives the next id of
    the server to whoever holds its counters.
    """
    tasks = care_tasks.c
    wanted = (
        select(dated_tasks.c.day, tasks.bin_id, tasks.minute_of_day, tasks.ended_at)
        .add_columns(func.coalesce(keepers.c.zone, servers.c.zone, "UTC").label("zone"))
        .select_from(dated_tasks)
        .join(care_tasks, and_(tasks.server_id == dated_tasks.c.server_id, tasks.id == dated_tasks.c.task_id))
        .join(keepers, and_(keepers.c.server_id == tasks.server_id, keepers.c.id == tasks.keeper_id))
        .join(servers, servers.c.server_id == tasks.server_id)
        .where(dated_tasks.c.server_id == server, dated_tasks.c.task_id == task_id)
    )
    row = (await connection.execute(wanted)).first()
    if row is None:
        return
    if row.ended_at is not None:
        await close_dates(connection, server, task_id, state=OccurrenceState.DROPPED)
        return
    due = instant(row.day, row.minute_of_day, ZoneInfo(row.zone))
    mine = (occurrences.c.server_id == server, occurrences.c.task_id == task_id)
    open_ones = set(
        (await connection.execute(select(occurrences.c.due_at).where(*mine, occurrences.c.state.in_(OPEN)))).scalars()
    )
    if open_ones and (not moved or open_ones == {due}):
        return
    await close_dates(connection, server, task_id, state=OccurrenceState.DROPPED)
    # The day may have been this one before.
    cleared = dict.fromkeys(("held_until", "delivery_id", "asked_at", "done_at", "done_by"))
    again = {**cleared, "state": OccurrenceState.DUE, "zone": row.zone}
    revived = await connection.execute(update(occurrences).where(*mine, occurrences.c.due_at == due).values(again))
    if revived.rowcount == 0:
        first = {
            "task_id": task_id,
            "bin_id": row.bin_id,
            "due_at": due,
            "zone": row.zone,
            "state": OccurrenceState.DUE,
        }
        await connection.execute(insert(occurrences), {"server_id": server, "id": new_id(), **first})


async def close_dates(connection: AsyncConnection, server: int, task_id: int, **values: Any) -> None:
    """Close what is open of a task: its dates get these values, a state and who did it when."""
    mine = (occurrences.c.server_id == server, occurrences.c.task_id == task_id)
    await connection.execute(update(occurrences).where(*mine, occurrences.c.state.in_(OPEN)).values(values))
