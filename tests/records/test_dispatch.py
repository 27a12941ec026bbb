"""The dispatcher's statements, each on its own, on both engines."""

import asyncio
from contextvars import Context
from datetime import timedelta

import pytest
from sqlalchemy import Update, update
from sqlalchemy.ext.asyncio import create_async_engine

from bot.calendar import weekly
from bot.records import CareKind, DeliveryState, Exactness, OccurrenceState, Records, Subject
from bot.records.claims import Claimed
from bot.records.tables import bins, care_tasks
from tests.support.pings import START, Care, add_care, finish, put_off, stamp

HOUR = timedelta(hours=1)
WEEK = timedelta(days=7)
LEASE = timedelta(minutes=3)
DUE = START + HOUR
"""When care that `add_care` adds is due for the first time."""


async def claim(records: Records, *, holder: str = "a", at: timedelta = HOUR, limit: int = 50) -> tuple[Claimed, ...]:
    moment = START + at
    return await records.dispatch().claim(now=moment, real=moment, holder=holder, lease=LEASE, limit=limit)


async def begin(records: Records, delivery: Claimed, *, holder: str = "a", at: timedelta = HOUR) -> bool:
    real = START + at
    return await records.dispatch().begin_try(
        delivery, holder=holder, real=real, until=real + LEASE, maybe_repeat=False
    )


async def sent(records: Records, delivery: Claimed, *, holder: str = "a", at: timedelta = HOUR) -> bool:
    next_due = {item.task_id: item.due_at + WEEK for item in delivery.items}
    return await records.dispatch().sent(delivery, holder=holder, now=START + at, message_id=900, next_due=next_due)


async def states(records: Records, care: Care) -> list[tuple[timedelta, OccurrenceState]]:
    """Every due date of a task, as its distance from the first, with its state."""
    async with records.read(care.server) as book:
        rows = [await book.occurrence(number) for number in range(1, 60)]
    return sorted((row.due_at - care.due, row.state) for row in rows if row is not None and row.task_id == care.task)


async def test_a_ping_knows_no_count_that_was_corrected(records: Records) -> None:
    care = await add_care(records, 5, due=DUE)
    async with records.write(stamp(5, 1, START)) as book:
        wrong = await book.add_count(care.bin_id, total=400, exactness=Exactness.EXACT)
        await book.log("count.log", Subject("bin", care.bin_id))
    async with records.write(stamp(5, 1, START + HOUR / 2)) as book:
        earlier = START - HOUR
        await book.add_count(care.bin_id, total=40, exactness=Exactness.EXACT, at=earlier, corrects=wrong)
        await book.log("count.correct", Subject("bin", care.bin_id))
    (delivery,) = await claim(records)
    (item,) = delivery.items
    assert item.count is not None
    assert (item.count.total, item.count.at) == (40, earlier)


async def test_a_due_date_becomes_a_delivery_with_what_a_ping_says(records: Records) -> None:
    care = await add_care(records, 5, name="ember F2", zone="Europe/Berlin", due=DUE)
    async with records.write(stamp(5, 1, START)) as book:
        await book.add_count(care.bin_id, total=40, exactness=Exactness.ESTIMATE)
        await book.log("count.log", Subject("bin", care.bin_id))
    async with records.write(stamp(5, 1, START + HOUR / 2)) as book:
        await book.add_count(care.bin_id, total=43, exactness=Exactness.EXACT)
        await book.log("count.log", Subject("bin", care.bin_id))
    (delivery,) = await claim(records)
    assert (delivery.server, delivery.keeper_id, delivery.channel_id) == (5, 1, 70)
    assert (delivery.keeper_name, delivery.zone) == ("keeper 1", "Europe/Berlin")
    assert (delivery.first_tried_at, delivery.tries) == (None, 0)
    assert delivery.lease_until == DUE + LEASE
    assert len(delivery.nonce) <= 25
    (item,) = delivery.open_items
    assert (item.occurrence_id, item.task_id, item.bin_id, item.due_at) == (
        care.occurrence,
        care.task,
        care.bin_id,
        DUE,
    )
    assert (item.kind, item.cadence) == (CareKind.MOISTURE, weekly(0, 780))
    assert (item.bin_code, item.bin_name, item.species_key) == (care.code, "ember F2", "porcellio-laevis")
    assert item.since == START
    assert item.count is not None
    assert (item.count.total, item.count.exactness, item.count.at) == (43, Exactness.EXACT, START + HOUR / 2)
    async with records.read(5) as book:
        row = await book.delivery(delivery.id)
        assert row is not None
        assert (row.state, row.holder, row.created_at) == (DeliveryState.SENDING, "a", DUE)


