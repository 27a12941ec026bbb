"""The dispatcher's statements as a test asks them: claims, tries and marks an hour after `START`, and care that ends behind them."""

from datetime import timedelta

from sqlalchemy import Update, update
from sqlalchemy.ext.asyncio import create_async_engine

from bot.records import OccurrenceState, Records
from bot.records.claims import Claimed
from bot.records.tables import bins, care_tasks
from tests.support.pings import START, Care

HOUR = timedelta(hours=1)
WEEK = timedelta(days=7)
LEASE = timedelta(minutes=3)
DUE = START + HOUR
"""When care that `add_care` adds is due for the first time."""


async def claim(records: Records, *, holder: str = "a", at: timedelta = HOUR, limit: int = 50) -> tuple[Claimed, ...]:
    moment = START + at
    return await records.dispatch().claim(now=moment, real=moment, holder=holder, lease=LEASE, limit=limit)


async def begin(records: Records, delivery: Claimed, *, holder: str = "a", at: timedelta = HOUR) -> bool:
    real = START + at
    return await records.dispatch().begin_try(
        delivery, holder=holder, real=real, until=real + LEASE, maybe_repeat=False
    )


async def sent(records: Records, delivery: Claimed, *, holder: str = "a", at: timedelta = HOUR) -> bool:
    next_due = {item.task_id: item.due_at + WEEK for item in delivery.items}
    return await records.dispatch().sent(delivery, holder=holder, now=START + at, message_id=900, next_due=next_due)


async def states(records: Records, care: Care) -> list[tuple[timedelta, OccurrenceState]]:
    """Every due date of a task, as its distance from the first, with its state."""
    async with records.read(care.server) as book:
        rows = [await book.occurrence(number) for number in range(1, 60)]
    return sorted((row.due_at - care.due, row.state) for row in rows if row is not None and row.task_id == care.task)


async def end(database_url: str, care: Care) -> None:
    await change(
        database_url, update(care_tasks).where(care_tasks.c.id == care.task, care_tasks.c.server_id == care.server)
        .values(ended_at=START),
    )  # fmt: skip


async def close_bin(database_url: str, care: Care) -> None:
    await change(
        database_url, update(bins).where(bins.c.id == care.bin_id, bins.c.server_id == care.server)
        .values(closed_at=START),
    )  # fmt: skip


async def change(database_url: str, statement: Update) -> None:
    engine = create_async_engine(database_url)
    async with engine.begin() as connection:
        await connection.execute(statement)
    await engine.dispose()
