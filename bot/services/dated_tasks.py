"""Dated tasks: what a day of the book asks of a keeper, once, without anybody setting a task for it.

Whoever writes a fact that a day follows from says `ask_on` in the same unit of work. Said again with another day the ping moves;
with None, or with a day that is past, nothing is asked. `settle` ends them: the act itself was done, or it is wanted no more.
They stand before other care in a round, keep quiet hours, and are paused by nobody.
"""

from datetime import date, datetime, timedelta

from bot.calendar import instant
from bot.records import Book, CareKind, DatedRow, Subject, WriteBook
from bot.services.request import Request
from bot.services.zones import zone_of

MORNING, EVENING = 8 * 60, 19 * 60
"""At which minute of a day they ask: in the morning what takes a while, in the evening what was put off till then (a judgement)."""


async def ask_on(
    book: WriteBook,
    request: Request,
    kind: CareKind,
    day: date | None,
    *,
    about: Subject,
    bin_id: int,
    keeper_id: int | None = None,
    minute: int = MORNING,
) -> None:
    """Ask a keeper, the actor if no other is named, for one thing about a thing of the book on this day of theirs.

    There is one such task for each kind and thing: an earlier one moves to the new day, and stays its keeper's. It comes to the room the keeper chose,
    or the server did, or the one of the request; if nothing may be posted there, to the keeper alone.
    """
    keeper = request.actor if keeper_id is None else keeper_id
    known = [row for row in await book.dated(about) if row.kind is kind]
    whose = known[0].keeper_id if known else keeper
    if day is None or day < await local_day(book, whose, request.now):
        for row in known:
            await book.end_dated(row.task_id, done=False)
    elif known:
        await book.move_dated(known[0].task_id, day)
    else:
        await book.add_dated(
            kind=kind,
            bin_id=bin_id,
            keeper_id=keeper,
            channel_id=await _room(book, request, keeper),
            about=about,
            day=day,
            minute=minute,
        )


async def settle(book: WriteBook, about: Subject, *kinds: CareKind, done: bool) -> tuple[DatedRow, ...]:
    """End what is asked about a thing, of these kinds or of all: the act was done, or it is not wanted any more.

    Returns what was ended.
    """
    ended = tuple(row for row in await book.dated(about) if not kinds or row.kind in kinds)
    for row in ended:
        await book.end_dated(row.task_id, done=done)
    return ended


async def local_day(book: Book, keeper_id: int, at: datetime) -> date:
    """The day of a moment by a keeper's wall clock: in their zone, else the server's, else UTC."""
    return at.astimezone(await zone_of(book, keeper_id)).date()


async def ask_in_the_evening(book: WriteBook, request: Request, kind: CareKind, *, about: Subject, bin_id: int) -> None:
    """Ask the actor for one thing on the next evening of theirs: today's, if it is yet to come."""
    zone = await zone_of(book, request.actor)
    today = request.now.astimezone(zone).date()
    day = today if request.now < instant(today, EVENING, zone) else today + timedelta(days=1)
    await ask_on(book, request, kind, day, about=about, bin_id=bin_id, minute=EVENING)


async def _room(book: Book, request: Request, keeper_id: int) -> int:
    keeper, server = await book.keeper(keeper_id), await book.server_row()
    return (keeper.channel_id if keeper else None) or (server.channel_id if server else None) or request.channel
