"""Animals that go from bin to bin: splitting one, and merging one into another."""

from dataclasses import dataclass, field
from datetime import timedelta

from bot.records import (
    BinRow,
    Book,
    CloseReason,
    CountRow,
    EventRow,
    Exactness,
    Moved,
    ParentRole,
    Subject,
    TransferRow,
    WriteBook,
)
from bot.services.access import require_keeper
from bot.services.before import question_before
from bot.services.bin_marks import carry_marks
from bot.services.bin_state import BinState, bin_state
from bot.services.count_text import CountRead
from bot.services.counts import read_for, write_count
from bot.services.days import zone_of
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.founding import found, read_holds, stated_of, take_along
from bot.services.rearing_tasks import young_parted
from bot.services.refusals import BinLabel, TakenBack, TwoSpecies
from bot.services.refusals_bins import Disturb, LookFirst, Newcomer, SameBin
from bot.services.request import Request
from bot.services.species_cards import card_of
from bot.services.texts import checked

BIN = "bin"


@dataclass(frozen=True, slots=True)
class BinSplit:
    """A bin that was split: from which, the new one, what went, how many are taken to be left, the event, the new one's state."""

    source: BinLabel
    target: BinRow
    moved: TransferRow
    left: CountRow | None
    event: int
    state: BinState = field(default_factory=BinState)


@dataclass(frozen=True, slots=True)
class BinsMerged:
    """A bin that was emptied into another: which, into which, how many went, how many that makes, and the event.

    `ended` is how many care tasks of the emptied bin ended with it, `state` that of the other now.
    """

    source: BinLabel
    target: BinLabel
    moved: TransferRow
    together: CountRow | None
    ended: int
    event: int
    state: BinState = field(default_factory=BinState)


async def split_bin(
    desk: Desk,
    request: Request,
    *,
    bin_text: str,
    number: str = "",
    holds: str = "",
    name: str = "",
    shelf: str = "",
    note: str = "",
    sure: bool = False,
) -> BinSplit:
    """Put some of a bin's animals into a bin of their own, with the same founders, keepers and privacy.

    `number` is how many went, as a count is typed; `holds` what they are, if they were picked. Until the person is `sure`
    they are asked to look first.

    Raises:
        NoSuchBin, NotYours, CountNotRead, CountUnclear, HoldingNotRead, LookFirst, TextTooLong, TakenBack: nothing was written.
    """
    name, shelf, note = checked("name", name), checked("shelf", shelf), checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            source = await bin_named(book, bin_text)
            require_keeper(request, source)
            traits = await book.traits()
            today = request.now.astimezone(await zone_of(book, request)).date()
            read = await read_for(book, number, today) if number.strip() else None
            side = read_holds(holds, traits)
            if not sure:
                going = {source.id: read.whole.total} if read is not None else {}
                raise await question_before(book, request, Disturb.SPLIT, (source,), taken=going)
            target = await book.add_bin(
                species_key=source.species_key, name=name or None, note=note or None, keeper_id=source.keeper_id
            )
            await _same_doors(book, source, target)
            if shelf or source.shelf:
                await book.set_shelf(target.id, shelf or str(source.shelf))
            if side is None:
                await take_along(book, source.id, target.id, read)
            else:
                await found(book, target.id, side, traits, read.whole.total if read else None)
            await book.add_parent(target.id, source.id, ParentRole.PART)
            await carry_marks(book, request, source.id, target.id)
            await _count_split(book, source, target, read, number)
            if _one_sex(read):
                await young_parted(book, source.id)
            event = await book.log("bin.split", Subject(BIN, target.id))
        return await _split(book, event)


def _one_sex(read: CountRead | None) -> bool:
    """Whether all that went is of one sex, by what was typed."""
    sexes = [item.animals.sex if item.animals is not None else None for item in (read.classes if read else ())]
    return bool(sexes) and sexes[0] is not None and len(set(sexes)) == 1


async def _same_doors(book: WriteBook, source: BinRow, target: BinRow) -> None:
    """What is private stays private in a part of it, and who keeps the one keeps the other."""
    if source.privacy is not target.privacy:
        await book.set_privacy(target.id, source.privacy)
    for keeper in await book.co_keepers(source.id):
        await book.add_co_keeper(target.id, keeper.id, keeper.name)


async def _count_split(book: WriteBook, source: BinRow, target: BinRow, read: CountRead | None, typed: str) -> None:
    if read is None:
        await book.add_transfer(source.id, target.id, moved=Moved.SPLIT)
        return
    await book.add_transfer(
        source.id, target.id, moved=Moved.SPLIT, number=read.whole.total, exactness=read.whole.exactness
    )
    last = await _last(book, source.id)
    await write_count(book, target.id, read, typed=checked("count", typed))
    if last is not None and last.total >= read.whole.total:
        await book.add_count(source.id, total=last.total - read.whole.total, exactness=Exactness.WORKED_OUT)


async def _last(book: Book, bin_id: int) -> CountRow | None:
    counts = await book.counts(bin_id, limit=1)
    return counts[0] if counts else None


def _label(row: BinRow) -> BinLabel:
    return BinLabel(row.code, row.name)