async def test_a_bin_without_name_or_count_and_a_keeper_without_zone(records: Records) -> None:
    await add_care(records, 5)
    (delivery,) = await claim(records)
    assert delivery.zone == "UTC"
    assert (delivery.items[0].bin_name, delivery.items[0].count) == (None, None)
    async with records.write(stamp(6, 1, START)) as book:
        await book.set_server(zone="Pacific/Auckland", bin_prefix="A-")
        await book.log("server.set", Subject("server", 6))
    await add_care(records, 6)
    (delivery,) = await claim(records)
    assert delivery.zone == "Pacific/Auckland"


async def test_nothing_before_its_time_and_nothing_twice(records: Records) -> None:
    await add_care(records, 5)
    assert await claim(records, at=HOUR - timedelta(microseconds=1)) == ()
    assert len(await claim(records)) == 1
    assert await claim(records, holder="b", at=HOUR + LEASE - timedelta(seconds=1)) == ()


async def test_one_delivery_for_each_keeper_and_channel(records: Records) -> None:
    first = await add_care(records, 5, keeper=1, channel=70, due=DUE)
    second = await add_care(records, 5, keeper=1, channel=70, due=DUE - HOUR / 2)
    await add_care(records, 5, keeper=1, channel=71)
    await add_care(records, 5, keeper=2, channel=70)
    await add_care(records, 6, keeper=1, channel=70)
    claimed = await claim(records)
    assert sorted((c.server, c.keeper_id, c.channel_id) for c in claimed) == [
        (5, 1, 70), (5, 1, 71), (5, 2, 70), (6, 1, 70),
    ]  # fmt: skip
    (both,) = (c for c in claimed if len(c.items) == 2)
    assert [item.task_id for item in both.items] == [second.task, first.task]
    assert len({c.nonce for c in claimed}) == 4


async def test_ended_tasks_and_closed_bins_ask_nothing(records: Records, database_url: str) -> None:
    ended = await add_care(records, 5)
    closed = await add_care(records, 5, channel=71)
    await end(database_url, ended)
    await close_bin(database_url, closed)
    assert await claim(records) == ()


async def test_the_longest_waiting_servers_take_turns(records: Records) -> None:
    for keeper in range(1, 8):
        await add_care(records, 5, keeper=keeper, due=DUE - HOUR / 2)
    await add_care(records, 6)
    await add_care(records, 7)
    assert [c.server for c in await claim(records, limit=3)] == [5, 6, 7]
    assert [c.server for c in await claim(records, limit=3)] == [5, 5, 5]
    # Stale ones take turns too, and before anything new.
    later = HOUR + LEASE
    await add_care(records, 8)
    assert sorted(c.server for c in await claim(records, at=later, limit=3)) == [5, 6, 7]
    assert sorted(c.server for c in await claim(records, at=later, limit=50)) == [5, 5, 5, 5, 5, 5, 8]


async def test_a_lease_that_ran_out_is_taken_with_the_same_nonce(records: Records) -> None:
    await add_care(records, 5)
    (mine,) = await claim(records)
    assert await begin(records, mine)
    (theirs,) = await claim(records, holder="b", at=HOUR + LEASE)
    assert (theirs.id, theirs.nonce, theirs.tries) == (mine.id, mine.nonce, 1)
    assert theirs.first_tried_at == START + HOUR


