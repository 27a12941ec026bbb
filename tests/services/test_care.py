"""Care tasks, and the answers to their pings."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from bot.calendar import weekly
from bot.clock.dispatcher import Dispatcher
from bot.records import CareKind, OccurrenceState
from bot.services.bins import NewBin, open_bin
from bot.services.care import DONE, PUT_OFF, Answer, RoundAnswered, answer_round, bins_of_round, reopen_round
from bot.services.care_tasks import TaskAdded, add_task
from bot.services.refusals import (
    BinLabel,
    ChangedSince,
    DaysNotRead,
    NoRoomToPost,
    NoSuchBin,
    NoSuchZone,
    NothingToUndo,
    NotYourChange,
    NotYours,
    NoZoneYet,
    Outlived,
    Refusal,
    Superseded,
    TakenBack,
    TaskThere,
    TextTooLong,
    TimeNotRead,
    WordNotKnown,
)
from bot.services.request import Request
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, SERVER, TAMSIN, WREN, Asking, again
from tests.support.dispatching import PACE
from tests.support.pings import Composer, Hands, Shore, notice

DAY = timedelta(days=1)
SUNDAY_EVENING = datetime(2026, 3, 8, 18, tzinfo=UTC)
"""In Lisbon's winter as in Greenwich."""


async def with_bins(asking: Asking, number: int = 1) -> None:
    for _ in range(number):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", name="moss"))


async def added(asking: Asking, request: Request, bin_text: str = "B-1", **fields: str) -> TaskAdded:
    given = {"kind": "moisture", "days": "Sunday", "time": "18:00", "zone": "Europe/Lisbon"} | fields
    return await add_task(asking.desk, request, bin_text=bin_text, **given)


async def sent(asking: Asking, at: datetime = SUNDAY_EVENING) -> int:
    """The delivery of the ping for what is due then."""
    hands, compose = Hands(at), Composer()
    records = asking.desk.records
    await Dispatcher(records.dispatch(), Shore(hands), hands, compose, notice, holder="a", pace=PACE).tick()
    return compose.rounds[-1].delivery_id


def said(answered: RoundAnswered) -> tuple[object, ...]:
    """An answer but for the time at which it was looked at."""
    return answered.items, answered.next_due, answered.by, answered.kind, answered.event


async def states(asking: Asking, delivery: int) -> list[OccurrenceState]:
    async with asking.desk.records.read(SERVER) as book:
        return [occurrence.state for occurrence in await book.occurrences_of(delivery)]


async def test_a_task_is_first_due_at_the_keepers_next_local_time(asking: Asking) -> None:
    await with_bins(asking)
    task = await added(asking, asking.by(channel=77), days="sun", time="6pm", zone="lisbon")
    assert task.due_at == SUNDAY_EVENING
    assert (task.zone, task.label) == ("Europe/Lisbon", BinLabel("B-1", "moss"))
    assert (task.task.kind, task.task.cadence) == (CareKind.MOISTURE, weekly(6, 18 * 60))
    assert (task.task.channel_id, task.task.keeper_id) == (77, WREN)
    assert (await asking.events())[-1].seq == task.event


async def test_a_zone_is_needed_once(asking: Asking) -> None:
    await with_bins(asking)
    before = await asking.events()
    with pytest.raises(NoZoneYet):
        await added(asking, asking.by(), zone="")
    assert await asking.events() == before
    await added(asking, asking.by(), zone="Australia/Brisbane")
    second = await added(asking, asking.by(), kind="litter", zone="")
    assert second.zone == "Australia/Brisbane"
    assert second.due_at == datetime(2026, 3, 8, 8, tzinfo=UTC)


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"kind": "moisure"}, WordNotKnown),
        ({"kind": "x" * 101}, TextTooLong),
        ({"kind": ""}, WordNotKnown),
        ({"days": "someday"}, DaysNotRead),
        ({"time": "noonish"}, TimeNotRead),
        ({"time": "25:00"}, TimeNotRead),
        ({"zone": "Europe/Atlantis"}, NoSuchZone),
        ({"bin_text": "B-9"}, NoSuchBin),
    ],
)
async def test_what_cannot_be_read_adds_no_task_and_keeps_no_zone(
    asking: Asking, fields: dict[str, str], kind: type[Refusal]
) -> None:
    await with_bins(asking)
    before = await asking.events()
    with pytest.raises(kind):
        await added(asking, asking.by(), **fields)
    assert await asking.events() == before
    with pytest.raises(NoZoneYet):
        await added(asking, asking.by(), zone="")


