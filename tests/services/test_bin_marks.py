"""Holds and quarantines: put on, looked at, ended by whom and when, carried along, taken back."""

from collections.abc import Awaitable, Callable
from datetime import UTC, datetime, timedelta

import pytest

from bot.records import CareKind, HoldCause, MarkKind, Subject
from bot.services.bin_marks import (
    CAUSES,
    BinMarked,
    carry_marks,
    hold_bin,
    look_at_bin,
    put_on_hold,
    quarantine_bin,
    release_bin,
)
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.keepers import set_keeper
from bot.services.refusals import (
    DateNotRead,
    NoSuchBin,
    NotYours,
    Refusal,
    StewardsOnly,
    TakenBack,
    TextTooLong,
    WordNotKnown,
)
from bot.services.refusals_days import DayAhead
from bot.services.refusals_marks import EndsEarly, HeldAlready, NothingToEnd, NotLookedAt
from bot.services.sharing import set_privacy
from bot.services.species_cards import set_card
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, SERVER, TAMSIN, WREN, Asking, again

DAY = timedelta(days=1)


async def with_bins(asking: Asking) -> None:
    """B-1 and B-2 of Wren."""
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="12"))


async def held(asking: Asking, cause: str = "blue or violet sheen", *, after: timedelta = DAY) -> BinMarked:
    return await hold_bin(asking.desk, asking.by(after=after), bin_text="B-1", cause=cause, note="one by the bark")


async def apart(asking: Asking, until: str = "", *, after: timedelta = DAY) -> BinMarked:
    return await quarantine_bin(asking.desk, asking.by(after=after), bin_text="B-1", until=until)


async def asked(asking: Asking) -> list[tuple[CareKind, str]]:
    """What the book asks for about B-1, and on which day."""
    async with asking.desk.records.read(SERVER, WREN) as book:
        row = await book.bin_by_code("B-1")
        assert row is not None
        return [(each.kind, each.day.isoformat()) for each in await book.dated(Subject("bin", row.id))]


async def test_a_hold_stands_on_the_bin_until_it_is_lifted(asking: Asking) -> None:
    await with_bins(asking)
    done = await held(asking, "another reason")
    assert [(hold.cause, hold.note) for hold in done.state.holds] == [(HoldCause.OTHER, "one by the bark")]
    view = await show_bin(asking.desk, asking.by(after=2 * DAY), "B-1")
    assert (view.state.holds, view.state.free, view.state.disease) == (done.state.holds, False, None)
    lifted = await release_bin(asking.desk, asking.by(after=3 * DAY), bin_text="B-1")
    assert (lifted.ended, lifted.state.free) == ((MarkKind.HOLD,), True)
    await undo(asking.desk, asking.by(after=3 * DAY), lifted.event)
    again_held = await show_bin(asking.desk, asking.by(after=4 * DAY), "B-1")
    assert again_held.state.holds == done.state.holds


async def test_a_hold_for_a_suspected_disease_is_lifted_by_a_steward(asking: Asking) -> None:
    await with_bins(asking)
    for cause in [word for word, meaning in CAUSES.items() if meaning is not HoldCause.OTHER]:
        await held(asking, cause)
        with pytest.raises(StewardsOnly):
            await release_bin(asking.desk, asking.by(after=2 * DAY), bin_text="B-1")
        lifted = await release_bin(asking.desk, asking.by(TAMSIN, steward=True, after=2 * DAY), bin_text="B-1")
        assert lifted.state.free


async def test_a_hold_can_be_a_part_of_another_write_and_is_put_on_once(asking: Asking) -> None:
    await with_bins(asking)
    async with asking.desk.records.write(asking.by().stamp) as book:
        row = await book.bin_by_code("B-1")
        assert row is not None
        assert await put_on_hold(book, row.id, HoldCause.BLUE_SHEEN, "seen at the swap") is not None
        assert await put_on_hold(book, row.id, HoldCause.BLUE_SHEEN) is None
        assert await put_on_hold(book, row.id, HoldCause.OTHER) is not None
        await book.log("bin.held", Subject("bin", row.id))
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert [hold.cause for hold in view.state.holds] == [HoldCause.BLUE_SHEEN, HoldCause.OTHER]
    with pytest.raises(HeldAlready) as caught:
        await held(asking)
    assert caught.value.since == view.state.holds[0].at


async def test_a_quarantine_lasts_as_long_as_the_species_card_says_and_asks_on_its_last_day(asking: Asking) -> None:
    """30 to 60 days are common practice (no source); THURSDAY is 5 March 2026, and no zone is known, so days are UTC's."""
    await with_bins(asking)
    done = await apart(asking)
    assert done.state.quarantine is not None
    assert done.state.quarantine.until == datetime(2026, 5, 5, tzinfo=UTC)
    assert await asked(asking) == [(CareKind.QUARANTINE_END, "2026-05-05")]
    longer = await apart(asking, "75", after=9 * DAY)
    assert longer.state.quarantine is not None
    assert longer.state.quarantine.id == done.state.quarantine.id
    assert longer.state.quarantine.until == datetime(2026, 5, 20, tzinfo=UTC)
    assert await asked(asking) == [(CareKind.QUARANTINE_END, "2026-05-20")]
    await undo(asking.desk, asking.by(after=9 * DAY), longer.event)
    assert await asked(asking) == [(CareKind.QUARANTINE_END, "2026-05-05")]
    await undo(asking.desk, asking.by(after=9 * DAY), done.event)
    assert await asked(asking) == []


