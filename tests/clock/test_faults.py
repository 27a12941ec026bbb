"""The dispatcher against a shore that loses, doubles, stalls and refuses: never lost, and doubled only with a word."""

import asyncio
import itertools
import logging
from datetime import timedelta
from typing import Any

import pytest

from bot.clock.dispatcher import Outcome, Pace
from bot.records import DeliveryState, Records
from tests.support.dispatching import AFTER_LEASE, HOUR, SECOND, WEEK, Bench, Probed
from tests.support.pings import REPEAT, Fault, Shore, add_care, direct, finish


@pytest.fixture
def bench(records: Records) -> Bench:
    return Bench(records)


DOUBTFUL = [Fault.LOST, Fault.UNHEARD, Fault.RESET, Fault.RESET_AFTER]
"""After these nobody knows whether the ping stands."""


async def test_a_failed_answer_is_asked_again_with_the_same_nonce(bench: Bench) -> None:
    for fault in DOUBTFUL:
        await add_care(bench.records, 5, due=bench.clocks.now())
        bench.shore.faults.append(fault)
        assert await bench.tick() in ([Outcome.POSTPONED], [Outcome.FAILED])
        bench.clocks.wait(11 * SECOND)
        assert await bench.tick() == [Outcome.POSTED], fault
    assert (bench.shore.posts, len(bench.shore.messages), bench.shore.looks) == (8, 4, 0)
    assert not any(REPEAT in text for text in bench.texts())


async def test_once_the_nonce_is_old_the_history_is_asked_first(bench: Bench) -> None:
    for number, fault in enumerate(DOUBTFUL, 1):
        await add_care(bench.records, 5, due=bench.clocks.now())
        bench.shore.faults.append(fault)
        await bench.tick()
        stands = len(bench.shore.messages) == number
        bench.clocks.wait(AFTER_LEASE)
        assert await bench.tick() == [Outcome.FOUND if stands else Outcome.POSTED], fault
        assert (bench.shore.looks, len(bench.shore.messages)) == (number, number)
        delivery = await bench.delivery(bench.compose.rounds[-1].delivery_id)
        assert delivery.message_id == bench.shore.messages[-1].id
    assert not any(REPEAT in text for text in bench.texts())


async def test_a_rate_limit_is_waited_out(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.SLOW_DOWN)
    assert await bench.tick() == [Outcome.POSTPONED]
    bench.clocks.wait(89 * SECOND)
    assert await bench.tick() == []
    bench.clocks.wait(SECOND)
    assert await bench.tick() == [Outcome.POSTED]


async def test_a_deleted_post_counts_as_sent_while_the_nonce_is_known(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.UNHEARD)
    await bench.tick()
    bench.shore.delete(bench.shore.messages[0].id)
    bench.clocks.wait(2 * SECOND)
    assert await bench.tick() == [Outcome.POSTED]
    assert len(bench.shore.messages) == 1


async def test_a_post_deleted_before_anybody_knew_of_it_is_posted_anew(bench: Bench) -> None:
    """Neither nonce nor history can tell it from one that was never posted; one stands in the channel."""
    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.UNHEARD)
    await bench.tick()
    bench.shore.delete(bench.shore.messages[0].id)
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick() == [Outcome.POSTED]
    assert len(bench.shore.standing()) == 1
    bench.shore.delete(bench.shore.standing()[0].id)
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick() == [], "a post that was marked is not posted again, whatever becomes of it"


async def test_without_the_history_it_goes_out_once_more_and_says_so(
    bench: Bench, caplog: pytest.LogCaptureFixture
) -> None:
    await add_care(bench.records, 5)
    bench.shore.unreadable.add(70)
    bench.shore.faults.append(Fault.UNHEARD)
    await bench.tick()
    bench.clocks.wait(AFTER_LEASE)
    with caplog.at_level(logging.WARNING):
        assert await bench.tick() == [Outcome.REPEATED]
    assert "may be a repeat" in caplog.text
    assert [REPEAT in text for text in bench.texts()] == [False, True]
    assert (await bench.delivery(bench.compose.rounds[0].delivery_id)).maybe_repeat
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick() == []


