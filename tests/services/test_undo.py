"""Taking back each kind of change."""

from collections.abc import Awaitable, Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from bot.clock.dispatcher import Dispatcher
from bot.services.audit import undo_last
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.care_tasks import add_task
from bot.services.counts import log_count
from bot.services.drafts import keep
from bot.services.refusals import BuiltUpon, NoSuchBin, NothingToUndo, NotYourChange
from bot.services.society import found_society
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, SERVER, THURSDAY, WREN, Asking, again
from tests.support.dispatching import PACE
from tests.support.pings import Composer, Hands, Shore, notice
from tests.support.societies import small_society

Change = Callable[[Asking], Awaitable[int]]


async def opened(asking: Asking) -> int:
    holds = "het ember, het frost"
    new = NewBin("Porcellio scaber", "new", "about 30", holds, "B-1", "the wood", "12 mm", "a note")
    event = (await open_bin(asking.desk, asking.by(), new)).event
    assert event is not None
    return event


async def counted(asking: Asking) -> int:
    return (await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="~40", note="a look")).event


async def defined(asking: Asking) -> int:
    return (await define_trait(asking.desk, asking.by(), name="dusk", dominance="dominant")).event


async def cared(asking: Asking) -> int:
    return (
        await add_task(
            asking.desk, asking.by(), bin_text="B-1", kind="recount", days="Friday", time="18:00", zone="Asia/Tokyo"
        )
    ).event


