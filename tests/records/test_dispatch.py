"""The dispatcher's statements, each on its own, on both engines."""

from datetime import timedelta

import pytest

from bot.calendar import weekly
from bot.records import CareKind, DeliveryState, Exactness, OccurrenceState, Records, Subject
from tests.support.claiming import DUE, HOUR, LEASE, WEEK, begin, claim, close_bin, end, sent, states
from tests.support.pings import START, add_care, finish, put_off, stamp


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


@pytest.mark.parametrize("names", [{"claim_stale", "claim_due", "lock_servers", "read_claims", "waiting"}])
def test_the_statements_that_look_across_servers_are_few_and_known(names: set[str]) -> None:
    from bot.records.dispatch import UNSCOPED

    assert names == UNSCOPED