async def test_a_try_is_counted_and_the_first_is_remembered(records: Records) -> None:
    await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await begin(records, delivery, at=HOUR + timedelta(seconds=1))
    assert await begin(records, delivery, at=HOUR + timedelta(seconds=9))
    async with records.read(5) as book:
        row = await book.delivery(delivery.id)
    assert row is not None
    assert (row.tries, row.first_tried_at) == (2, START + HOUR + timedelta(seconds=1))
    assert row.lease_until == START + HOUR + timedelta(seconds=9) + LEASE


async def test_no_try_without_the_lease(records: Records) -> None:
    await add_care(records, 5)
    (delivery,) = await claim(records)
    assert not await begin(records, delivery, holder="b")
    assert not await begin(records, delivery, at=HOUR + LEASE)
    assert await begin(records, delivery)
    assert await sent(records, delivery)
    assert not await begin(records, delivery)


async def test_sent_asks_and_writes_the_next_date(records: Records) -> None:
    care = await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await sent(records, delivery)
    assert await states(records, care) == [(0 * WEEK, OccurrenceState.ASKED), (WEEK, OccurrenceState.DUE)]
    async with records.read(5) as book:
        row = await book.delivery(delivery.id)
        assert row is not None
        assert (row.state, row.message_id, row.sent_at) == (DeliveryState.SENT, 900, DUE)
        (occurrence,) = await book.occurrences_of(delivery.id)
        assert occurrence.asked_at == DUE
        assert await book.events("delivery", delivery.id, 9) == ()
    assert await claim(records, holder="b", at=WEEK) == ()
    (again,) = await claim(records, at=WEEK + HOUR)
    assert again.id != delivery.id


async def test_a_worker_that_slept_through_its_lease_overwrites_nothing(records: Records) -> None:
    care = await add_care(records, 5)
    (mine,) = await claim(records)
    (theirs,) = await claim(records, holder="b", at=HOUR + LEASE)
    assert not await sent(records, mine)
    assert not await records.dispatch().put_off(mine, holder="a", until=START + WEEK)
    assert await sent(records, theirs, holder="b", at=HOUR + LEASE)
    assert not await sent(records, mine)
    assert not await records.dispatch().put_off(mine, holder="a", until=START, blocked=True)
    assert await states(records, care) == [(0 * WEEK, OccurrenceState.ASKED), (WEEK, OccurrenceState.DUE)]


async def test_what_is_sent_stays_as_it_is(records: Records) -> None:
    await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await sent(records, delivery)
    async with records.read(5) as book:
        row = await book.delivery(delivery.id)
    assert not await sent(records, delivery, at=2 * HOUR)
    assert not await records.dispatch().put_off(delivery, holder="a", until=START, blocked=True)
    assert not await begin(records, delivery)
    async with records.read(5) as book:
        assert await book.delivery(delivery.id) == row


async def test_a_lease_that_ran_out_but_was_not_taken_does_not_hinder_marking(records: Records) -> None:
    await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await sent(records, delivery, at=HOUR + 2 * LEASE)
    assert await claim(records, holder="b", at=HOUR + 2 * LEASE) == ()


async def test_done_pressed_before_the_mark_stays_done(records: Records) -> None:
    care = await add_care(records, 5)
    (delivery,) = await claim(records)
    await finish(records, care, care.occurrence, DUE)
    assert await sent(records, delivery)
    assert await states(records, care) == [(0 * WEEK, OccurrenceState.DONE), (WEEK, OccurrenceState.DUE)]
    (again,) = await claim(records, at=WEEK + HOUR)
    assert again.items[0].since == DUE


async def test_later_pressed_before_the_mark_makes_no_second_next_date(records: Records) -> None:
    care = await add_care(records, 5)
    (delivery,) = await claim(records)
    await put_off(records, care, care.occurrence, DUE, DUE + HOUR)
    assert await sent(records, delivery)
    assert await states(records, care) == [(HOUR, OccurrenceState.DUE)]