async def with_book(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await define_trait(asking.desk, asking.by(), name="frost", dominance="incompletely dominant")
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", holds="het ember", animals="9"))


async def book_of(asking: Asking) -> tuple[object, ...]:
    """Everything that stands in the book but for its history and the keepers' zones."""
    async with asking.desk.records.read(SERVER) as book:
        bins = await book.bins(open_only=False)
        each = [
            (await book.founders(b.id), await book.parents(b.id), await book.counts(b.id, 99), await book.tasks(b.id))
            for b in bins
        ]
        keepers = [replace(keeper, zone=None) for keeper in await book.keepers()]
        return (await book.traits(), bins, tuple(each), keepers)


@pytest.mark.parametrize("change", [opened, counted, defined, cared])
async def test_an_undone_change_leaves_the_book_as_it_was_but_for_its_history(asking: Asking, change: Change) -> None:
    await with_book(asking)
    before, events = await book_of(asking), await asking.events()
    seq = await change(asking)
    assert await book_of(asking) != before
    undone = await undo(asking.desk, asking.by(), seq)
    assert undone.event.seq == seq
    assert await book_of(asking) == before
    after = await asking.events()
    assert after[: len(events)] == events
    assert [e.kind for e in after[len(events) :]] == [undone.event.kind, "undo"]
    assert (after[-1].subject.kind, after[-1].subject.id) == ("event", seq)


@pytest.mark.parametrize("change", [opened, counted, defined, cared])
async def test_an_undo_that_comes_again_is_one_undo_and_a_second_one_is_refused(asking: Asking, change: Change) -> None:
    await with_book(asking)
    seq = await change(asking)
    request = asking.by()
    first = await undo(asking.desk, request, seq)
    before = await asking.events()
    assert await undo(asking.desk, again(request), seq) == first
    with pytest.raises(NothingToUndo):
        await undo(asking.desk, asking.by(), seq)
    assert await asking.events() == before


async def test_only_whoever_did_it_undoes_it_or_a_steward(asking: Asking) -> None:
    await with_book(asking)
    seq = await counted(asking)
    before = await asking.events()
    with pytest.raises(NotYourChange) as caught:
        await undo(asking.desk, asking.by(MOSS), seq)
    assert caught.value.keeper_name == "Wren"
    assert await asking.events() == before
    await undo(asking.desk, asking.by(MOSS, steward=True), seq)


async def test_there_is_nothing_to_undo_where_no_event_is(asking: Asking) -> None:
    await with_book(asking)
    for seq in (0, 99, 2**63 - 1):
        with pytest.raises(NothingToUndo):
            await undo(asking.desk, asking.by(), seq)
    with pytest.raises(NothingToUndo):
        await undo(asking.desk, asking.by(server=ELSEWHERE), 1)


async def test_an_undo_is_not_undone(asking: Asking) -> None:
    await with_book(asking)
    await undo(asking.desk, asking.by(), await counted(asking))
    last = (await asking.events())[-1]
    with pytest.raises(NothingToUndo):
        await undo(asking.desk, asking.by(), last.seq)


async def test_a_trait_or_a_bin_that_something_rests_on_is_kept(asking: Asking) -> None:
    await with_book(asking)
    trait, bin_opened = await defined(asking), await opened(asking)
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", holds="het dusk", parents="B-2"))
    before = await asking.events()
    for seq in (trait, bin_opened):
        with pytest.raises(BuiltUpon):
            await undo(asking.desk, asking.by(), seq)
    assert await asking.events() == before


async def test_a_zone_that_was_changed_since_is_no_hindrance_to_undoing_the_task(asking: Asking) -> None:
    await with_book(asking)
    first = await cared(asking)
    second = await add_task(
        asking.desk, asking.by(), bin_text="B-1", kind="litter", days="Friday", time="18:00", zone="Asia/Seoul"
    )
    assert (await undo(asking.desk, asking.by(), first)).event.seq == first
    async with asking.desk.records.read(SERVER) as book:
        assert [task.id for task in await book.tasks(second.task.bin_id)] == [second.task.id]
        assert [keeper.zone for keeper in await book.keepers()] == ["Asia/Seoul"]


async def test_an_undone_task_leaves_the_zone_that_it_brought(asking: Asking) -> None:
    await with_book(asking)
    await undo(asking.desk, asking.by(), await cared(asking))
    again = await add_task(asking.desk, asking.by(), bin_text="B-1", kind="litter", days="Friday", time="18:00")
    assert again.zone == "Asia/Tokyo"


async def asked_since(asking: Asking) -> int:
    """The event of a task that the clock has asked for since: undoing it ends the task."""
    seq = await cared(asking)
    hands = Hands(THURSDAY + timedelta(days=2))
    await Dispatcher(
        asking.desk.records.dispatch(), Shore(hands), hands, Composer(), notice, holder="a", pace=PACE
    ).tick()
    return seq


async def test_undoing_a_task_that_was_asked_ends_it_and_it_pings_no_more(asking: Asking) -> None:
    await with_book(asking)
    before = await book_of(asking)
    seq = await asked_since(asking)
    request = asking.by(after=timedelta(days=3))
    undone = await undo(asking.desk, request, seq)
    assert (undone.event.seq, undone.event.kind) == (seq, "care.added")
    assert await book_of(asking) == before
    last = (await asking.events())[-1]
    assert (last.kind, last.subject.kind, last.subject.id, last.actor_id) == ("care.ended", "event", seq, WREN)
    async with asking.desk.records.read(SERVER) as book:
        task = await book.task(undone.event.subject.id)
        assert task is not None
        assert task.ended_at == request.now
        assert await book.open_occurrence(task.id) is None
    hands, compose = Hands(THURSDAY + timedelta(days=60)), Composer()
    await Dispatcher(asking.desk.records.dispatch(), Shore(hands), hands, compose, notice, holder="a", pace=PACE).tick()
    assert compose.rounds == []


async def test_a_task_is_ended_once_and_its_end_is_not_undone(asking: Asking) -> None:
    await with_book(asking)
    seq = await asked_since(asking)
    request = asking.by()
    first = await undo(asking.desk, request, seq)
    events = await asking.events()
    assert await undo(asking.desk, again(request), seq) == first
    for number in (seq, events[-1].seq):
        with pytest.raises(NothingToUndo):
            await undo(asking.desk, asking.by(), number)
    assert await asking.events() == events


async def test_after_a_task_that_was_asked_the_change_before_it_is_the_last(asking: Asking) -> None:
    await with_book(asking)
    before = await counted(asking)
    seq = await asked_since(asking)
    assert (await undo_last(asking.desk, asking.by())).event.seq == seq
    assert (await undo_last(asking.desk, asking.by())).event.seq == before


async def test_a_task_that_was_asked_is_ended_by_whoever_set_it_alone(asking: Asking) -> None:
    await with_book(asking)
    seq = await asked_since(asking)
    with pytest.raises(NotYourChange):
        await undo(asking.desk, asking.by(MOSS), seq)


async def test_only_kinds_that_are_meant_are_undone(asking: Asking) -> None:
    await with_book(asking)
    seq = await counted(asking)
    events = await asking.events()
    with pytest.raises(NothingToUndo):
        await undo(asking.desk, asking.by(), seq, only=("care.done", "care.later"))
    assert await asking.events() == events
    assert (await undo(asking.desk, asking.by(), seq, only=("count.logged",))).event.seq == seq


async def test_the_code_of_an_undone_bin_is_not_given_again(asking: Asking) -> None:
    await with_book(asking)
    await undo(asking.desk, asking.by(), await opened(asking))
    with pytest.raises(NoSuchBin):
        await show_bin(asking.desk, asking.by(), "B-2")
    assert (await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber"))).row.code == "B-3"


async def test_a_draft_is_no_change_that_could_be_undone(asking: Asking) -> None:
    await with_book(asking)
    before = await asking.events()
    await keep(asking.desk, asking.by(), "count.log", {"bin": "B-1"})
    assert await asking.events() == before


async def test_a_whole_society_can_be_taken_back_from_its_end(asking: Asking) -> None:
    society = small_society()
    await found_society(asking.desk, society, THURSDAY)
    events = await asking.events(society.server)
    for event in reversed(events):
        request = asking.by(WREN, server=society.server, after=timedelta(days=1))
        await undo(asking.desk, replace(request, actor=event.actor_id), event.seq)
    async with asking.desk.records.read(society.server) as book:
        assert await book.bins(open_only=False) == ()
        assert await book.traits() == ()
