"""Moving a bin to a shelf or to a keeper, and closing one."""

from datetime import datetime, timedelta

import pytest

from bot.records import CloseReason
from bot.services.bin_changes import BinMoved, Person, close_bin, move_bin
from bot.services.bins import NewBin, choose_bin, open_bin, show_bin
from bot.services.care_tasks import add_task
from bot.services.counts import log_count
from bot.services.refusals import NoSuchBin, NotYours, Refusal, TakenBack, TextTooLong, WordNotKnown
from bot.services.refusals_bins import ClosedBin, KeepsItAlready, NoSuchKeeper, NothingSaid
from bot.services.refusals_days import DayAhead, DayNotRead
from bot.services.sharing import set_privacy, share_bin
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, TAMSIN, THURSDAY, WREN, Asking, again

DAY = timedelta(days=1)
TO_MOSS = Person(MOSS, "Moss")


async def with_a_bin(asking: Asking) -> None:
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", name="big", animals="40"))
    await add_task(
        asking.desk, asking.by(), bin_text="B-1", kind="moisture", days="Friday", time="18:00", zone="Europe/Lisbon"
    )


async def move(asking: Asking, shelf: str = "", keeper: Person | None = None) -> BinMoved:
    return await move_bin(asking.desk, asking.by(after=DAY), bin_text="B-1", shelf=shelf, keeper=keeper, sure=True)


async def test_a_bin_stands_on_a_shelf_until_it_is_moved_again(asking: Asking) -> None:
    await with_a_bin(asking)
    assert (await move(asking, "  by the   window ")).shelf == "by the window"
    assert (await move(asking, "door")).shelf == "door"
    moved = await move(asking, "None")
    assert (moved.shelf, moved.keeper_before, moved.ended) == (None, None, 0)
    assert (await show_bin(asking.desk, asking.by(), "B-1")).row.shelf is None


async def test_a_move_to_a_shelf_is_undone(asking: Asking) -> None:
    await with_a_bin(asking)
    await move(asking, "window")
    moved = await move(asking, "door")
    await undo(asking.desk, asking.by(after=DAY), moved.event)
    assert (await show_bin(asking.desk, asking.by(), "B-1")).row.shelf == "window"


async def test_a_bin_that_goes_to_another_keeper_leaves_its_care_behind(asking: Asking) -> None:
    await with_a_bin(asking)
    moved = await move(asking, "window", TO_MOSS)
    assert (moved.keeper_before, moved.keeper_name, moved.ended, moved.shelf) == ("Wren", "Moss", 1, "window")
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert (view.row.keeper_id, view.tasks) == (MOSS, ())
    with pytest.raises(NotYours):
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="9")
    await log_count(asking.desk, asking.by(MOSS), bin_text="B-1", count_text="9")
    await undo(asking.desk, asking.by(), moved.event)
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert (view.row.keeper_id, len(view.tasks), view.row.shelf) == (WREN, 1, None)


async def test_a_co_keeper_who_gets_the_bin_is_its_keeper_alone(asking: Asking) -> None:
    await with_a_bin(asking)
    await share_bin(asking.desk, asking.by(), bin_text="B-1", keeper=MOSS, name="Moss")
    await move(asking, keeper=TO_MOSS)
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert (view.row.keeper_id, view.keepers) == (MOSS, ())


async def test_a_co_keeper_puts_a_bin_on_a_shelf_and_does_not_give_it_away(asking: Asking) -> None:
    await with_a_bin(asking)
    await share_bin(asking.desk, asking.by(), bin_text="B-1", keeper=MOSS, name="Moss")
    await move_bin(asking.desk, asking.by(MOSS), bin_text="B-1", shelf="door")
    before = await asking.events()
    with pytest.raises(NotYours):
        await move_bin(asking.desk, asking.by(MOSS), bin_text="B-1", shelf="window", keeper=Person(TAMSIN, "Tamsin"))
    assert await asking.events() == before
    steward = asking.by(TAMSIN, steward=True)
    assert (await move_bin(asking.desk, steward, bin_text="B-1", keeper=TO_MOSS, sure=True)).keeper_name == "Moss"


async def test_a_private_bin_that_was_given_away_is_said_by_its_code_alone(asking: Asking) -> None:
    await with_a_bin(asking)
    await set_privacy(asking.desk, asking.by(), bin_text="B-1", private="everything")
    request = asking.by()
    moved = await move_bin(asking.desk, request, bin_text="B-1", shelf="window", keeper=TO_MOSS, sure=True)
    assert (moved.label.code, moved.label.name, moved.shelf) == ("B-1", None, None)
    assert (moved.keeper_name, moved.keeper_before, moved.ended) == ("Moss", "Wren", 1)
    assert (
        await move_bin(asking.desk, again(request), bin_text="B-1", shelf="window", keeper=TO_MOSS, sure=True) == moved
    )
    with pytest.raises(NoSuchBin):
        await show_bin(asking.desk, asking.by(), "B-1")
    assert (await show_bin(asking.desk, asking.by(MOSS), "B-1")).row.shelf == "window"


