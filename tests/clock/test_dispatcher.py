"""The dispatcher on a calm shore: what goes out, when, to whom, and what stops nothing else."""

import asyncio
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot.calendar import first_due, weekly
from bot.cards.card import Ping
from bot.clock.dispatcher import Dispatcher, Outcome, Pace
from bot.clock.marks import mark
from bot.records import CareKind, Records
from bot.records.dispatch import Dispatch
from bot.rounds import Round
from tests.support.dispatching import AFTER_LEASE, DUE, HOUR, PACE, SECOND, WEEK, Bench
from tests.support.pings import Fault, Shore, add_care, finish, notice, put_off


@pytest.fixture
def bench(records: Records) -> Bench:
    return Bench(records)


async def test_a_ping_goes_out_when_it_is_due_and_not_again(bench: Bench) -> None:
    care = await add_care(bench.records, 5)
    bench.clocks.wait(-SECOND)
    assert await bench.tick() == []
    bench.clocks.wait(SECOND)
    assert await bench.tick() == [Outcome.POSTED]
    assert bench.texts() == [care.code]
    bench.clocks.wait(HOUR)
    assert await bench.tick() == []
    (message,) = bench.shore.messages
    (asked,) = bench.compose.rounds
    assert message.marks == (mark(asked.delivery_id),)
    assert (await bench.delivery(asked.delivery_id)).message_id == message.id
    bench.clocks.wait(WEEK)
    assert await bench.tick() == [Outcome.POSTED]


async def test_a_round_says_what_and_how_late(bench: Bench) -> None:
    care = await add_care(bench.records, 5, kind=CareKind.LITTER, name="ember F2")
    bench.clocks.wait(2 * HOUR)
    await bench.tick()
    (asked,) = bench.compose.rounds
    assert (asked.server, asked.channel_id, asked.keeper_id, asked.keeper_name) == (5, 70, 1, "keeper 1")
    assert (asked.now, asked.maybe_repeat) == (DUE + 2 * HOUR, False)
    (item,) = asked.items
    assert (item.kind, item.bin_code, item.bin_name) == (CareKind.LITTER, care.code, "ember F2")
    assert (item.due_at, item.late, item.missed) == (DUE, 2 * HOUR, 0)


async def test_after_an_outage_one_ping_says_what_was_missed(bench: Bench) -> None:
    await add_care(bench.records, 5)
    await add_care(bench.records, 5, weekday=2)
    await add_care(bench.records, 5, keeper=2, channel=71)
    bench.clocks.ahead = 3 * WEEK
    assert await bench.tick() == [Outcome.POSTED] * 2
    asked = next(r for r in bench.compose.rounds if r.keeper_id == 1)
    monday, wednesday = asked.items
    assert (monday.late, monday.missed) == (3 * WEEK, 3)
    assert (wednesday.late, wednesday.missed) == (3 * WEEK - timedelta(days=2), 2)
    assert await bench.tick() == []
    bench.clocks.ahead += timedelta(days=2)
    assert await bench.tick() == [Outcome.POSTED], "the Wednesday after the outage"
    assert bench.compose.rounds[-1].items[0].late == 3 * WEEK + timedelta(days=2), "nobody has done it yet"


async def test_weeks_without_an_answer_count_as_missed_until_one_comes(bench: Bench) -> None:
    care = await add_care(bench.records, 5)
    for week, missed in enumerate([0, 1, 2]):
        bench.clocks.at = DUE + week * WEEK
        assert await bench.tick() == [Outcome.POSTED]
        assert bench.compose.rounds[-1].items[0].missed == missed
    async with bench.records.read(5) as book:
        task = await book.open_occurrence(care.task)
    assert task is not None
    await finish(bench.records, care, task.id, bench.clocks.now())
    bench.clocks.wait(WEEK)
    await bench.tick()
    assert bench.compose.rounds[-1].items[0].missed == 0


async def test_put_off_by_an_hour_is_late_and_nothing_missed(bench: Bench) -> None:
    care = await add_care(bench.records, 5)
    await bench.tick()
    await put_off(bench.records, care, care.occurrence, DUE, DUE + HOUR)
    bench.clocks.wait(HOUR)
    assert await bench.tick() == [Outcome.POSTED]
    assert bench.compose.rounds[-1].items[0].missed == 0
    bench.clocks.at = DUE + WEEK
    assert await bench.tick() == [Outcome.POSTED]


