"""Logging a count and correcting one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from bot.records import (
    BinRow,
    Book,
    CountPartRow,
    CountRow,
    EventRow,
    Seen,
    Subject,
    Thoroughness,
    WriteBook,
)
from bot.services.access import require_keeper
from bot.services.count_items import Item
from bot.services.count_text import CountRead, read_count
from bot.services.count_words import AnimalClass
from bot.services.days import zone_of
from bot.services.desk import Desk
from bot.services.disturbance import Rest, rest
from bot.services.figures import Figure
from bot.services.finding import bin_named, row_id
from bot.services.recounts import answer_recounts
from bot.services.refusals import BinLabel, Outlived, TakenBack, WordNotKnown
from bot.services.refusals_bins import CorrectedAlready
from bot.services.request import Request
from bot.services.texts import checked

COUNT = "count"
HOW = {
    "looked, nothing dug": Thoroughness.LOOK,
    "sorted a part": Thoroughness.PART,
    "sorted everything": Thoroughness.SORTED,
}
"""How a bin can be gone through, by the words for it."""
_BACK = 60


@dataclass(frozen=True, slots=True)
class CountLogged:
    """A count as it stands in the book.

    Attributes:
        label: the bin.
        count: the count.
        classes: what it says of each class.
        previous: the count before it.
        corrected: the count it stands in for.
        before: the bin's peace before this count.
        asked: whether a ping or a task of today had asked for it, which it answers.
        logged_at: when it was put down, which may be after it was counted.
        event: the event that can take it back.
    """

    label: BinLabel
    count: CountRow
    classes: tuple[Item, ...]
    previous: CountRow | None
    corrected: CountRow | None
    before: Rest
    logged_at: datetime
    event: int
    asked: bool = False


@dataclass(frozen=True, slots=True)
class CountToCorrect:
    """A count that somebody wants to correct, with its bin."""

    label: BinLabel
    count: CountRow


async def log_count(
    desk: Desk,
    request: Request,
    *,
    bin_text: str,
    count_text: str,
    note: str = "",
    how: str = "",
    typed: str = "",
    corrects: str = "",
) -> CountLogged:
    """Write a count into the book, as typed and as understood.

    `how` is a word of `HOW`. `typed` is what was typed first, where `count_text` is the answer to a question about it.
    `corrects` is the number of a count that this one stands in for.

    Raises:
        CountNotRead, CountUnclear, WordNotKnown, NoSuchBin, NotYours, CorrectedAlready, Outlived, TextTooLong, TakenBack:
            nothing was written.
    """
    thoroughness = _how(how)
    kept, note = checked("count", typed or count_text), checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            corrected = await _to_correct(book, row, corrects) if corrects else None
            zone = await zone_of(book, request)
            read = await read_for(book, count_text, request.now.astimezone(zone).date())
            at = moment(read.on, request.now, zone) if read.on or corrected is None else corrected.at
            if thoroughness is None and read.share is not None:
                thoroughness = Thoroughness.PART
            count = await write_count(
                book,
                row.id,
                read,
                typed=kept,
                note=note or None,
                at=at,
                thoroughness=thoroughness,
                corrects=corrected.id if corrected else None,
            )
            if corrected is None:
                await answer_recounts(book, request, row.id, at, zone)
            event = await book.log("count.corrected" if corrected else "count.logged", Subject(COUNT, count))
        return await _logged(book, event)


def _how(text: str) -> Thoroughness | None:
    wanted = text.strip().casefold()
    if not wanted:
        return None
    for words, meaning in HOW.items():
        if words.startswith(wanted) or wanted in words.replace(",", "").split():
            return meaning
    raise WordNotKnown(what="way of counting", text=text, known=tuple(HOW))


async def read_for(book: Book, text: str, today: date) -> CountRead:
    """A count as typed, in the words of this server's traits.

    Raises:
        CountNotRead, CountUnclear: it was not understood.
    """
    return read_count(text, [trait.name for trait in await book.traits()], today)


async def write_count(
    book: WriteBook,
    bin_id: int,
    read: CountRead,
    *,
    typed: str,
    note: str | None = None,
    at: datetime | None = None,
    thoroughness: Thoroughness | None = None,
    corrects: int | None = None,
) -> int:
    """Put a count that was read into the book; returns its id. Its event is still owed."""
    count = await book.add_count(
        bin_id,
        total=read.whole.total,
        exactness=read.whole.exactness,
        low=read.whole.low,
        high=read.whole.high,
        seen=read.seen,
        share=read.share,
        thoroughness=thoroughness,
        corrects=corrects,
        typed=typed,
        note=note,
        at=at,
    )
    traits = {trait.name: trait.id for trait in await book.traits()} if read.classes else {}
    for item in read.classes:
        animals = item.animals or AnimalClass()
        await book.add_count_part(
            count,
            said=item.said,
            stage=animals.stage,
            sex=animals.sex,
            wild=animals.wild,
            traits=tuple(traits[name] for name in animals.traits),
            number=item.figure.total if item.figure else None,
            exactness=item.figure.exactness if item.figure else None,
            low=item.figure.low if item.figure else None,
            high=item.figure.high if item.figure else None,
        )
    return count


def moment(on: date | None, now: datetime, zone: ZoneInfo) -> datetime:
    """The same time of day on another day; now, if that is today."""
    local = now.astimezone(zone)
    return now if on in (None, local.date()) else min(now, local.replace(year=on.year, month=on.month, day=on.day))


async def _to_correct(book: Book, row: BinRow, number: str) -> CountRow:
    count = await book.count(row_id(number))
    if count is None or count.bin_id != row.id:
        raise Outlived("button")
    if await book.correction(count.id) is not None:
        raise CorrectedAlready(BinLabel(row.code, row.name))
    return count


async def to_correct(desk: Desk, request: Request, number: str) -> CountToCorrect:
    """The count behind a *Correct* button.

    Raises:
        Outlived: there is no such count.
        NotYours: the bin is another keeper's.
        CorrectedAlready: another count stands in for it.
    """
    async with desk.records.read(request.server, request.actor) as book:
        count = await book.count(row_id(number))
        row = await book.bin(count.bin_id) if count is not None else None
        if count is None or row is None:
            raise Outlived("button")
        require_keeper(request, row)
        return CountToCorrect(BinLabel(row.code, row.name), await _to_correct(book, row, number))


def classes_of(parts: Iterable[CountPartRow], names: Mapping[int, str]) -> dict[int, tuple[Item, ...]]:
    """What counts say of each class, by the id of the count; `names` are the traits' by id."""
    found: dict[int, list[Item]] = {}
    for part in parts:
        animals = AnimalClass(
            part.stage, part.sex, tuple(names[trait] for trait in part.traits if trait in names), part.wild
        )
        figure = None
        if part.said is Seen.COUNTED and part.number is not None and part.exactness is not None:
            figure = Figure(part.number, part.exactness, part.low, part.high)
        found.setdefault(part.count_id, []).append(Item(part.said, figure, animals))
    return {count: tuple(items) for count, items in found.items()}


async def _logged(book: Book, event: EventRow) -> CountLogged:
    count = await book.count(event.subject.id)
    row = await book.bin(count.bin_id) if count is not None else None
    if count is None or row is None:
        raise TakenBack("count")
    every = await book.counts(count.bin_id, limit=_BACK)
    earlier = [c for c in every if (c.at, c.id) < (count.at, count.id)]
    parts = await book.count_parts([count.id])
    names = {trait.id: trait.name for trait in await book.traits()}
    return CountLogged(
        label=BinLabel(row.code, row.name),
        count=count,
        classes=classes_of(parts, names).get(count.id, ()),
        previous=earlier[0] if earlier else None,
        corrected=await book.count(count.corrects_id) if count.corrects_id is not None else None,
        before=await rest(book, row.id, count.at, without=count.id),
        logged_at=event.at,
        event=event.seq,
        asked=any(image["table"] == "occurrences" for image in event.after["rows"]),
    )
