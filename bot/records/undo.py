"""Taking an event back: its rows are put as they were, if they still stand as the event left them."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Column, ForeignKeyConstraint, Table, and_, delete, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records import bin_tables, event_selects, photo_tables, tables
from bot.records.care_tables import dated_tasks
from bot.records.dated_dates import follow_day
from bot.records.errors import Changed, Depended, Irreversible
from bot.records.journal import Journal, columns_of, image, key_of, read_image
from bot.records.kinds import CareKind, OccurrenceState
from bot.records.rows import EventRow
from bot.records.tables import metadata


@dataclass(frozen=True, slots=True)
class _Step:
    """One row to put back: `before` is None for a row that the event made, `after` for one that it took away."""

    table: Table
    row_id: int
    before: dict[str, Any] | None
    after: dict[str, Any] | None


async def take_back(
    connection: AsyncConnection, server: int, event: EventRow, journal: Journal, new_id: Callable[[], int]
) -> None:
    """Apply the inverse of an event and note it in the journal. All is checked before anything is written.

    `new_id` gives the next id of the server, for due dates that follow from what is put back.

    Raises:
        Irreversible: the event holds no rows, or is itself an undo.
        Changed: a row is not as the event left it.
        Depended: something written later hangs on a row the event made.
    """
    steps = _steps(event)
    if not steps or event.kind == event_selects.UNDO:
        raise Irreversible(event.seq)
    made = {(step.table.name, step.row_id) for step in steps if step.before is None}
    steps = [await _checked(connection, server, step) for step in steps]
    for step in steps:
        if step.before is None:
            await _forget_waiting(connection, server, step, made)
            await _forget_file(connection, server, step)
            await _refuse_depended(connection, server, step, made)
    # Backwards, so that what hangs on a row goes before the row.
    for step in reversed(steps):
        here = (step.table.c.server_id == server, key_of(step.table) == step.row_id)
        if step.before is None:
            await connection.execute(delete(step.table).where(*here))
        elif step.after is None:
            await connection.execute(insert(step.table), {"server_id": server, "id": step.row_id, **step.before})
        else:
            await connection.execute(update(step.table).where(*here).values(step.before))
        journal.note(step.table, step.row_id, step.after, step.before)
    for task, moved in _dates(steps).items():
        await follow_day(connection, server, task, moved=moved, new_id=new_id)


def _dates(steps: list[_Step]) -> dict[int, bool]:
    """The care tasks among what was put back, and whether it is their day that was."""
    days = {(step.before or step.after or {})["task_id"] for step in steps if step.table is dated_tasks}
    tasks = {step.row_id for step in steps if step.table is tables.care_tasks}
    return {task: task in days for task in sorted(days | tasks)}


def _steps(event: EventRow) -> list[_Step]:
    before = {(row["table"], row["id"]): row for row in event.before["rows"]}
    steps = []
    for row in event.after["rows"]:
        table, row_id, after = read_image(row)
        was = before.pop((row["table"], row["id"]), None)
        steps.append(_Step(table, row_id, None if was is None else read_image(was)[2], after))
    taken_away = [_Step(table, row_id, was, None) for table, row_id, was in map(read_image, before.values())]
    return [*steps, *taken_away]


async def _checked(connection: AsyncConnection, server: int, step: _Step) -> _Step:
    """The step, if its row stands as the event left it.

    Columns that came after the event, or were not its business, are in none of its images; they stay as they are.

    Raises:
        Changed: the row is another by now, or gone.
    """
    # Nobody comes in between: whoever writes rows of a server holds the server's row.
    wanted = select(step.table).where(step.table.c.server_id == server, key_of(step.table) == step.row_id)
    found = (await connection.execute(wanted)).mappings().first()
    if (found is None) != (step.after is None):
        raise Changed(step.table.name, step.row_id)
    if found is None or step.after is None:
        return step
    younger = {c.name: found[c.name] for c in columns_of(step.table) if c.name not in step.after}
    after = {**younger, **step.after}
    if image(step.table, step.row_id, dict(found)) != image(step.table, step.row_id, after):
        raise Changed(step.table.name, step.row_id)
    return replace(step, before=None if step.before is None else {**younger, **step.before}, after=after)


async def _forget_waiting(connection: AsyncConnection, server: int, step: _Step, made: set[tuple[str, int]]) -> None:
    """Take away what holds nothing back of a row that goes: dates of care that the clock made, and where its message stands.

    The dates of a dated task follow from its day, so they go with it even if they were asked for.
    """
    if step.table is tables.bins:
        message = bin_tables.bin_messages
        await connection.execute(delete(message).where(message.c.server_id == server, message.c.bin_id == step.row_id))
    dates = tables.occurrences.c
    column = {tables.bins: dates.bin_id, tables.care_tasks: dates.task_id}.get(step.table)
    if column is None:
        return
    goes_too = [row_id for name, row_id in made if name == tables.occurrences.name]
    waits = and_(dates.state == OccurrenceState.DUE, dates.delivery_id.is_(None))
    if step.table is tables.care_tasks and CareKind((step.after or {})["kind"]).dated:
        waits = dates.state != OccurrenceState.DONE
    mine = (dates.server_id == server, column == step.row_id, dates.id.not_in(goes_too))
    await connection.execute(delete(tables.occurrences).where(*mine, waits))


async def _forget_file(connection: AsyncConnection, server: int, step: _Step) -> None:
    """Take away the bytes of a photo that goes: they are a part of it that no event holds."""
    if step.table is photo_tables.photos:
        files = photo_tables.photo_files
        await connection.execute(delete(files).where(files.c.server_id == server, files.c.photo_id == step.row_id))


async def _refuse_depended(connection: AsyncConnection, server: int, step: _Step, made: set[tuple[str, int]]) -> None:
    for column in _references_to(step.table):
        table = column.table
        goes_too = [row_id for name, row_id in made if name == table.name]
        wanted = (
            select(table.c.id)
            .where(table.c.server_id == server, column == step.row_id, table.c.id.not_in(goes_too))
            .limit(1)
        )
        if (await connection.execute(wanted)).first() is not None:
            raise Depended(step.table.name, step.row_id, table.name)


def _references_to(target: Table) -> list[Column[Any]]:
    """The columns of other tables that refer to a row of this one; the server is the other half of each key."""
    return [
        constraint.elements[-1].parent
        for table in metadata.sorted_tables
        for constraint in table.constraints
        if isinstance(constraint, ForeignKeyConstraint) and constraint.referred_table is target
    ]