async def test_only_the_keeper_and_stewards_set_tasks_for_a_bin(asking: Asking) -> None:
    await with_bins(asking)
    with pytest.raises(NotYours):
        await added(asking, asking.by(MOSS))
    assert (await added(asking, asking.by(MOSS, steward=True))).task.keeper_id == MOSS


async def test_a_request_that_comes_again_adds_one_task_and_answers_the_same_after_its_ping(asking: Asking) -> None:
    await with_bins(asking)
    request = asking.by()
    first = await added(asking, request)
    await sent(asking)
    before = await asking.events()
    assert await added(asking, again(request, 5 * DAY)) == first
    assert await asking.events() == before


async def test_a_request_that_comes_again_after_its_undo_is_told_so(asking: Asking) -> None:
    await with_bins(asking)
    request = asking.by()
    task = await added(asking, request)
    await undo(asking.desk, asking.by(), task.event)
    with pytest.raises(TakenBack) as caught:
        await added(asking, again(request))
    assert caught.value.what == "care task"


async def test_done_closes_everything_that_a_ping_asked(asking: Asking) -> None:
    await with_bins(asking, 2)
    await added(asking, asking.by())
    await added(asking, asking.by(), "B-2", kind="litter")
    delivery = await sent(asking)
    answered = await answer_round(asking.desk, asking.by(after=4 * DAY), delivery=delivery, answer=Answer.DONE)
    assert [(item.bin_code, item.kind, item.done_by) for item in answered.items] == [
        ("B-1", CareKind.MOISTURE, WREN),
        ("B-2", CareKind.LITTER, WREN),
    ]
    assert (answered.kind, answered.by, answered.round.delivery_id) == (DONE, WREN, delivery)
    assert answered.next_due == SUNDAY_EVENING + 7 * DAY
    assert await states(asking, delivery) == [OccurrenceState.DONE, OccurrenceState.DONE]