async def test_what_was_put_off_is_asked_again_and_leaves_the_next_date_alone(records: Records) -> None:
    care = await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await sent(records, delivery)
    await put_off(records, care, care.occurrence, DUE, DUE + HOUR)
    (again,) = await claim(records, at=2 * HOUR)
    assert [item.occurrence_id for item in again.items] == [care.occurrence]
    assert await sent(records, again, at=2 * HOUR)
    assert await states(records, care) == [(HOUR, OccurrenceState.ASKED), (WEEK, OccurrenceState.DUE)]


async def test_a_task_is_asked_once_though_two_dates_wait(records: Records) -> None:
    care = await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await sent(records, delivery)
    await put_off(records, care, care.occurrence, DUE, DUE + HOUR)
    (again,) = await claim(records, at=WEEK + HOUR)
    assert [item.occurrence_id for item in again.items] == [care.occurrence]
    assert await states(records, care) == [(HOUR, OccurrenceState.DUE), (WEEK, OccurrenceState.DROPPED)]


async def test_an_unanswered_date_is_dropped_when_the_next_is_asked(records: Records) -> None:
    care = await add_care(records, 5)
    other = await add_care(records, 5, channel=71)
    for delivery in await claim(records):
        assert await sent(records, delivery)
    for delivery in await claim(records, at=WEEK + HOUR):
        if delivery.channel_id == care.channel:
            assert await sent(records, delivery, at=WEEK + HOUR)
    assert await states(records, care) == [
        (0 * WEEK, OccurrenceState.DROPPED), (WEEK, OccurrenceState.ASKED), (2 * WEEK, OccurrenceState.DUE),
    ]  # fmt: skip
    assert await states(records, other) == [(0 * WEEK, OccurrenceState.ASKED), (WEEK, OccurrenceState.DUE)]


async def test_a_task_that_ends_while_its_ping_is_under_way_has_no_next_date(
    records: Records, database_url: str
) -> None:
    care = await add_care(records, 5)
    (delivery,) = await claim(records)
    await end(database_url, care)
    assert await sent(records, delivery)
    assert await states(records, care) == [(0 * WEEK, OccurrenceState.ASKED)]


async def test_a_delivery_that_asks_nothing_any_more(records: Records, database_url: str) -> None:
    ended, done = await add_care(records, 5), await add_care(records, 5)
    await claim(records)
    await end(database_url, ended)
    await finish(records, done, done.occurrence, DUE)
    (delivery,) = await claim(records, at=HOUR + LEASE)
    assert delivery.open_items == ()
    assert {item.task_id for item in delivery.items} == {ended.task, done.task}
    assert await sent(records, delivery)
    assert await states(records, ended) == [(0 * WEEK, OccurrenceState.DROPPED)]
    assert await states(records, done) == [(0 * WEEK, OccurrenceState.DONE), (WEEK, OccurrenceState.DUE)]


async def test_put_off_until_a_time(records: Records) -> None:
    await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await begin(records, delivery)
    until = HOUR + timedelta(seconds=90)
    assert await records.dispatch().put_off(delivery, holder="a", until=START + until)
    assert await claim(records, at=until - timedelta(seconds=1)) == ()
    (again,) = await claim(records, at=until, holder="b")
    assert (again.nonce, again.tries, again.first_tried_at) == (delivery.nonce, 1, DUE)


async def test_blocked_loses_nothing_and_may_be_forgotten_as_a_try(records: Records) -> None:
    care = await add_care(records, 5)
    (delivery,) = await claim(records)
    assert await begin(records, delivery)
    assert await records.dispatch().put_off(delivery, holder="a", until=START + 2 * HOUR, blocked=True, untried=True)
    async with records.read(5) as book:
        row = await book.delivery(delivery.id)
    assert row is not None
    assert row.state == DeliveryState.BLOCKED
    (again,) = await claim(records, at=2 * HOUR, holder="b")
    assert (again.nonce, again.tries, again.first_tried_at) == (delivery.nonce, 1, None)
    assert await begin(records, again, holder="b", at=2 * HOUR)
    assert await sent(records, again, holder="b", at=2 * HOUR)
    assert await states(records, care) == [(0 * WEEK, OccurrenceState.ASKED), (WEEK, OccurrenceState.DUE)]