async def test_the_keepers_wall_clock_over_the_spring_gap(bench: Bench) -> None:
    """Sunday 2:30 in Berlin: on 28 March 2027 there is none, and the ping comes at 3:00, 1:00 UTC."""
    berlin = ZoneInfo("Europe/Berlin")
    care = await add_care(bench.records, 5, zone="Europe/Berlin", weekday=6, minute_of_day=150)
    times = []
    at = care.due
    for _ in range(5):
        bench.clocks.at = at - SECOND
        assert await bench.tick() == []
        bench.clocks.at = at
        assert await bench.tick() == [Outcome.POSTED]
        times.append(at.astimezone(berlin).strftime("%d.%m. %H:%M"))
        following = first_due(at, weekly(6, 150), berlin)
        assert following is not None
        at = following
    assert times == ["07.03. 02:30", "14.03. 02:30", "21.03. 02:30", "28.03. 03:00", "04.04. 02:30"]


async def test_a_bug_in_one_ping_stops_no_other_and_is_logged(bench: Bench, caplog: pytest.LogCaptureFixture) -> None:
    await add_care(bench.records, 5)
    await add_care(bench.records, 6)

    def compose(asked: Round) -> Ping:
        if asked.server == 5:
            raise ZeroDivisionError
        return bench.compose(asked)

    broken = Dispatcher(bench.records.dispatch(), bench.shore, bench.clocks, compose, notice, holder="a", pace=PACE)
    assert sorted((await broken.tick()).outcomes) == [Outcome.FAILED, Outcome.POSTED]
    assert "ZeroDivisionError" in caplog.text
    bench.clocks.wait(11 * SECOND)
    assert await bench.tick() == [Outcome.POSTED]


async def test_a_book_that_cannot_be_reached_does_not_raise(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    await add_care(bench.records, 5)

    async def broken(*_: Any, **__: Any) -> None:
        raise OSError("no book")

    for method in ("claim", "sent", "put_off"):
        with monkeypatch.context() as patch:
            patch.setattr(Dispatch, method, broken)
            if method == "put_off":
                bench.shore.faults.append(Fault.LOST)
            assert await bench.tick() == [Outcome.FAILED]
        assert "no book" in caplog.text
        caplog.clear()
        bench.clocks.wait(11 * SECOND if method != "put_off" else AFTER_LEASE)
        await bench.tick()
        await add_care(bench.records, 5, due=bench.clocks.now())
    assert len(bench.shore.messages) == 3


async def test_a_large_server_does_not_make_a_small_one_wait(bench: Bench) -> None:
    for keeper in range(1, 13):
        await add_care(bench.records, 5, keeper, channel=100 + keeper)
    await add_care(bench.records, 6, channel=200)
    await add_care(bench.records, 7, channel=300)
    assert await bench.tick() == [Outcome.POSTED] * 14
    order = [message.channel for message in bench.shore.messages]
    assert {200, 300} <= set(order[: PACE.batch])


async def test_a_tick_stops_at_its_most_and_the_next_goes_on(bench: Bench) -> None:
    for keeper in range(1, 8):
        await add_care(bench.records, 5, keeper)
    dispatcher = bench.dispatcher(pace=Pace(gap=timedelta(), batch=2, most=5))
    assert len((await dispatcher.tick()).outcomes) == 5
    assert (await dispatcher.tick()).count(Outcome.POSTED) == 2


async def test_requests_keep_their_distance(bench: Bench) -> None:
    for keeper in range(1, 6):
        await add_care(bench.records, 5, keeper)
    times: list[float] = []

    async def note(where: str) -> None:
        if where == "post":
            times.append(asyncio.get_running_loop().time())

    bench.shore.at = note
    began = asyncio.get_running_loop().time()
    await bench.dispatcher(pace=Pace(gap=timedelta(milliseconds=30))).tick()
    # Each has its turn and none comes before it; how late a busy machine wakes one says nothing.
    assert len(times) == 5
    assert all(at - began >= turn * 0.03 - 0.002 for turn, at in enumerate(times))


async def test_three_processes_at_once_post_each_ping_once(records: Records, database_url: str) -> None:
    """With a shore that knows no nonce, so that nothing hides a double claim."""
    others = [await Records.open(database_url) for _ in range(2)]
    cares = [await add_care(records, server, keeper) for server in (5, 6, 7) for keeper in range(1, 8)]
    benches = [Bench(each) for each in (records, *others)]
    shore = Shore(benches[0].clocks, remembers=-SECOND)
    for each in benches:
        each.shore, each.clocks = shore, benches[0].clocks
    posted = 0
    while posted < len(cares):
        reports = await asyncio.gather(*(each.dispatcher(f"w{n}").tick() for n, each in enumerate(benches)))
        assert all(set(report.outcomes) <= {Outcome.POSTED} for report in reports)
        posted += sum(report.count(Outcome.POSTED) for report in reports)
    for other in others:
        await other.close()
    assert len(shore.messages) == len({m.nonce for m in shore.messages}) == len(cares)


def test_a_pace_that_could_never_send_is_refused() -> None:
    with pytest.raises(ValueError, match="leaves no time"):
        Pace(lease=SECOND, reserve=SECOND)
    with pytest.raises(ValueError, match="at_once 0"):
        Pace(at_once=0)
