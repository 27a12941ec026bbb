"""Days of the book as pings: they follow the facts, come before other care, and are done by the act or by *Done*."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.cards.away import away_card
from bot.cards.pairings import young_card
from bot.records import CareKind, DatedRow, Subject
from bot.services.away import go_away
from bot.services.bin_moves import split_bin
from bot.services.bins import NewBin, open_bin
from bot.services.care import Answer, answer_round, reopen_round
from bot.services.care_tasks import add_task, list_tasks, pause_tasks
from bot.services.care_today import care_today
from bot.services.keepers import set_keeper
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import PairingView, end_pairing, show_pairing, taken_out, young_seen
from bot.services.rearing_tasks import follow_temperature
from bot.services.refusals_breeding import NotedAlready
from bot.services.refusals_days import DatedRests
from bot.services.undo import undo
from tests.support.asking import SERVER, WREN, Asking
from tests.support.dispatching import round_at

DAY = timedelta(days=1)
SEPARATE, OUT = CareKind.SEPARATE, CareKind.PARENTS_OUT
PARTED, GONE = date(2026, 4, 30), date(2026, 6, 4)
"""*Porcellio scaber*: 56 days and 91 days from 5 March, the low end of the card (isopods.md 0 and 7.2, derived) at 22 °C."""


@async_fixture
async def paired(asking: Asking) -> Asking:
    """P-1 of Wren's in B-3, whose clock is Lisbon's."""
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30", holds="wild"))
    await set_keeper(asking.desk, asking.by(), zone="Europe/Lisbon")
    await set_up(asking.desk, asking.by(), NewPairing(dams="1 from B-1", sires="1 from B-2"))
    return asking


async def seen(paired: Asking, *, after: timedelta = timedelta(), temperature: str = "") -> PairingView:
    return await young_seen(paired.desk, paired.by(after=after), "P-1", temperature=temperature)


async def asked(paired: Asking, view: PairingView) -> dict[CareKind, date]:
    async with paired.desk.records.read(SERVER, WREN) as book:
        rows: tuple[DatedRow, ...] = await book.dated(Subject("pairing", view.row.id))
    return {row.kind: row.day for row in rows}


def morning(day: date, hour: int = 7) -> datetime:
    """Eight o'clock in Lisbon's summer."""
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


async def test_young_that_are_seen_ask_for_both_days_across_the_change_of_clocks(paired: Asking) -> None:
    view = await seen(paired)
    assert await asked(paired, view) == {SEPARATE: PARTED, OUT: GONE}
    assert [task.task.kind for task in (await list_tasks(paired.desk, paired.by())).tasks] == [SEPARATE, OUT]
    assert await round_at(paired.desk.records, morning(PARTED) - timedelta(seconds=1)) is None
    first = await round_at(paired.desk.records, morning(PARTED))
    assert first is not None
    assert [(item.kind, item.bin_code) for item in first.items] == [(SEPARATE, "B-3")]
    assert await round_at(paired.desk.records, morning(PARTED) + DAY) is None


async def test_a_day_comes_before_care_that_is_later_and_no_pause_silences_it(paired: Asking) -> None:
    await seen(paired)
    await add_task(paired.desk, paired.by(), bin_text="B-1", kind="litter", days="daily", time="8:00")
    found = await round_at(paired.desk.records, morning(PARTED))
    assert found is not None
    assert [item.kind for item in found.items] == [SEPARATE, CareKind.LITTER]
    assert found.items[1].late > found.items[0].late
    await pause_tasks(paired.desk, paired.by(), task=None)
    rests = {task.task.kind: task.rests for task in (await list_tasks(paired.desk, paired.by())).tasks}
    assert rests == {SEPARATE: False, OUT: False, CareKind.LITTER: True}
    later = await round_at(paired.desk.records, morning(GONE))
    assert later is not None
    assert [item.kind for item in later.items] == [SEPARATE, OUT]
    (first, *_) = (await list_tasks(paired.desk, paired.by())).tasks
    with pytest.raises(DatedRests):
        await pause_tasks(paired.desk, paired.by(), task=first.task.id)


async def test_quiet_hours_hold_it(paired: Asking) -> None:
    await seen(paired)
    await set_keeper(paired.desk, paired.by(), quiet="21:00 to 9:30")
    assert await round_at(paired.desk.records, morning(PARTED)) is None
    assert await round_at(paired.desk.records, morning(PARTED, 9)) is not None


async def test_the_days_follow_a_temperature_and_the_young_that_are_seen_anew(paired: Asking) -> None:
    view = await seen(paired)
    async with paired.desk.records.write(paired.by().stamp) as book:
        await book.add_temperature(view.row.bin_id, Fraction(18))
        await follow_temperature(paired.desk, book, paired.by(), view.row.bin_id)
        await book.log("bin.temperature", Subject("bin", view.row.bin_id))
    # 56 and 91 days by 11/7, for 315/(T - 11) is 45 days at 18 °C and 29 at 22 °C (isopods.md 1.2, derived).
    assert await asked(paired, view) == {SEPARATE: date(2026, 6, 1), OUT: date(2026, 7, 26)}
    assert await round_at(paired.desk.records, morning(PARTED)) is None
    await seen(paired, after=2 * DAY, temperature="22 C")
    assert await asked(paired, view) == {SEPARATE: PARTED, OUT: GONE}
    await young_seen(paired.desk, paired.by(after=2 * DAY), "P-1", day="today")
    # By the temperature that was logged of the bin.
    assert await asked(paired, view) == {SEPARATE: date(2026, 6, 3), OUT: date(2026, 7, 28)}


async def test_young_of_long_ago_ask_for_nothing_that_is_past(paired: Asking) -> None:
    view = await seen(paired)
    with pytest.raises(NotedAlready):
        await seen(paired, after=200 * DAY)
    moved = await young_seen(paired.desk, paired.by(after=200 * DAY), "P-1", day="yesterday")
    assert set(await asked(paired, moved)) == {SEPARATE, OUT}
    late = await young_seen(paired.desk, paired.by(after=60 * DAY), "P-1", day="5 Mar 2026")
    assert "were to be parted by sex by" in young_card(late).lead
    assert set(await asked(paired, late)) == {OUT}
    back = await young_seen(paired.desk, paired.by(after=200 * DAY), "P-1", day="5 Mar 2026")
    assert await asked(paired, back) == {}
    assert back.row.parents_out_by == view.row.parents_out_by


async def test_breeders_that_are_out_need_not_be_asked_for_and_the_undo_asks_again(paired: Asking) -> None:
    view = await seen(paired)
    out = await taken_out(paired.desk, paired.by(after=DAY), "P-1")
    with pytest.raises(NotedAlready):
        await taken_out(paired.desk, paired.by(after=2 * DAY), "P-1")
    assert await asked(paired, view) == {SEPARATE: PARTED}
    assert out.event is not None
    await undo(paired.desk, paired.by(after=DAY), out.event)
    assert await asked(paired, view) == {SEPARATE: PARTED, OUT: GONE}
    found = await round_at(paired.desk.records, morning(GONE))
    assert found is not None
    assert OUT in [item.kind for item in found.items]


async def test_done_on_the_ping_takes_the_breeders_out_of_the_book_as_well(paired: Asking) -> None:
    view = await seen(paired)
    await round_at(paired.desk.records, morning(PARTED))
    found = await round_at(paired.desk.records, morning(GONE))
    assert found is not None
    (item,) = [item for item in found.items if item.kind is OUT]
    request = paired.by(after=morning(GONE) - paired.by().now)
    answered = await answer_round(
        paired.desk, request, delivery=found.delivery_id, answer=Answer.DONE, occurrence=item.occurrence_id
    )
    assert (await show_pairing(paired.desk, paired.by(), "P-1")).row.out_at == request.now
    assert await asked(paired, view) == {SEPARATE: PARTED}
    await reopen_round(paired.desk, paired.by(after=100 * DAY), seq=answered.event)
    assert (await show_pairing(paired.desk, paired.by(), "P-1")).row.out_at is None
    assert await asked(paired, view) == {SEPARATE: PARTED, OUT: GONE}


async def test_a_pairing_that_ends_asks_for_nothing(paired: Asking) -> None:
    view = await seen(paired)
    await end_pairing(paired.desk, paired.by(), "P-1")
    assert await asked(paired, view) == {}
    assert await round_at(paired.desk.records, morning(GONE)) is None


@pytest.mark.parametrize(
    ("number", "still"), [("12 males", {OUT}), ("12", {SEPARATE, OUT}), ("3 males 2 females", {SEPARATE, OUT})]
)
async def test_young_that_are_parted_need_not_be_asked_for(paired: Asking, number: str, still: set[CareKind]) -> None:
    view = await seen(paired)
    await split_bin(paired.desk, paired.by(), bin_text="B-3", number=number, sure=True)
    assert set(await asked(paired, view)) == still


async def test_young_that_were_no_young_are_undone_with_their_pings_even_after_they_were_asked(paired: Asking) -> None:
    view = await seen(paired)
    await round_at(paired.desk.records, morning(PARTED))
    assert view.event is not None
    await undo(paired.desk, paired.by(), view.event)
    assert await asked(paired, view) == {}
    assert (await care_today(paired.desk, paired.by(after=PARTED - date(2026, 3, 5)))).items == ()


async def test_whoever_goes_away_is_told_of_the_days_that_pass_meanwhile(paired: Asking) -> None:
    await seen(paired)
    absence = await go_away(paired.desk, paired.by(), start="29 Apr", end="9 May")
    assert [(due.kind, due.due_at) for due in absence.passing] == [(SEPARATE, morning(PARTED))]
    said = away_card(absence).blocks[0]
    assert said.startswith("**These days pass while you are away**: B-3: part by sex <t:")
    assert (await go_away(paired.desk, paired.by(), start="1 May", end="9 May")).passing == ()
