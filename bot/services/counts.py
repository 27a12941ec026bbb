"""Logging a count."""

from dataclasses import dataclass

from bot.records import Book, CountRow, Subject
from bot.services.access import require_keeper
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import BinLabel, TakenBack
from bot.services.request import Request
from bot.services.tally import read_tally
from bot.services.texts import checked

COUNT = "count"


@dataclass(frozen=True, slots=True)
class CountLogged:
    """A count as it stands in the book, the one before it, and the event that can take it back."""

    label: BinLabel
    count: CountRow
    previous: CountRow | None
    event: int


async def log_count(desk: Desk, request: Request, *, bin_text: str, count_text: str, note: str = "") -> CountLogged:
    """Write a count into the book, as typed and as understood.

    Raises:
        CountNotRead, NoSuchBin, NotYours, TextTooLong, TakenBack: nothing was written.
    """
    tally = read_tally(count_text)
    typed, note = checked("count", count_text), checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            count = await book.add_count(
                row.id, total=tally.total, exactness=tally.exactness, typed=typed, note=note or None
            )
            event = await book.log("count.logged", Subject(COUNT, count))
        return await _logged(book, event.subject.id, event.seq)


async def _logged(book: Book, count_id: int, event: int) -> CountLogged:
    count = await book.count(count_id)
    if count is None:
        raise TakenBack("count")
    row = await book.bin(count.bin_id)
    if row is None:
        raise LookupError(f"bin {count.bin_id} of count {count_id} is gone")
    earlier = [
        c
        for c in await book.counts(count.bin_id, limit=50)
        if c.at < count.at or (c.at == count.at and c.id < count.id)
    ]
    return CountLogged(BinLabel(row.code, row.name), count, earlier[0] if earlier else None, event)
