"""A count that was asked for: logging one answers the ping."""

from datetime import datetime
from zoneinfo import ZoneInfo

from bot.calendar import day_end
from bot.records import CareKind, OccurrenceRow, OccurrenceState, WriteBook
from bot.services.care import Answer, answer_items
from bot.services.request import Request


async def answer_recounts(book: WriteBook, request: Request, bin_id: int, at: datetime, zone: ZoneInfo) -> int:
    """Answer what asks for a count of a bin until midnight, by a count of this moment; returns how many tasks asked.

    A count of an earlier day answers only what was due by then.
    """
    today = at.astimezone(zone).date() == request.now.astimezone(zone).date()
    until = day_end(request.now, zone) if today else at
    wanted: list[OccurrenceRow] = []
    for task in await book.care_of(bin_id):
        if task.kind is not CareKind.RECOUNT or task.rests(request.now):
            continue
        due = [
            row
            for row in await book.open_occurrences(task.id)
            if row.bin_id == bin_id and (row.due_at < until or (today and row.state is OccurrenceState.ASKED))
        ]
        wanted += due[-1:]
    await answer_items(book, wanted, Answer.DONE, request.now)
    return len(wanted)