@pytest.mark.parametrize("left_behind", [False, True], ids=["new", "left behind"])
async def test_three_processes_claim_and_mark_at_once_and_none_gets_what_another_has(
    records: Records, database_url: str, left_behind: bool
) -> None:
    cares = [await add_care(records, server, keeper) for server in (5, 6, 7) for keeper in range(1, 9)]
    if left_behind:
        assert len(await claim(records, holder="dead")) == len(cares)
    at = HOUR + LEASE if left_behind else HOUR
    others = [await Records.open(database_url) for _ in range(2)]
    taken: list[tuple[int, int]] = []

    async def work(holder: str, mine: Records) -> None:
        idle = 0
        while idle < 3:
            claimed = await claim(mine, holder=holder, at=at, limit=2)
            idle = 0 if claimed else idle + 1
            for delivery in claimed:
                taken.append((delivery.server, delivery.id))
                assert await begin(mine, delivery, holder=holder, at=at)
                assert await sent(mine, delivery, holder=holder, at=at)

    await asyncio.gather(*(work(f"w{n}", each) for n, each in enumerate([records, *others])))
    for other in others:
        await other.close()
    assert len(taken) == len(set(taken)) == len(cares)
    for care in cares:
        assert await states(records, care) == [(0 * WEEK, OccurrenceState.ASKED), (WEEK, OccurrenceState.DUE)]


async def test_claims_and_keepers_writes_at_once_never_block_each_other_for_good(
    records: Records, database_url: str
) -> None:
    """Both take the server's row first: the order in which they lock is one."""
    cares = [await add_care(records, 5, keeper) for keeper in range(1, 7)]
    other = await Records.open(database_url)

    async def keepers_write() -> None:
        for care in cares:
            await finish(other, care, care.occurrence, DUE)

    async def dispatch() -> None:
        for _ in range(10):
            for delivery in await claim(records, limit=1):
                assert await sent(records, delivery)

    async with asyncio.timeout(20):
        await asyncio.gather(keepers_write(), dispatch())
    await other.close()
    for care in cares:
        assert (0 * WEEK, OccurrenceState.DONE) in await states(records, care)


async def test_a_server_whose_keepers_write_without_a_pause_is_pinged_all_the_same(
    records: Records, database_url: str
) -> None:
    """Passing over every server that is written to would leave a busy one unpinged for ever."""
    await add_care(records, 5, due=DUE)
    other = await Records.open(database_url)
    async with other.write(stamp(5, 1, START)) as book:
        # A context of its own, as another process has: this one knows that a unit is open.
        claiming = asyncio.create_task(claim(records), context=Context())
        await asyncio.sleep(0.2)
        assert not claiming.done()
        await book.add_draft("odds", {"cross": "wild x wild"}, DUE)
    async with asyncio.timeout(10):
        assert len(await claiming) == 1
    await other.close()


@pytest.mark.parametrize("names", [{"claim_stale", "claim_due", "lock_servers", "read_claims", "waiting"}])
def test_the_statements_that_look_across_servers_are_few_and_known(names: set[str]) -> None:
    from bot.records.dispatch import UNSCOPED

    assert names == UNSCOPED


async def end(database_url: str, care: Care) -> None:
    await change(
        database_url, update(care_tasks).where(care_tasks.c.id == care.task, care_tasks.c.server_id == care.server)
        .values(ended_at=START),
    )  # fmt: skip


async def close_bin(database_url: str, care: Care) -> None:
    await change(
        database_url, update(bins).where(bins.c.id == care.bin_id, bins.c.server_id == care.server)
        .values(closed_at=START),
    )  # fmt: skip


async def change(database_url: str, statement: Update) -> None:
    engine = create_async_engine(database_url)
    async with engine.begin() as connection:
        await connection.execute(statement)
    await engine.dispose()