async def test_later_puts_a_ping_off_to_the_same_hour_of_the_next_day(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    delivery = await sent(asking)
    request = asking.by(after=4 * DAY)
    answered = await answer_round(asking.desk, request, delivery=delivery, answer=Answer.DAY)
    assert answered.next_due == request.now + DAY
    assert answered.kind == PUT_OFF
    second = await sent(asking, request.now + DAY)
    assert second != delivery


@pytest.mark.parametrize("answer", [Answer.DONE, Answer.DAY])
async def test_a_second_tap_gives_the_answer_that_stands_and_changes_nothing(asking: Asking, answer: Answer) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    delivery = await sent(asking)
    first = await answer_round(asking.desk, asking.by(after=4 * DAY), delivery=delivery, answer=answer)
    before, stands = await asking.events(), await states(asking, delivery)
    for other in (Answer.DONE, Answer.DAY):
        second = await answer_round(asking.desk, asking.by(after=5 * DAY), delivery=delivery, answer=other)
        assert said(second) == said(first)
        assert second.kind == first.kind
    steward = await answer_round(asking.desk, asking.by(TAMSIN, steward=True), delivery=delivery, answer=Answer.DONE)
    assert said(steward) == said(first)
    with pytest.raises(NotYours):
        await answer_round(asking.desk, asking.by(MOSS), delivery=delivery, answer=Answer.DONE)
    assert await asking.events() == before
    assert await states(asking, delivery) == stands


async def test_a_ping_that_a_newer_one_has_overtaken_points_to_that(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    old = await sent(asking)
    new = await sent(asking, SUNDAY_EVENING + 7 * DAY)
    before = await asking.events()
    for answer in (Answer.DONE, Answer.DAY):
        with pytest.raises(Superseded):
            await answer_round(asking.desk, asking.by(after=11 * DAY), delivery=old, answer=answer)
    assert await asking.events() == before
    latest = await answer_round(asking.desk, asking.by(after=11 * DAY), delivery=new, answer=Answer.DONE)
    assert latest.kind == DONE


async def test_an_answer_that_was_taken_back_and_overtaken_does_not_count_for_one(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    old = await sent(asking)
    answered = await answer_round(asking.desk, asking.by(after=4 * DAY), delivery=old, answer=Answer.DONE)
    await reopen_round(asking.desk, asking.by(after=4 * DAY), seq=answered.event)
    await sent(asking, SUNDAY_EVENING + 7 * DAY)
    with pytest.raises(Superseded):
        await answer_round(asking.desk, asking.by(after=11 * DAY), delivery=old, answer=Answer.DONE)


@pytest.mark.parametrize("answer", [Answer.DONE, Answer.DAY])
async def test_a_reopened_ping_asks_again_for_all_it_asked_and_its_buttons_count(
    asking: Asking, answer: Answer
) -> None:
    await with_bins(asking, 2)
    await added(asking, asking.by())
    await added(asking, asking.by(), "B-2", kind="litter")
    delivery = await sent(asking)
    first = await answer_round(asking.desk, asking.by(after=4 * DAY), delivery=delivery, answer=answer)
    request = asking.by(after=4 * DAY)
    reopened = await reopen_round(asking.desk, request, seq=first.event)
    assert reopened.delivery_id == delivery
    assert [(i.bin_code, i.kind, i.state) for i in reopened.items] == [
        ("B-1", CareKind.MOISTURE, OccurrenceState.ASKED),
        ("B-2", CareKind.LITTER, OccurrenceState.ASKED),
    ]
    last = (await asking.events())[-1]
    assert (last.kind, last.subject.kind, last.subject.id) == ("undo", "event", first.event)
    events = await asking.events()
    assert (await reopen_round(asking.desk, again(request), seq=first.event)).open_items[0].state == reopened.items[
        0
    ].state
    with pytest.raises(NothingToUndo):
        await reopen_round(asking.desk, asking.by(), seq=first.event)
    assert await asking.events() == events
    second = await answer_round(asking.desk, asking.by(after=5 * DAY), delivery=delivery, answer=Answer.DONE)
    assert second.event != first.event
    assert await states(asking, delivery) == [OccurrenceState.DONE, OccurrenceState.DONE]
    assert said(await answer_round(asking.desk, asking.by(), delivery=delivery, answer=Answer.DAY)) == said(second)


async def test_only_whoever_answered_a_ping_reopens_it(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    delivery = await sent(asking)
    answered = await answer_round(asking.desk, asking.by(TAMSIN, steward=True), delivery=delivery, answer=Answer.DONE)
    with pytest.raises(NotYourChange) as caught:
        await reopen_round(asking.desk, asking.by(), seq=answered.event)
    assert caught.value.keeper_name == "Tamsin"
    assert await states(asking, delivery) == [OccurrenceState.DONE]


async def test_a_ping_that_came_again_meanwhile_is_not_reopened(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    delivery = await sent(asking)
    request = asking.by(after=4 * DAY)
    answered = await answer_round(asking.desk, request, delivery=delivery, answer=Answer.DAY)
    await sent(asking, request.now + DAY)
    with pytest.raises(ChangedSince):
        await reopen_round(asking.desk, asking.by(after=6 * DAY), seq=answered.event)


async def test_nothing_but_an_answer_is_reopened(asking: Asking) -> None:
    await with_bins(asking)
    task = await added(asking, asking.by())
    before = await asking.events()
    for seq in (0, 1, task.event, 99):
        with pytest.raises(NothingToUndo):
            await reopen_round(asking.desk, asking.by(), seq=seq)
    assert await asking.events() == before


async def test_a_ping_of_a_task_that_was_taken_back_is_over_and_the_rest_of_it_is_not(asking: Asking) -> None:
    await with_bins(asking, 2)
    first = await added(asking, asking.by())
    second = await added(asking, asking.by(), "B-2", kind="litter")
    delivery = await sent(asking)
    await undo(asking.desk, asking.by(), first.event)
    answered = await answer_round(asking.desk, asking.by(after=4 * DAY), delivery=delivery, answer=Answer.DONE)
    assert [(i.bin_code, i.state) for i in answered.items] == [("B-2", OccurrenceState.DONE)]
    reopened = await reopen_round(asking.desk, asking.by(), seq=answered.event)
    assert [i.bin_code for i in reopened.open_items] == ["B-2"]
    await undo(asking.desk, asking.by(), second.event)
    for answer in (Answer.DONE, Answer.DAY):
        with pytest.raises(Outlived) as caught:
            await answer_round(asking.desk, asking.by(), delivery=delivery, answer=answer)
        assert caught.value.what == "ping"
    assert await states(asking, delivery) == [OccurrenceState.DROPPED, OccurrenceState.DROPPED]


async def test_the_same_task_is_not_set_twice(asking: Asking) -> None:
    await with_bins(asking, 2)
    task = await added(asking, asking.by())
    before = await asking.events()
    for zone in ("Europe/Lisbon", "Asia/Tokyo", ""):
        with pytest.raises(TaskThere) as caught:
            await added(asking, asking.by(channel=77), days="sun", time="6pm", zone=zone)
        assert caught.value.label == BinLabel("B-1", "moss")
    assert await asking.events() == before
    assert (await added(asking, asking.by(), kind="litter", zone="")).zone == "Europe/Lisbon"
    for others in ({"days": "Monday"}, {"time": "18:01"}, {"kind": "recount"}):
        await added(asking, asking.by(), **others)
    await added(asking, asking.by(), "B-2")
    await added(asking, asking.by(TAMSIN, steward=True))
    await undo(asking.desk, asking.by(), task.event)
    await added(asking, asking.by())


async def test_a_task_that_ended_can_be_set_anew(asking: Asking) -> None:
    await with_bins(asking)
    task = await added(asking, asking.by())
    await sent(asking)
    await undo(asking.desk, asking.by(after=4 * DAY), task.event)
    anew = await added(asking, asking.by(after=4 * DAY))
    assert anew.task.id != task.task.id
    assert anew.due_at == SUNDAY_EVENING + 7 * DAY


async def test_no_task_is_set_where_its_pings_could_not_be_posted(asking: Asking) -> None:
    await with_bins(asking)
    before = await asking.events()
    with pytest.raises(NoRoomToPost):
        await added(asking, replace(asking.by(), may_post=False))
    assert await asking.events() == before
    with pytest.raises(NoZoneYet):
        await added(asking, asking.by(), zone="")


async def test_an_answer_that_comes_again_is_one_answer_whatever_was_undone_since(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    delivery = await sent(asking)
    request = asking.by(after=4 * DAY)
    first = await answer_round(asking.desk, request, delivery=delivery, answer=Answer.DONE)
    assert said(await answer_round(asking.desk, again(request), delivery=delivery, answer=Answer.DONE)) == said(first)
    await undo(asking.desk, asking.by(), first.event)
    before = await asking.events()
    second = await answer_round(asking.desk, again(request), delivery=delivery, answer=Answer.DONE)
    assert (second.event, second.by, second.kind) == (first.event, first.by, DONE)
    assert await asking.events() == before
    assert await states(asking, delivery) == [OccurrenceState.ASKED]


async def test_a_ping_is_answered_by_its_keeper_or_a_steward(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    delivery = await sent(asking)
    with pytest.raises(NotYours) as caught:
        await answer_round(asking.desk, asking.by(TAMSIN), delivery=delivery, answer=Answer.DONE)
    assert (caught.value.what, caught.value.keeper_name) == ("ping", "Wren")
    answered = await answer_round(asking.desk, asking.by(TAMSIN, steward=True), delivery=delivery, answer=Answer.DONE)
    assert answered.by == TAMSIN


async def test_a_ping_of_another_server_is_not_there(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by())
    delivery = await sent(asking)
    elsewhere = asking.by(steward=True, server=ELSEWHERE)
    with pytest.raises(Outlived):
        await answer_round(asking.desk, elsewhere, delivery=delivery, answer=Answer.DONE)
    with pytest.raises(Outlived):
        await bins_of_round(asking.desk, elsewhere, delivery=delivery)
    assert await states(asking, delivery) == [OccurrenceState.ASKED]


async def test_the_bins_of_a_ping_are_named_once_each(asking: Asking) -> None:
    await with_bins(asking, 2)
    await added(asking, asking.by())
    await added(asking, asking.by(), kind="litter")
    await added(asking, asking.by(), "B-2")
    found = await bins_of_round(asking.desk, asking.by(), delivery=await sent(asking))
    assert found == (BinLabel("B-1", "moss"), BinLabel("B-2", "moss"))
    with pytest.raises(Outlived):
        await bins_of_round(asking.desk, asking.by(), delivery=0)
