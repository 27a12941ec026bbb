"""Batches of litter, and which bins got them: so that a bad one can be traced."""

from dataclasses import dataclass

from bot.records import BatchRow, Book, EventRow, LitterRow, MarkRow, Subject, WriteBook
from bot.services.access import require_keeper
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import MOST_CHOICES, bin_named
from bot.services.refusals import BinLabel, TakenBack
from bot.services.refusals_marks import NoSuchBatch
from bot.services.request import Request
from bot.services.texts import checked

BIN = "bin"
LITTER = "bin.litter"
_NAMED = 3


@dataclass(frozen=True, slots=True)
class LitterGiven:
    """Litter of a batch that a bin got; `new` if the batch was named with it. `bins` is how many bins got of it so far."""

    label: BinLabel
    batch: BatchRow
    new: bool
    bins: int
    event: int


@dataclass(frozen=True, slots=True)
class BatchTraced:
    """A batch with the bins that got of it, the latest first, and the holds and quarantines that these bins are in."""

    batch: BatchRow
    bins: tuple[LitterRow, ...]
    marks: tuple[MarkRow, ...]


async def give_litter(
    desk: Desk, request: Request, *, bin_text: str, batch: str, source: str = "", treatment: str = "", when: str = ""
) -> LitterGiven:
    """A bin got litter of a batch, which is known by its name, or named now.

    Raises:
        NoSuchBin, ClosedBin, NotYours, DayNotRead, DayAhead, TextTooLong, TakenBack: nothing was written.
    """
    name = checked("batch", batch)
    source, treatment = checked("source", source), checked("treatment", treatment)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            at = max(row.opened_at, read_day(when, request.now, await zone_of(book, request)))
            known = _meant(name, await book.batches(), request.actor)
            if known is None:
                batch_id = await book.add_batch(name, source=source or None, treatment=treatment or None)
            else:
                batch_id = known.id
                await _describe(book, request, known, source, treatment)
            await book.add_litter(row.id, batch_id, at)
            event = await book.log(LITTER, Subject(BIN, row.id))
        return await _given(book, event)


async def _describe(book: WriteBook, request: Request, batch: BatchRow, source: str, treatment: str) -> None:
    """What is said of a batch that is known is put down as well, by whoever named it."""
    if (source or treatment) and batch.keeper_id == request.actor:
        await book.describe_batch(batch.id, source=source or None, treatment=treatment or None)


def _meant(name: str, batches: tuple[BatchRow, ...], actor: int) -> BatchRow | None:
    """The batch of that name, one's own before another keeper's."""
    same = [batch for batch in batches if batch.name.casefold() == name.casefold()]
    return min(same, key=lambda batch: batch.keeper_id != actor, default=None)


async def _given(book: Book, event: EventRow) -> LitterGiven:
    row = await book.bin(event.subject.id)
    images = event.after["rows"]
    batch_id = next((image["batch_id"] for image in images if image["table"] == "bin_litters"), None)
    batch = next((each for each in await book.batches() if each.id == batch_id), None)
    if row is None or batch is None:
        raise TakenBack("litter")
    there = {image["id"] for image in event.before["rows"] if image["table"] == "litter_batches"}
    made = {image["id"] for image in images if image["table"] == "litter_batches"} - there
    bins = {each.bin_id for each in await book.litters_from(batch.id)}
    return LitterGiven(BinLabel(row.code, row.name), batch, batch.id in made, len(bins), event.seq)


async def trace_batch(desk: Desk, request: Request, text: str) -> BatchTraced:
    """Which bins got litter of a batch.

    Raises:
        NoSuchBatch: no batch that the person may know of has that name.
    """
    async with desk.records.read(request.server, request.actor) as book:
        batches = await book.batches()
        batch = _meant(" ".join(text.split()), batches, request.actor)
        if batch is None:
            raise NoSuchBatch(text, tuple(each.name for each in batches[:_NAMED]))
        bins = await book.litters_from(batch.id)
        wanted = {each.bin_id for each in bins}
        return BatchTraced(batch, bins, tuple(mark for mark in await book.holding() if mark.bin_id in wanted))


async def choose_batch(desk: Desk, request: Request, text: str) -> tuple[str, ...]:
    """Names of batches that hold `text`, the newest first."""
    wanted = text.strip().casefold()
    async with desk.records.read(request.server, request.actor) as book:
        names = dict.fromkeys(batch.name for batch in await book.batches())
    return tuple(name for name in names if wanted in name.casefold())[:MOST_CHOICES]