@pytest.mark.parametrize(
    ("shelf", "keeper", "refusal"),
    [
        ("", None, NothingSaid),
        ("", Person(77, "Helper", bot=True), NoSuchKeeper),
        ("", Person(WREN, "Wren"), KeepsItAlready),
        ("s" * 41, None, TextTooLong),
    ],
)
async def test_a_move_to_nowhere_writes_nothing(
    asking: Asking, shelf: str, keeper: Person | None, refusal: type[Refusal]
) -> None:
    await with_a_bin(asking)
    before = await asking.events()
    with pytest.raises(refusal):
        await move(asking, shelf, keeper)
    assert await asking.events() == before


async def test_another_keepers_bin_is_neither_moved_nor_closed(asking: Asking) -> None:
    await with_a_bin(asking)
    before = await asking.events()
    for server in (None, ELSEWHERE):
        other = asking.by(TAMSIN) if server is None else asking.by(server=server)
        with pytest.raises(NotYours if server is None else NoSuchBin):
            await move_bin(asking.desk, other, bin_text="B-1", shelf="mine")
        with pytest.raises(NotYours if server is None else NoSuchBin):
            await close_bin(asking.desk, other, bin_text="B-1", reason="line ended")
    assert await asking.events() == before


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("gone to another keeper", CloseReason.MOVED_ON),
        ("no animals left", CloseReason.EMPTY),
        ("Line", CloseReason.LINE_ENDED),
        ("another reason", CloseReason.OTHER),
    ],
)
async def test_a_closed_bin_has_its_reason_and_keeps_its_counts(
    asking: Asking, typed: str, reason: CloseReason
) -> None:
    await with_a_bin(asking)
    closed = await close_bin(asking.desk, asking.by(after=DAY), bin_text="B-1", reason=typed, note="to the club")
    assert (closed.closing.reason, closed.closing.note, closed.ended) == (reason, "to the club", 1)
    assert closed.row.closed_at == THURSDAY + DAY
    view = await show_bin(asking.desk, asking.by(), "b-1")
    assert (view.closing, view.tasks, [c.total for c in view.counts]) == (closed.closing, (), [40])
    assert await choose_bin(asking.desk, asking.by(), "B-1") == ()
    with pytest.raises(ClosedBin):
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="9")


@pytest.mark.parametrize(
    ("typed", "at"),
    [
        ("today", THURSDAY + 9 * DAY),
        ("yesterday", (THURSDAY + 8 * DAY).replace(hour=12)),
        # Before it was opened it cannot have been closed.
        ("1 January", THURSDAY),
    ],
)
async def test_a_bin_may_have_been_closed_before_it_is_said(asking: Asking, typed: str, at: datetime) -> None:
    await with_a_bin(asking)
    closed = await close_bin(asking.desk, asking.by(after=9 * DAY), bin_text="B-1", reason="line ended", when=typed)
    assert closed.row.closed_at == at


@pytest.mark.parametrize(
    ("fields", "refusal"),
    [
        ({"reason": "bored"}, WordNotKnown),
        ({"reason": ""}, WordNotKnown),
        ({"when": "someday"}, DayNotRead),
        ({"when": "2099-01-01"}, DayAhead),
        ({"bin_text": "B-7"}, NoSuchBin),
        ({"note": "n" * 4001}, TextTooLong),
    ],
)
async def test_a_closing_that_cannot_be_read_writes_nothing(
    asking: Asking, fields: dict[str, str], refusal: type[Refusal]
) -> None:
    await with_a_bin(asking)
    before = await asking.events()
    with pytest.raises(refusal):
        await close_bin(asking.desk, asking.by(), **{"bin_text": "B-1", "reason": "line ended", **fields})
    assert await asking.events() == before


async def test_a_closing_is_undone_with_its_care_and_comes_once(asking: Asking) -> None:
    await with_a_bin(asking)
    request = asking.by(after=DAY)
    closed = await close_bin(asking.desk, request, bin_text="B-1", reason="line ended")
    assert await close_bin(asking.desk, again(request), bin_text="B-1", reason="line ended") == closed
    assert [event.kind for event in await asking.events()].count("bin.closed") == 1
    await undo(asking.desk, asking.by(after=DAY), closed.event)
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert (view.row.closed_at, view.closing, len(view.tasks)) == (None, None, 1)
    with pytest.raises(TakenBack):
        await close_bin(asking.desk, again(request), bin_text="B-1", reason="line ended")