async def test_another_who_moves_the_end_has_it_asked_on_the_keepers_own_morning(asking: Asking) -> None:
    """New York's 19 May 2026 begins at 13 o'clock in Tokyo, when that morning is past there."""
    await with_bins(asking)
    await set_keeper(asking.desk, asking.by(), zone="Asia/Tokyo")
    await set_keeper(asking.desk, asking.by(TAMSIN, steward=True), zone="America/New_York")
    await apart(asking)
    by = asking.by(TAMSIN, steward=True, after=9 * DAY)
    moved = await quarantine_bin(asking.desk, by, bin_text="B-1", until="2026-05-19")
    assert moved.state.quarantine is not None
    assert moved.state.quarantine.until == datetime(2026, 5, 19, 4, tzinfo=UTC)
    assert await asked(asking) == [(CareKind.QUARANTINE_END, "2026-05-20")]


async def test_a_steward_sets_how_long_a_quarantine_usually_is(asking: Asking) -> None:
    await with_bins(asking)
    await set_card(
        asking.desk, asking.by(steward=True), species="Porcellio scaber", figure="quarantine_days", value="20-40-90"
    )
    done = await apart(asking)
    assert done.state.quarantine is not None
    assert done.state.quarantine.until == datetime(2026, 4, 15, tzinfo=UTC)


async def test_a_quarantine_ends_with_one_clean_look_on_its_last_day_by_itself(asking: Asking) -> None:
    await with_bins(asking)
    await apart(asking, "30")
    early = await look_at_bin(asking.desk, asking.by(after=10 * DAY), bin_text="B-1", saw="clean")
    assert (early.state.quarantine is not None, early.state.clean, early.ended) == (True, True, ())
    late = await look_at_bin(asking.desk, asking.by(after=40 * DAY), bin_text="B-1", saw="clean")
    assert (late.state.free, late.ended) == (True, (MarkKind.QUARANTINE,))
    assert await asked(asking) == []


async def test_a_quarantine_that_nobody_looked_at_does_not_end_by_its_date(asking: Asking) -> None:
    await with_bins(asking)
    await apart(asking, "30")
    view = await show_bin(asking.desk, asking.by(after=60 * DAY), "B-1")
    assert (view.state.free, view.state.due, view.state.look) == (False, True, None)
    with pytest.raises(NotLookedAt):
        await release_bin(asking.desk, asking.by(after=60 * DAY), bin_text="B-1")
    saw = await look_at_bin(asking.desk, asking.by(after=60 * DAY), bin_text="B-1", saw="saw something", note="mites")
    assert saw.state.look is not None
    assert (saw.ended, saw.state.look.note) == ((), "mites")
    with pytest.raises(NotLookedAt) as caught:
        await release_bin(asking.desk, asking.by(after=61 * DAY), bin_text="B-1")
    assert caught.value.look == saw.state.look
    done = await release_bin(asking.desk, asking.by(after=62 * DAY), bin_text="B-1", looked="clean")
    assert done.ended == (MarkKind.QUARANTINE,)


async def test_a_look_from_before_the_quarantine_is_none_of_it(asking: Asking) -> None:
    await with_bins(asking)
    await look_at_bin(asking.desk, asking.by(after=DAY), bin_text="B-1", saw="clean")
    done = await apart(asking, after=2 * DAY)
    assert done.state.look is None


async def test_before_its_date_one_is_asked_whether_to_end_it_all_the_same(asking: Asking) -> None:
    await with_bins(asking)
    await apart(asking, "30")
    before = await asking.events()
    with pytest.raises(EndsEarly):
        await release_bin(asking.desk, asking.by(after=3 * DAY), bin_text="B-1", looked="clean")
    assert await asking.events() == before
    done = await release_bin(asking.desk, asking.by(after=3 * DAY), bin_text="B-1", looked="clean", sure=True)
    assert done.state.free


async def test_animals_take_a_hold_and_a_quarantine_along(asking: Asking) -> None:
    await with_bins(asking)
    await held(asking)
    await apart(asking, "30")
    await quarantine_bin(asking.desk, asking.by(after=DAY), bin_text="B-2", until="20")
    request = asking.by(after=2 * DAY)
    async with asking.desk.records.write(request.stamp) as book:
        first, second = await book.bin_by_code("B-1"), await book.bin_by_code("B-2")
        assert first is not None
        assert second is not None
        await carry_marks(book, request, first.id, second.id)
        await book.log("bin.merged", Subject("bin", second.id))
    one, two = [await show_bin(asking.desk, asking.by(after=3 * DAY), code) for code in ("B-1", "B-2")]
    assert [(h.cause, h.at, h.note) for h in two.state.holds] == [(h.cause, h.at, h.note) for h in one.state.holds]
    assert one.state.quarantine is not None
    assert two.state.quarantine is not None
    assert two.state.quarantine.until == one.state.quarantine.until


