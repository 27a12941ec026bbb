"""The dispatcher against a shore that loses, doubles, stalls and refuses: never lost, and doubled only with a word."""

import asyncio
import logging
from datetime import timedelta
from typing import Any

import pytest

from bot.clock.dispatcher import Outcome, Pace
from bot.records import DeliveryState, Records
from tests.support.dispatching import AFTER_LEASE, HOUR, SECOND, WEEK, Bench, Probed
from tests.support.pings import REPEAT, Fault, Shore, add_care, finish


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
async def test_a_channel_that_refuses_is_tried_again_in_an_hour(bench: Bench, refusal: str) -> None:
    await add_care(bench.records, 5)
    refusing: set[int] = getattr(bench.shore, refusal)
    refusing.add(70)
    assert await bench.tick() == [Outcome.BLOCKED]
    number = bench.compose.rounds[0].delivery_id
    row = await bench.delivery(number)
    assert (row.state, row.tries) == (DeliveryState.BLOCKED, 1)
    bench.clocks.wait(HOUR - SECOND)
    assert await bench.tick() == []
    bench.clocks.wait(SECOND)
    assert await bench.tick() == [Outcome.BLOCKED]
    refusing.clear()
    bench.shore.unreadable.add(70)
    bench.clocks.wait(HOUR)
    assert await bench.tick() == [Outcome.POSTED], "a refusal left no message, so there is nothing to look for"
    row = await bench.delivery(number)
    assert (row.state, row.tries, row.maybe_repeat) == (DeliveryState.SENT, 3, False)
    assert bench.shore.looks == 0


async def test_a_doubtful_try_is_not_forgotten_over_a_refusal(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.UNHEARD)
    await bench.tick()
    bench.shore.closed.add(70)
    bench.clocks.wait(2 * SECOND)
    assert await bench.tick() == [Outcome.BLOCKED]
    bench.shore.closed.clear()
    bench.clocks.wait(HOUR)
    assert await bench.tick() == [Outcome.FOUND]
    assert len(bench.shore.messages) == 1


async def test_a_channel_that_went_while_a_try_was_in_doubt(bench: Bench) -> None:
    await add_care(bench.records, 5)
    bench.shore.faults.append(Fault.LOST)
    await bench.tick()
    bench.shore.gone.add(70)
    bench.clocks.wait(AFTER_LEASE)
    assert await bench.tick() == [Outcome.BLOCKED]
    assert bench.shore.posts == 1


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
