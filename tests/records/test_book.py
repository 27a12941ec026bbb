"""Reads: what was written comes back whole, in the order promised."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, timedelta
from fractions import Fraction

import pytest

from bot.calendar import weekly
from bot.records import (
    CareKind,
    DeliveryState,
    Exactness,
    FounderState,
    Holding,
    KeeperRow,
    Missing,
    OccurrenceState,
    ParentRole,
    Privacy,
    Records,
    ServerRow,
    Sex,
    SexSystem,
    State,
    Subject,
    Units,
)
from tests.support.filled import CHANNEL, KEEPER, NOW, SERVER, Stamps, fill, open_bin


async def test_a_filled_book_is_read_back(records: Records, database_url: str) -> None:
    await fill(records, database_url, Stamps())
    async with records.read(SERVER) as book:
        assert await book.server_row() == ServerRow(
            SERVER, "Europe/Berlin", "HL-", NOW, Fraction(1, 8), Fraction(1, 4), Fraction(1, 16)
        )
        ash = KeeperRow(KEEPER + 5, "Ash", None, NOW)
        wren = KeeperRow(KEEPER, "Wren", "Europe/Lisbon", NOW, 1320, 420, Units.METRIC, CHANNEL)
        assert await book.keepers() == (wren, ash)
        assert await book.keeper(KEEPER) == wren
        first, second = await book.bins()
        ember, frost, ink = await book.traits()
        assert (first.keeper_id, first.keeper_name, first.opened_at) == (KEEPER, "Wren", NOW)
        assert first.opened_at.tzinfo is UTC
        assert await book.bin(second.id) == second
        assert await book.bin_by_code(" hl-1 ") == first
        assert await book.bin_by_code("HL-4") is None
        assert (await book.bins(open_only=False))[:2] == (first, second)
        assert await book.trait(frost.id) == frost
        assert [trait.model for trait in (ember, frost)] == [None, None]
        assert ink.model == '{"penetrance":"7/10","shown_in":"female","v":1}'
        groups = await book.founders(first.id)
        assert [(group.number, group.sex, group.origin, group.described) for group in groups] == [
            (3, Sex.FEMALE, "a swap in May", True),
            (1, Sex.MALE, None, True),
            (None, Sex.UNKNOWN, None, False),
        ]
        assert [group.states for group in groups] == [
            (FounderState(ember.id, State.POSSIBLE_HET, Fraction(2, 3)),),
            (FounderState(ember.id, State.VISUAL, None),),
            (),
        ]
        assert await book.co_keepers(second.id) == (ash,)
        (card,) = await book.cards()
        assert (card.key, card.sex_system, card.source) == (
            "porcellio-laevis",
            SexSystem.UNKNOWN,
            "measured at the swap in May",
        )
        parent = (await book.parents(second.id))[0]
        assert (parent.parent_bin_id, parent.code, parent.role) == (first.id, "HL-1", ParentRole.BOTH)


async def test_holdings_are_a_line_per_bin_group_and_trait(records: Records, database_url: str) -> None:
    await fill(records, database_url, Stamps())
    async with records.read(SERVER) as book:
        first, second = await book.bins()
        dams, sires, others = await book.founders(first.id)
        ember = (await book.traits())[0].id
        lines = await book.holdings(["HL-2", "hl-1", "HL-1", "HL-9"])
    line, f2 = ("ember line", "porcellio-laevis"), ("ember F2", "porcellio-laevis")
    chance = Fraction(2, 3)
    assert lines == (
        Holding(first.id, "HL-1", *line, dams.id, 3, Sex.FEMALE, True, ember, State.POSSIBLE_HET, chance),
        Holding(first.id, "HL-1", *line, sires.id, 1, Sex.MALE, True, ember, State.VISUAL, None),
        Holding(first.id, "HL-1", *line, others.id, None, Sex.UNKNOWN, False, None, None, None),
        Holding(second.id, "HL-2", *f2, None, None, None, None, None, None, None),
    )


@pytest.mark.parametrize("typed", ["HL-1", "hl-1", "hl1", "HL1", "hl 1", " h-l - 1 "])
async def test_a_bin_is_found_by_its_code_however_it_is_spelt(records: Records, database_url: str, typed: str) -> None:
    await fill(records, database_url, Stamps())
    async with records.read(SERVER) as book:
        first = (await book.bins())[0]
        assert await book.bin_by_code(typed) == first
        assert {line.bin_id for line in await book.holdings([typed])} == {first.id}


@pytest.mark.parametrize("typed", ["", " ", "-", "1", "hl", "hl-11", "hl-1a", "b1"])
async def test_no_bin_is_found_by_half_a_code(records: Records, database_url: str, typed: str) -> None:
    await fill(records, database_url, Stamps())
    async with records.read(SERVER) as book:
        assert await book.bin_by_code(typed) is None
        assert await book.holdings([typed]) == ()


async def test_holdings_of_no_code_ask_nothing(
    records: Records, statements: Callable[[], AbstractContextManager[list[str]]]
) -> None:
    with statements() as seen:
        async with records.read(SERVER) as book:
            assert await book.holdings([]) == ()
    assert seen == []


async def test_counts_come_newest_first(records: Records) -> None:
    stamps = Stamps()
    first, second = await open_bin(records, stamps), await open_bin(records, stamps)
    for bin_id, days, total in ((first.id, 2, 20), (first.id, 1, 10), (second.id, 0, 5), (first.id, 2, 21)):
        async with records.write(stamps.next(NOW + timedelta(days=days))) as book:
            counted = await book.add_count(bin_id, total=total, exactness=Exactness.EXACT, typed=str(total))
            await book.log("count.log", Subject("count", counted))
    async with records.read(SERVER) as book:
        assert [counted.total for counted in await book.counts(first.id, limit=9)] == [21, 20, 10]
        newest = (await book.counts(first.id, limit=1))[0]
        assert (newest.total, newest.typed, newest.keeper_name) == (21, "21", "Wren")
        assert [(counted.bin_id, counted.total) for counted in await book.latest_counts()] == [
            (first.id, 21),
            (second.id, 5),
        ]


async def test_care_is_read_by_task_and_by_ping(records: Records, database_url: str) -> None:
    await fill(records, database_url, Stamps())
    async with records.read(SERVER) as book:
        first = (await book.bins())[0]
        (task,) = await book.tasks(first.id)
        assert (task.kind, task.cadence, task.channel_id) == (CareKind.MOISTURE, weekly(6, 1080), CHANNEL)
        assert await book.task(task.id) == task
        waiting = await book.open_occurrence(task.id)
        assert waiting is not None
        assert (waiting.state, waiting.due_at, waiting.bin_code) == (
            OccurrenceState.DUE,
            NOW + timedelta(days=7, hours=6),
            "HL-1",
        )
        assert await book.occurrence(waiting.id) == waiting
        deliveries = [await book.delivery(number) for number in range(1, 200)]
        # The other delivery tells a verdict in a room, and asks nothing.
        (ping,) = [each for each in deliveries if each is not None and await book.occurrences_of(each.id)]
        assert (ping.state, ping.message_id, ping.keeper_id) == (DeliveryState.SENT, SERVER + 30, KEEPER)
        (done,) = await book.occurrences_of(ping.id)
        assert (done.state, done.done_by, done.kind) == (OccurrenceState.DONE, KEEPER, CareKind.MOISTURE)


async def test_a_put_off_date_waits_for_another_ping(records: Records, database_url: str) -> None:
    stamps = Stamps()
    await fill(records, database_url, stamps)
    async with records.read(SERVER) as book:
        (task,) = await book.tasks((await book.bins())[0].id)
        waiting = await book.open_occurrence(task.id)
    assert waiting is not None
    due = NOW + timedelta(days=9)
    async with records.write(stamps.next()) as book:
        await book.put_off_occurrence(waiting.id, due)
        await book.log("care.later", Subject("task", task.id))
    async with records.read(SERVER) as book:
        put_off = await book.open_occurrence(task.id)
    assert put_off is not None
    assert (put_off.id, put_off.state, put_off.due_at, put_off.delivery_id) == (
        waiting.id,
        OccurrenceState.DUE,
        due,
        None,
    )


async def test_an_ended_task_is_owed_nothing(records: Records) -> None:
    """Both the date that was asked and the one after it are dropped; one that was done stays done."""
    stamps = Stamps()
    opened = await open_bin(records, stamps)
    async with records.write(stamps.next()) as book:
        task, other = [
            await book.add_task(bin_id=opened.id, kind=kind, cadence=weekly(6, 1080), channel_id=CHANNEL)
            for kind in (CareKind.MOISTURE, CareKind.LITTER)
        ]
        dates = [await book.add_occurrence(task, opened.id, NOW + timedelta(days=day), None) for day in (1, 8, 15)]
        kept = await book.add_occurrence(other, opened.id, NOW, None)
        await book.finish_occurrence(dates[0])
        await book.log("care.add", Subject("task", task))
    async with records.write(stamps.next(NOW + timedelta(days=2))) as book:
        await book.end_task(task)
        event = await book.log("care.end", Subject("task", task))
    async with records.read(SERVER) as book:
        assert [each.id for each in await book.tasks(opened.id)] == [other]
        ended = await book.task(task)
        assert ended is not None
        assert ended.ended_at == NOW + timedelta(days=2)
        assert await book.open_occurrence(task) is None
        found = [await book.occurrence(date) for date in (*dates, kept)]
    assert [each.state for each in found if each is not None] == [
        OccurrenceState.DONE,
        OccurrenceState.DROPPED,
        OccurrenceState.DROPPED,
        OccurrenceState.DUE,
    ]
    async with records.write(stamps.next()) as book:
        await book.undo(event)
    async with records.read(SERVER) as book:
        assert [each.id for each in await book.tasks(opened.id)] == [task, other]
        again = await book.open_occurrence(task)
    assert again is not None
    assert again.id == dates[1]


async def test_a_task_that_is_not_there_is_not_ended(records: Records) -> None:
    stamps = Stamps()
    await open_bin(records, stamps)
    async with records.write(stamps.next()) as book:
        with pytest.raises(Missing):
            await book.end_task(77)


async def test_what_happened_to_a_thing_comes_newest_first(records: Records) -> None:
    stamps = Stamps()
    opened = await open_bin(records, stamps)
    async with records.write(stamps.next()) as book:
        await book.add_founder(opened.id, number=2, sex=Sex.FEMALE)
        await book.log("bin.add", Subject("bin", opened.id))
    async with records.read(SERVER) as book:
        assert [event.kind for event in await book.events("bin", opened.id, limit=9)] == ["bin.add", "bin.open"]
        assert [event.kind for event in await book.events("bin", opened.id, limit=1)] == ["bin.add"]
        event = await book.event(1)
    assert event is not None
    assert (event.actor_id, event.subject, event.version) == (KEEPER, Subject("bin", opened.id), 1)


async def test_where_all_bins_come_from_is_told_at_once(records: Records, database_url: str) -> None:
    """The same as bin by bin, in one statement each; a private bin and what it holds is for its keepers."""
    await fill(records, database_url, Stamps())
    async with records.read(SERVER, KEEPER) as book:
        bins = await book.bins(open_only=False)
        parents = [parent for row in bins for parent in await book.parents(row.id)]
        founders = [founder for row in bins for founder in await book.founders(row.id)]
        transfers = {move for row in bins for move in await book.transfers(row.id)}
        assert await book.all_parents() == tuple(sorted(parents, key=lambda parent: parent.id))
        assert await book.all_founders() == tuple(sorted(founders, key=lambda founder: founder.id))
        assert set(await book.all_transfers()) == transfers != set()
        assert founders
        assert parents
    async with records.write(Stamps(requests=iter([77])).next()) as writing:
        for row in bins:
            await writing.set_privacy(row.id, Privacy.BIN)
        await writing.log("bin.privacy", Subject("bin", bins[0].id))
    async with records.read(SERVER) as book:
        assert (await book.all_parents(), await book.all_founders(), await book.all_transfers()) == ((), (), ())
    async with records.read(SERVER + 1, KEEPER) as book:
        assert (await book.all_parents(), await book.all_founders(), await book.all_transfers()) == ((), (), ())
