"""What the book keeps of bins beside opening them: shelves, closings, moved animals, counts by class, the bins of an event."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from fractions import Fraction

import pytest

from bot.calendar import weekly
from bot.records import (
    CareKind,
    CloseReason,
    Exactness,
    Missing,
    Moved,
    ParentRole,
    Privacy,
    Records,
    Seen,
    Sex,
    Stage,
    Subject,
    Thoroughness,
)
from tests.support.filled import CHANNEL, KEEPER, NOW, SERVER, Stamps, fill, open_bin


async def test_a_filled_books_closings_transfers_and_classes_are_read_back(records: Records, database_url: str) -> None:
    await fill(records, database_url, Stamps())
    async with records.read(SERVER, KEEPER) as book:
        first, _, third, *_ = await book.bins(open_only=False)
        assert (first.shelf, third.shelf) == ("by the window", None)
        assert await book.closing(first.id) is None
        closing = await book.closing(third.id)
        assert closing is not None
        assert (closing.reason, closing.into_bin_id, closing.into_code, closing.note) == (
            CloseReason.MERGED,
            first.id,
            first.code,
            "too few to breed",
        )
        moves = await book.transfers(first.id)
        assert moves == await book.transfers(third.id)
        assert [(m.moved, m.from_code, m.to_code, m.number, m.exactness) for m in moves] == [
            (Moved.SPLIT, first.code, third.code, 6, Exactness.EXACT),
            (Moved.MERGE, third.code, first.code, None, None),
        ]
        assert [(p.code, p.role) for p in await book.parents(third.id)] == [(first.code, ParentRole.PART)]
        (count,) = await book.counts(first.id, limit=9)
        assert (count.total, count.low, count.high, count.seen, count.share, count.thoroughness) == (
            *(40, 30, 50, 20),
            Fraction(1, 2),
            Thoroughness.PART,
        )
        assert count.at == NOW + timedelta(days=1)
        ember = (await book.traits())[0].id
        parts = await book.count_parts([count.id])
        assert [(p.said, p.stage, p.sex, p.wild, p.number, p.exactness, p.traits) for p in parts] == [
            (Seen.COUNTED, Stage.ADULT, Sex.FEMALE, False, 6, Exactness.EXACT, ()),
            (Seen.SOME, None, None, False, None, None, (ember,)),
            (Seen.NOT_COUNTED, Stage.MANCA, None, False, None, None, ()),
        ]
        assert count.corrects_id is not None
        assert await book.correction(count.corrects_id) == count
        assert await book.correction(count.id) is None


async def test_classes_of_no_count_ask_nothing(
    records: Records, statements: Callable[[], AbstractContextManager[list[str]]]
) -> None:
    with statements() as seen:
        async with records.read(SERVER, KEEPER) as book:
            assert await book.count_parts([]) == ()
    assert seen == []


async def test_a_shelf_is_one_row_however_often_a_bin_is_moved(records: Records) -> None:
    stamps = Stamps()
    opened = await open_bin(records, stamps)
    for name in ("window", "door", None, "attic"):
        async with records.write(stamps.next()) as book:
            await book.set_shelf(opened.id, name)
            event = await book.log("bin.moved", Subject("bin", opened.id))
        async with records.read(SERVER, KEEPER) as book:
            row = await book.bin(opened.id)
        assert row is not None
        assert row.shelf == name
    async with records.write(stamps.next()) as book:
        await book.undo(event)
    async with records.read(SERVER, KEEPER) as book:
        row = await book.bin(opened.id)
    assert row is not None
    assert row.shelf is None


async def test_a_bin_that_is_not_there_is_neither_closed_nor_given_away(records: Records) -> None:
    await open_bin(records, Stamps())
    for number in (77, 0):
        async with records.write(Stamps(requests=iter([number + 1])).next()) as book:
            with pytest.raises(Missing):
                await book.close_bin(number, reason=CloseReason.OTHER)
            with pytest.raises(Missing):
                await book.set_bin_keeper(number, KEEPER)


async def test_an_event_is_about_every_bin_that_it_names_and_about_the_bin_of_a_task(records: Records) -> None:
    stamps = Stamps()
    first, second, third = [await open_bin(records, stamps) for _ in range(3)]
    async with records.write(stamps.next()) as book:
        await book.add_transfer(first.id, second.id, moved=Moved.MERGE)
        await book.close_bin(first.id, reason=CloseReason.MERGED, into=second.id)
        merged = await book.log("bin.merged", Subject("bin", second.id))
    async with records.write(stamps.next()) as book:
        task = await book.add_task(bin_id=third.id, kind=CareKind.MOISTURE, cadence=weekly(0, 60), channel_id=CHANNEL)
        due = await book.add_occurrence(task, third.id, NOW, None)
        await book.log("care.add", Subject("task", task))
    async with records.write(stamps.next()) as book:
        await book.finish_occurrence(due)
        done = await book.log("care.done", Subject("delivery", 1))
    async with records.write(stamps.next()) as book:
        undoing = await book.undo(merged)
    async with records.read(SERVER, KEEPER) as book:
        about = await book.bins_of_events([merged.seq, done.seq, undoing.seq])
        told = [event.kind for event in await book.audit(before=10**9, limit=9, bin_id=third.id)]
    assert about == {
        merged.seq: (first.id, second.id),
        done.seq: (third.id,),
        undoing.seq: (first.id, second.id),
    }
    assert told == ["care.done", "care.add", "bin.open"]


async def test_the_other_end_of_a_transfer_has_no_code_for_those_who_may_not_see_that_bin(records: Records) -> None:
    stamps, other = Stamps(), Stamps(actor=KEEPER + 1, name="Ives", requests=iter(range(1, 9)))
    hidden, seen = await open_bin(records, stamps), await open_bin(records, other)
    async with records.write(stamps.next()) as book:
        await book.add_transfer(hidden.id, seen.id, moved=Moved.SPLIT, number=3, exactness=Exactness.EXACT)
        await book.close_bin(hidden.id, reason=CloseReason.OTHER)
        await book.set_privacy(hidden.id, Privacy.BIN)
        await book.log("bin.split", Subject("bin", seen.id))
    for reader, code in ((KEEPER, hidden.code), (KEEPER + 1, "")):
        async with records.read(SERVER, reader) as book:
            (move,) = await book.transfers(seen.id)
            assert (move.from_code, move.to_code, move.number) == (code, seen.code, 3)
            assert (await book.closing(hidden.id) is None) == (reader != KEEPER)