async def test_who_saw_something_now_ends_nothing_and_has_it_noted(asking: Asking) -> None:
    await with_bins(asking)
    await apart(asking, "30")
    await look_at_bin(asking.desk, asking.by(after=10 * DAY), bin_text="B-1", saw="clean")
    done = await release_bin(asking.desk, asking.by(after=40 * DAY), bin_text="B-1", looked="saw something")
    assert (done.kind, done.ended, done.state.clean) == ("bin.looked", (), False)
    assert done.state.quarantine is not None


async def test_a_running_quarantine_takes_a_further_note_and_no_past_end(asking: Asking) -> None:
    await with_bins(asking)
    for after, note in ((1, "new here"), (3, "mites")):
        done = await quarantine_bin(asking.desk, asking.by(after=after * DAY), bin_text="B-1", until="30", note=note)
    assert done.state.quarantine is not None
    assert done.state.quarantine.note == "new here\nmites"
    with pytest.raises(DateNotRead) as caught:
        await apart(asking, "5", after=20 * DAY)
    assert caught.value.past


async def test_an_overdue_quarantine_comes_along_begins_anew_and_asks_today(asking: Asking) -> None:
    await with_bins(asking)
    await quarantine_bin(asking.desk, asking.by(after=DAY), bin_text="B-2", until="10", note="from a dealer")
    await set_privacy(asking.desk, asking.by(after=DAY), bin_text="B-2", private="notes")
    await look_at_bin(asking.desk, asking.by(after=15 * DAY), bin_text="B-1", saw="clean")
    request = asking.by(after=20 * DAY)
    async with asking.desk.records.write(request.stamp) as book:
        target, source = await book.bin_by_code("B-1"), await book.bin_by_code("B-2")
        assert target is not None
        assert source is not None
        await carry_marks(book, request, source.id, target.id)
        await book.log("bin.merged", Subject("bin", target.id))
    state = (await show_bin(asking.desk, request, "B-1")).state
    assert state.quarantine is not None
    assert (state.look, state.due, state.quarantine.note) == (None, True, None)
    assert await asked(asking) == [(CareKind.QUARANTINE_END, request.now.date().isoformat())]


WRONG: list[tuple[Callable[..., Awaitable[BinMarked]], dict[str, str], type[Refusal]]] = [
    (hold_bin, {"bin_text": "B-9", "cause": "another reason"}, NoSuchBin),
    (hold_bin, {"cause": "no idea"}, WordNotKnown),
    (hold_bin, {"cause": "signs of disease", "note": "n" * 4001}, TextTooLong),
    (quarantine_bin, {"until": "last week"}, DateNotRead),
    (quarantine_bin, {"until": "2026-02-01"}, DateNotRead),
    (look_at_bin, {"saw": "hm"}, WordNotKnown),
    (look_at_bin, {"saw": "clean", "when": "2026-04-01"}, DayAhead),
    (release_bin, {}, NothingToEnd),
]


async def test_what_cannot_be_marks_nothing(asking: Asking) -> None:
    await with_bins(asking)
    before = await asking.events()
    for work, fields, refusal in WRONG:
        with pytest.raises(refusal):
            await work(asking.desk, asking.by(), **{"bin_text": "B-1", **fields})
    assert await asking.events() == before


async def test_others_mark_nothing_and_see_nothing_of_a_private_bin(asking: Asking) -> None:
    await with_bins(asking)
    with pytest.raises(NotYours):
        await hold_bin(asking.desk, asking.by(TAMSIN), bin_text="B-1", cause="another reason")
    with pytest.raises(NoSuchBin):
        await hold_bin(asking.desk, asking.by(server=ELSEWHERE), bin_text="B-1", cause="another reason")
    await held(asking)
    await set_privacy(asking.desk, asking.by(), bin_text="B-1", private="notes")
    seen = await show_bin(asking.desk, asking.by(MOSS, after=DAY), "B-1")
    assert [(hold.cause, hold.note) for hold in seen.state.holds] == [(HoldCause.BLUE_SHEEN, None)]
    await set_privacy(asking.desk, asking.by(), bin_text="B-1", private="everything")
    async with asking.desk.records.read(SERVER, MOSS) as book:
        assert await book.holding() == ()
    async with asking.desk.records.read(SERVER, WREN) as book:
        assert len(await book.holding()) == 1


async def test_what_comes_again_is_done_once(asking: Asking) -> None:
    await with_bins(asking)
    request = asking.by(after=DAY)
    first = await quarantine_bin(asking.desk, request, bin_text="B-1")
    events = await asking.events()
    assert await quarantine_bin(asking.desk, again(request), bin_text="B-1") == first
    assert await asking.events() == events
    assert len(await asked(asking)) == 1
    opened = next(event for event in events if event.kind == "bin.opened")
    await undo(asking.desk, asking.by(after=DAY), first.event)
    await undo(asking.desk, asking.by(after=DAY), opened.seq)
    with pytest.raises(TakenBack):
        await quarantine_bin(asking.desk, again(request), bin_text="B-1")