async def _split(book: Book, event: EventRow) -> BinSplit:
    target = await book.bin(event.subject.id)
    moved = await _transfer(book, event, event.subject.id)
    if target is None or moved is None:
        raise TakenBack("bin")
    source = await book.bin(moved.from_bin_id)
    left = await _counted(book, event, moved.from_bin_id)
    label = _label(source) if source is not None else BinLabel(moved.from_code)
    return BinSplit(label, target, moved, left, event.seq, await bin_state(book, target.id, event.at))


async def _transfer(book: Book, event: EventRow, bin_id: int) -> TransferRow | None:
    made = {row["id"] for row in event.after["rows"] if row["table"] == "transfers"}
    return next((each for each in await book.transfers(bin_id) if each.id in made), None)


async def _counted(book: Book, event: EventRow, bin_id: int) -> CountRow | None:
    """The count of a bin that an event wrote."""
    made = [row["id"] for row in event.after["rows"] if row["table"] == "counts" and row["bin_id"] == bin_id]
    return await book.count(made[0]) if made else None


async def merge_bins(
    desk: Desk, request: Request, *, into_text: str, from_text: str, note: str = "", sure: bool = False
) -> BinsMerged:
    """Empty a bin into another of the same species: it is closed, its care ends, and both keep their histories.

    Until the person is `sure` they are asked to look first, and told where the two differ or one is new stock.

    Raises:
        NoSuchBin, NotYours, SameBin, TwoSpecies, LookFirst, TextTooLong, TakenBack: nothing was written.
    """
    note = checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            target, source = await bin_named(book, into_text), await bin_named(book, from_text)
            for row in (target, source):
                require_keeper(request, row)
            if target.id == source.id:
                raise SameBin(_label(target))
            if target.species_key != source.species_key:
                first, second = (desk.species.of(row.species_key).name for row in (target, source))
                raise TwoSpecies(first=first, second=second)
            kinds = {row.id: await _kind(book, row) for row in (target, source)}
            if not sure:
                raise await _look_first(desk, book, request, target, source, kinds)
            before = await _last(book, source.id)
            await _count_merge(book, target, source, before)
            if kinds[target.id] != kinds[source.id]:
                await take_along(book, source.id, target.id, None)
            await _descend(book, target, source)
            await carry_marks(book, request, source.id, target.id)
            await book.close_bin(source.id, reason=CloseReason.MERGED, into=target.id, note=note or None)
            for task in await book.tasks(source.id):
                await book.end_task(task.id)
            event = await book.log("bin.merged", Subject(BIN, target.id))
        return await _merged(book, event)


async def _kind(book: Book, row: BinRow) -> str | None:
    """What lives in a bin, in the notation of a cross; None if the book does not say."""
    traits = {trait.id: trait for trait in await book.traits()}
    said = [stated_of(group, traits) for group in await book.founders(row.id)]
    return " and ".join(dict.fromkeys(each or "not said" for each in said)) or None


async def _look_first(
    desk: Desk, book: Book, request: Request, target: BinRow, source: BinRow, kinds: dict[int, str | None]
) -> LookFirst:
    rows = (target, source)
    differ = kinds[target.id] != kinds[source.id]
    usual = timedelta(days=(await card_of(desk, book, source.species_key)).quarantine_days.usual)
    new = [row for row in rows if request.now - row.opened_at < usual and not await book.parents(row.id)]
    return await question_before(
        book,
        request,
        Disturb.MERGE,
        rows,
        kinds=tuple((_label(row), kinds[row.id] or "not said") for row in rows) if differ else (),
        newcomers=tuple(Newcomer(_label(row), row.opened_at) for row in new),
    )


async def _count_merge(book: WriteBook, target: BinRow, source: BinRow, before: CountRow | None) -> None:
    number = before.total if before is not None else None
    await book.add_transfer(
        source.id,
        target.id,
        moved=Moved.MERGE,
        number=number,
        exactness=before.exactness if before is not None else None,
    )
    there = await _last(book, target.id)
    if there is not None and number is not None:
        await book.add_count(target.id, total=there.total + number, exactness=Exactness.WORKED_OUT)


async def _descend(book: WriteBook, target: BinRow, source: BinRow) -> None:
    """Record that the target holds animals of the source, unless those came from the target in the first place."""
    known, waiting = {source.id}, [source.id]
    while waiting:
        for parent in await book.parents(waiting.pop()):
            if parent.parent_bin_id not in known:
                known.add(parent.parent_bin_id)
                waiting.append(parent.parent_bin_id)
    there = {parent.parent_bin_id for parent in await book.parents(target.id)}
    if target.id not in known and source.id not in there:
        await book.add_parent(target.id, source.id, ParentRole.PART)


async def _merged(book: Book, event: EventRow) -> BinsMerged:
    target = await book.bin(event.subject.id)
    moved = await _transfer(book, event, event.subject.id)
    if target is None or moved is None:
        raise TakenBack("merging")
    source = await book.bin(moved.from_bin_id)
    return BinsMerged(
        source=_label(source) if source is not None else BinLabel(moved.from_code),
        target=_label(target),
        moved=moved,
        together=await _counted(book, event, target.id),
        ended=ended_by(event),
        event=event.seq,
        state=await bin_state(book, target.id, event.at),
    )


def ended_by(event: EventRow) -> int:
    """How many care tasks an event ended."""
    return sum(row["table"] == "care_tasks" for row in event.after["rows"])
