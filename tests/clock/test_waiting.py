"""The dates that wait: quiet hours, absences, rests, bins that join, keepers who move, and what was not answered."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.calendar import Cadence, Rhythm, weekly
from bot.clock.dispatcher import Outcome
from bot.records import CareKind, Records, Subject
from tests.support.dispatching import DUE, HOUR, WEEK, Bench
from tests.support.pings import START, add_care, finish, stamp

DAY = timedelta(days=1)


@pytest.fixture
def bench(records: Records) -> Bench:
    return Bench(records)


async def all_bins_task(bench: Bench, keeper: int = 1) -> int:
    async with bench.records.write(stamp(5, keeper, START)) as book:
        task = await book.add_task(kind=CareKind.PESTS, cadence=weekly(0, 13 * 60), channel_id=70)
        await book.log("care.added", Subject("care task", task))
    return task


async def test_quiet_hours_hold_a_ping_until_they_end_and_one_round_has_all_that_waited(bench: Bench) -> None:
    async with bench.records.write(stamp(5, 1, START)) as book:
        await book.change_keeper(zone="UTC", quiet_from=12 * 60, quiet_to=15 * 60)
        await book.log("keeper.set", Subject("keeper", 1))
    await add_care(bench.records, 5)
    await add_care(bench.records, 5, minute_of_day=14 * 60)
    other = await add_care(bench.records, 5, keeper=2)
    assert await bench.tick() == [Outcome.POSTED]
    assert bench.texts() == [other.code]
    bench.clocks.at = DUE + timedelta(hours=1, minutes=59)
    assert await bench.tick() == []
    bench.clocks.at = DUE + 2 * HOUR
    assert await bench.tick() == [Outcome.POSTED]
    assert len(bench.compose.rounds[-1].items) == 2


async def test_somebody_who_is_away_is_not_pinged_and_gets_one_ping_on_return(bench: Bench) -> None:
    await add_care(bench.records, 5)
    await add_care(bench.records, 5, weekday=2)
    async with bench.records.write(stamp(5, 1, START)) as book:
        await book.set_away(START - HOUR, START + 2 * WEEK)
        await book.log("care.away", Subject("keeper", 1))
    for day in range(14):
        bench.clocks.at = DUE + day * DAY - 2 * HOUR
        assert await bench.tick() == []
    bench.clocks.at = START + 2 * WEEK
    assert await bench.tick() == [Outcome.POSTED]
    assert [item.missed for item in bench.compose.rounds[-1].items] == [1, 1]
    assert await bench.tick() == []


async def test_a_task_for_all_bins_asks_for_bins_that_come_and_not_for_bins_that_go(bench: Bench) -> None:
    first = await add_care(bench.records, 5, cadence=Cadence(Rhythm.STEP, (300,), 0))
    await all_bins_task(bench)
    assert await bench.tick() == [], "the dates are written for the next time"
    second = await add_care(bench.records, 5, cadence=Cadence(Rhythm.STEP, (300,), 0))
    stranger = await add_care(bench.records, 5, keeper=2, cadence=Cadence(Rhythm.STEP, (300,), 0))
    await bench.tick()
    bench.clocks.at = DUE + WEEK
    await bench.tick()
    asked = [r for r in bench.compose.rounds if any(item.kind is CareKind.PESTS for item in r.items)]
    codes = {item.bin_code for r in asked for item in r.items if item.kind is CareKind.PESTS}
    assert codes == {first.code, second.code}
    assert stranger.code not in codes
    assert {r.keeper_id for r in asked} == {1}


@pytest.mark.parametrize("zone", ["Asia/Tokyo", "America/Los_Angeles", "Pacific/Kiritimati"])
async def test_a_keeper_who_moves_is_asked_by_the_clock_there(bench: Bench, zone: str) -> None:
    await add_care(bench.records, 5, zone="Europe/Lisbon")
    await bench.tick()
    async with bench.records.write(stamp(5, 1, bench.clocks.now())) as book:
        await book.set_keeper(zone=zone)
        await book.log("keeper.set", Subject("keeper", 1))
    seen = len(bench.compose.rounds)
    while len(bench.compose.rounds) == seen:
        bench.clocks.wait(HOUR)
        await bench.tick()
    local = bench.clocks.at.astimezone(ZoneInfo(zone))
    assert (local.weekday(), local.hour) == (0, 13)


async def test_what_was_not_answered_comes_up_in_the_next_days_round_and_not_twice_a_day(bench: Bench) -> None:
    first = await add_care(bench.records, 5)
    await add_care(bench.records, 5, due=DUE + 3 * HOUR)
    await add_care(bench.records, 5, due=DUE + DAY)
    await bench.tick()
    bench.clocks.at = DUE + 3 * HOUR
    await bench.tick()
    assert [item.bin_code for item in bench.compose.rounds[-1].items] != [first.code]
    assert len(bench.compose.rounds[-1].items) == 1
    bench.clocks.at = DUE + DAY
    assert await bench.tick() == [Outcome.POSTED]
    items = bench.compose.rounds[-1].items
    assert (len(items), items[0].bin_code, items[0].late) == (3, first.code, DAY)
    assert await bench.tick() == []
    await finish(bench.records, first, first.occurrence, bench.clocks.now())


async def test_an_unanswered_ping_alone_is_not_sent_again(bench: Bench) -> None:
    await add_care(bench.records, 5)
    await bench.tick()
    for day in range(1, 7):
        bench.clocks.at = DUE + day * DAY
        assert await bench.tick() == []


async def test_a_task_that_rests_asks_nothing(bench: Bench) -> None:
    care = await add_care(bench.records, 5)
    async with bench.records.write(stamp(5, 1, START)) as book:
        await book.pause_task(care.task, None)
        await book.log("care.paused", Subject("care task", care.task))
    bench.clocks.at = DUE + 3 * WEEK
    assert await bench.tick() == []