async def test_a_repeat_that_was_not_heard_is_known_by_its_nonce(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.unreadable.add(70)
    bench.shore.faults.extend([Fault.UNHEARD, Fault.UNHEARD])
    await bench.tick()
    bench.clocks.wait(AFTER_LEASE)
    await bench.tick()
    bench.clocks.wait(2 * SECOND)
    assert await bench.tick() == [Outcome.REPEATED]
    assert len(bench.shore.messages) == 2


async def test_once_the_history_can_be_read_it_is_no_repeat(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.unreadable.add(70)
    bench.shore.faults.extend([Fault.LOST, Fault.LOST])
    await bench.tick()
    bench.clocks.wait(AFTER_LEASE)
    await bench.tick()
    bench.shore.unreadable.clear()
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick() == [Outcome.POSTED]
    assert REPEAT not in bench.texts()[0]
    assert not (await bench.delivery(bench.compose.rounds[0].delivery_id)).maybe_repeat


@pytest.mark.parametrize("refusal", ["gone", "closed"])
async def test_a_room_that_refuses_is_gone_around(bench: Bench, refusal: str) -> None:
    """The ping goes to its keeper alone, and the next one tries the room again."""
    await add_care(bench.records, 5)
    refusing: set[int] = getattr(bench.shore, refusal)
    refusing.add(70)
    assert await bench.tick() == [Outcome.DIRECTED]
    row = await bench.delivery(bench.compose.rounds[0].delivery_id)
    assert (row.state, row.direct, row.home_id, row.channel_id) == (DeliveryState.SENT, True, 70, direct(1))
    (message,) = bench.shore.messages
    assert (message.channel, message.id) == (direct(1), row.message_id)
    assert REPEAT not in message.text
    bench.clocks.wait(HOUR)
    assert await bench.tick() == []
    refusing.clear()
    bench.clocks.wait(WEEK)
    assert await bench.tick() == [Outcome.POSTED]
    assert bench.shore.messages[-1].channel == 70


async def test_a_server_is_told_once_of_a_room_that_refuses_and_again_when_it_does_so_anew(bench: Bench) -> None:
    await add_care(bench.records, 5, channel=71)
    assert await bench.tick() == [Outcome.POSTED]
    bench.shore.closed.add(70)
    for keeper in (1, 2, 3):
        await add_care(bench.records, 5, keeper, due=bench.clocks.now())
    await bench.tick()
    told = [message for message in bench.shore.messages if "takes no pings" in message.text]
    assert [(message.channel, message.text) for message in told] == [(71, "room 70 takes no pings")]
    bench.clocks.wait(WEEK)
    await bench.tick()
    bench.shore.closed.clear()
    bench.clocks.wait(WEEK)
    await bench.tick()
    assert len([message for message in bench.shore.messages if "takes no pings" in message.text]) == 1
    bench.shore.closed.add(70)
    bench.clocks.wait(WEEK)
    await bench.tick()
    assert len([message for message in bench.shore.messages if "takes no pings" in message.text]) == 2


async def test_where_no_ping_ever_came_the_servers_own_room_for_notices_is_told(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.gone.add(70)
    assert await bench.tick() == [Outcome.DIRECTED]
    assert len(bench.shore.messages) == 1, "nobody knows where to tell"
    bench.shore.public = (70, 99)
    bench.clocks.wait(WEEK)
    await bench.tick()
    assert [m.channel for m in bench.shore.messages if "takes no pings" in m.text] == [99]


@pytest.mark.parametrize("shut", ["closed", "unreachable"])
async def test_a_ping_that_nobody_takes_is_tried_ever_more_rarely_and_given_up(bench: Bench, shut: str) -> None:
    """Nothing is lost by that: what it asked is asked in the next ping that finds its way."""
    care = await add_care(bench.records, 5)
    bench.shore.closed.add(70)
    if shut == "closed":
        bench.shore.closed.add(direct(1))
    else:
        bench.shore.shut.add(1)
    started, tries = bench.clocks.at, []
    for _ in range(24 * 6):
        outcomes = await bench.tick()
        if outcomes:
            tries.append(bench.clocks.at - started)
        if outcomes == [Outcome.GIVEN_UP]:
            break
        assert outcomes in ([], [Outcome.BLOCKED])
        bench.clocks.wait(HOUR)
    assert outcomes == [Outcome.GIVEN_UP]
    pauses = [later - earlier for earlier, later in itertools.pairwise(tries)]
    assert pauses[0] == HOUR
    assert pauses == sorted(pauses)
    assert timedelta(days=1) < tries[-1] < timedelta(days=6)
    assert not bench.shore.messages
    row = await bench.delivery(bench.compose.rounds[0].delivery_id)
    assert (row.state, row.direct, row.channel_id, row.message_id) == (
        DeliveryState.REFUSED,
        row.direct,
        row.channel_id,
        None,
    )
    bench.shore.closed.clear()
    bench.clocks.at = care.due + WEEK
    assert await bench.tick() == [Outcome.POSTED]
    assert bench.compose.rounds[-1].items[0].missed == 1


async def test_a_ping_that_nobody_takes_tries_its_room_first_again(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.closed |= {70, direct(1)}
    assert await bench.tick() == [Outcome.BLOCKED]
    bench.shore.closed.clear()
    bench.shore.unreadable.add(70)
    bench.clocks.wait(HOUR)
    assert await bench.tick() == [Outcome.POSTED], "a refusal left no message, so there is nothing to look for"
    assert bench.shore.messages[0].channel == 70
    assert REPEAT not in bench.shore.messages[0].text


async def test_a_doubtful_try_is_not_forgotten_over_a_refusal(bench: Bench) -> None:
    """It stands in the room, but nobody could tell: what goes to the keeper says that it may be a repeat."""
    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.UNHEARD)
    await bench.tick()
    bench.shore.closed.add(70)
    bench.clocks.wait(2 * SECOND)
    assert await bench.tick() == [Outcome.REPEATED]
    assert [(m.channel, REPEAT in m.text) for m in bench.shore.messages] == [(70, False), (direct(1), True)]


async def test_a_channel_that_went_while_a_try_was_in_doubt(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.LOST)
    await bench.tick()
    bench.shore.gone.add(70)
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick() == [Outcome.REPEATED]
    assert [(m.channel, REPEAT in m.text) for m in bench.shore.messages] == [(direct(1), True)]


async def test_history_that_asks_to_wait(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    from bot.clock.port import RetryAfter

    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.UNHEARD)
    await bench.tick()
    bench.clocks.wait(AFTER_LEASE)

    async def busy(*_: Any) -> RetryAfter:
        return RetryAfter(30)

    with monkeypatch.context() as patch:
        patch.setattr(bench.shore, "find", busy)
        assert await bench.tick() == [Outcome.POSTPONED]
    bench.clocks.wait(29 * SECOND)
    assert await bench.tick() == []
    bench.clocks.wait(SECOND)
    assert await bench.tick() == [Outcome.FOUND]


async def test_a_stalled_worker_that_wakes_after_its_lease_overwrites_nothing(bench: Bench) -> None:
    """It stalls with its request under way; another takes over, finds nothing yet and posts; then the first wakes."""
    await add_care(bench.records, 5)
    stalled, wake = asyncio.Event(), asyncio.Event()

    async def once(where: str) -> None:
        if where == "post" and not stalled.is_set():
            stalled.set()
            await wake.wait()

    bench.shore.at = once
    first = asyncio.create_task(bench.dispatcher("a").tick())
    await stalled.wait()
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick("b") == [Outcome.POSTED]
    number = bench.compose.rounds[0].delivery_id
    row = await bench.delivery(number)
    wake.set()
    assert (await first).outcomes == (Outcome.YIELDED,)
    assert await bench.delivery(number) == row
    assert len(bench.shore.messages) == 1
    bench.clocks.wait(WEEK)
    assert await bench.tick() == [Outcome.POSTED]


@pytest.mark.parametrize("moment", ["claimed", "begun"])
async def test_a_worker_that_slept_through_its_lease_posts_nothing(bench: Bench, moment: str) -> None:
    await add_care(bench.records, 5)
    others: list[list[Outcome]] = []

    async def sleep(where: str) -> None:
        if where == moment and not others:
            bench.clocks.wait(AFTER_LEASE)
            others.append([])
            others[0] += await bench.tick("b")

    report = await bench.dispatcher("a", dispatch=Probed(bench.records.dispatch(), sleep)).tick()
    assert report.outcomes == (Outcome.YIELDED,)
    assert others == [[Outcome.POSTED]]
    assert bench.shore.posts == 1


async def test_a_request_that_never_answers_is_given_up_before_the_lease_ends(bench: Bench) -> None:
    await add_care(bench.records, 5)
    pace = Pace(gap=timedelta(), lease=timedelta(seconds=1), reserve=timedelta(milliseconds=950))

    async def for_ever(where: str) -> None:
        if where == "posted":
            await asyncio.Event().wait()

    bench.shore.at = for_ever
    assert (await bench.dispatcher(pace=pace).tick()).outcomes == (Outcome.FAILED,)
    bench.shore.at = Shore(bench.clocks).at
    bench.clocks.wait(11 * SECOND)
    assert await bench.tick("b") == [Outcome.POSTED]
    assert len(bench.shore.messages) == 1


async def test_what_was_answered_before_the_post_was_marked_is_not_asked_again(bench: Bench) -> None:
    care = await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.UNHEARD)
    await bench.tick()
    await finish(bench.records, care, care.occurrence, bench.clocks.now())
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick() == [Outcome.SETTLED]
    assert (bench.shore.posts, bench.shore.looks) == (1, 0)
    bench.clocks.wait(WEEK)
    assert await bench.tick() == [Outcome.POSTED]
