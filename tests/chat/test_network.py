"""Answers over a network that loses, repeats, delays and refuses; the book has each change once all the same."""

import asyncio
from datetime import timedelta

import pytest

from bot.practice.outcome import Outcome
from bot.practice.values import Person
from tests.support.chat import (
    ALREADY_ANSWERED,
    BINS,
    MOSS,
    TAMSIN,
    TOO_LATE,
    WREN,
    Chat,
    first_line,
)

CALLBACK = "/interactions/*/callback"
COUNT = "/count log bin:B-3 count:40"
COUNTED = "B-3 (frost line): **40** counted."
EACH = [
    "/odds cross:het ember x het ember",
    "/bin open species:Porcellio scaber name:once",
    "/bin show bin:B-3",
    COUNT,
    "/care add bin:B-3 task:moisture day:Monday time:18:00 zone:Europe/Lisbon",
    "/trait define name:dusk shows:dominant",
    "/count log bin:B-99 count:40",
]


async def told_twice(outcome: Outcome) -> bool:
    """Whether the bot tried to answer a second time and learnt that it had."""
    return await outcome.until(lambda seen: any(r.code == ALREADY_ANSWERED for r in seen.refusals), 5)


async def test_commands_delivered_twice_at_the_same_time_are_done_once_and_answered_once(chat: Chat) -> None:
    chat.expected.add(ALREADY_ANSWERED)
    for shown, line in enumerate(EACH, start=1):
        chat.service.faults.deliver_twice_next()
        before = len(await chat.events())
        outcome = await chat.type(line, MOSS)
        assert await told_twice(outcome)
        writes = line.startswith(("/bin open", COUNT, "/care", "/trait"))
        assert len(await chat.events()) == before + writes
        assert len(chat.service.messages(BINS, MOSS)) == shown


async def test_presses_and_forms_delivered_twice_at_the_same_time_are_done_once(chat: Chat) -> None:
    chat.expected.add(ALREADY_ANSWERED)
    faults = chat.service.faults
    opened = await chat.type("/count log bin:B-4")
    faults.deliver_twice_next()
    counted = await chat.submit(opened.form, count="40")
    assert await told_twice(counted)
    assert len(await chat.events()) == 13
    faults.deliver_twice_next()
    undone = await chat.press(counted.message, "Undo")
    assert await told_twice(undone)
    assert first_line(undone) == "Undone."
    assert len(await chat.events()) == 14
    await chat.move(timedelta(days=4))
    ping = await chat.service.wait_message(BINS, lambda message: "B-4" in message.content and not message.layout)
    faults.deliver_twice_next()
    done = await chat.press(ping, "Done")
    assert await told_twice(done)
    assert first_line(done).startswith("Done by")
    assert len(await chat.events()) == 15
    faults.deliver_twice_next()
    form = await chat.press(done.message, "Log count")
    assert await told_twice(form)
    assert form.form is not None


async def test_an_answer_that_was_accepted_and_then_failed_with_503_is_answered_once(chat: Chat) -> None:
    chat.expected |= {503, ALREADY_ANSWERED}
    chat.service.faults.fail_next("POST", CALLBACK)
    outcome = await chat.type(COUNT, MOSS)
    assert await told_twice(outcome)
    assert first_line(outcome) == COUNTED
    assert len(chat.service.messages(BINS, MOSS)) == 1
    assert len(await chat.events()) == 13


async def test_an_answer_that_failed_with_503_before_it_was_accepted_is_sent_again(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(503)
    sqlite_chat.service.faults.fail_next("POST", CALLBACK, after_accepting=False)
    outcome = await sqlite_chat.type(COUNT, MOSS)
    assert first_line(outcome) == COUNTED
    assert len(await sqlite_chat.events()) == 13


@pytest.mark.parametrize("everywhere", [False, True])
async def test_an_answer_that_is_told_to_slow_down_waits_and_comes(sqlite_chat: Chat, everywhere: bool) -> None:
    sqlite_chat.expected.add(429)
    sqlite_chat.service.faults.rate_limit_next(CALLBACK, 0.2, everywhere=everywhere)
    outcome = await sqlite_chat.type(COUNT, MOSS)
    assert 429 in sqlite_chat.refused()
    assert outcome.latency is not None
    assert outcome.latency > 0.2
    assert first_line(outcome) == COUNTED


@pytest.mark.parametrize("line", ["/count log bin:B-3 count:40", "/count log bin:B-3", "/count log bin:B-99 count:40"])
@pytest.mark.parametrize("accepted", [False, True])
async def test_an_answer_whose_connection_is_reset_comes_once(sqlite_chat: Chat, line: str, accepted: bool) -> None:
    sqlite_chat.expected.add(ALREADY_ANSWERED)
    sqlite_chat.service.faults.reset_next("POST", CALLBACK, after_accepting=accepted)
    outcome = await sqlite_chat.type(line, MOSS)
    assert outcome.settled
    assert not accepted or await told_twice(outcome)
    assert len(sqlite_chat.sent("POST", "/callback")) == 2
    assert len(sqlite_chat.service.messages(BINS, MOSS)) == (outcome.form is None)


async def test_a_person_who_cannot_be_told_at_all_is_told_of_in_the_log(
    sqlite_chat: Chat, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.chat.answer._PAUSES", (0.0, 0.02, 0.06))
    sqlite_chat.service.faults.reset_next("POST", CALLBACK, after_accepting=False, times=6)
    task = asyncio.create_task(sqlite_chat.type(COUNT, MOSS))
    await asyncio.sleep(1)  # three tries of the answer and three of the failure, with their pauses
    sqlite_chat.clock.move(4)
    outcome = await task
    assert outcome.failed
    assert len(await sqlite_chat.events()) == 13
    assert str(outcome.interaction_id) in caplog.text
    assert first_line(await sqlite_chat.type("/bin show bin:B-3")).startswith("**B-3 (frost line)**: **40** counted")


async def expired(chat: Chat, line: str, person: Person = MOSS) -> Outcome:
    """A command whose answer reaches the service four seconds after it was sent."""
    chat.expected.add(TOO_LATE)
    with chat.service.faults.hold("POST", CALLBACK) as hold:
        task = asyncio.create_task(chat.type(line, person))
        await hold.reached(5)
        chat.clock.move(4)
        outcome = await task
    assert outcome.failed
    assert await outcome.until(lambda seen: seen.late, 5)
    return outcome


async def test_an_answer_that_comes_too_late_is_said_in_the_channel_and_the_work_is_stored(chat: Chat) -> None:
    outcome = await expired(chat, COUNT)
    message = await chat.service.wait_message(BINS)
    assert outcome.messages == ()
    assert COUNTED in message.content
    assert message.pinged == (MOSS.id,)
    assert not message.pings_everyone
    assert len(await chat.events()) == 13


async def test_a_refusal_that_comes_too_late_is_not_said_to_everybody(sqlite_chat: Chat) -> None:
    await expired(sqlite_chat, COUNT, TAMSIN)
    answered = await sqlite_chat.type("/bin show bin:B-3")
    assert [m.id for m in sqlite_chat.service.messages(BINS)] == [answered.messages[0].id]


async def test_of_a_form_that_comes_too_late_its_person_is_told(sqlite_chat: Chat) -> None:
    outcome = await expired(sqlite_chat, "/count log bin:B-3")
    assert outcome.form is None
    told = await sqlite_chat.service.wait_message(BINS)
    assert told.content == f"<@{MOSS.id}> I was too slow to open the form. Press or type it again."
    assert told.pinged == (MOSS.id,)


async def test_a_ping_that_was_answered_too_late_for_a_reply_says_so_where_it_stands(sqlite_chat: Chat) -> None:
    await sqlite_chat.move(timedelta(days=4))
    ping = await sqlite_chat.service.wait_message(BINS)
    sqlite_chat.expected.add(TOO_LATE)
    with sqlite_chat.service.faults.hold("POST", CALLBACK) as hold:
        pressing = asyncio.create_task(sqlite_chat.press(ping, "Done"))
        await hold.reached(5)
        sqlite_chat.clock.move(4)
        outcome = await pressing
    assert await outcome.until(lambda seen: seen.late, 5)
    async with asyncio.timeout(5):
        while not sqlite_chat.service.message(ping.id).content.startswith("Done by"):  # noqa: ASYNC110 - no event to wait for
            await asyncio.sleep(0.01)
    assert len(sqlite_chat.service.messages(BINS)) == 1


async def test_a_late_answer_from_a_person_named_loudly_pings_that_person_alone(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(TOO_LATE)
    line = "/bin open species:Porcellio scaber name:@everyone <@910000000000000103>"
    await expired(sqlite_chat, line)
    message = await sqlite_chat.service.wait_message(BINS)
    assert "B-6" in message.content
    assert message.pinged == (MOSS.id,)
    assert not message.pings_everyone


@pytest.mark.usefixtures("impatient")
async def test_a_promise_that_comes_too_late_does_not_stop_the_work(
    chat: Chat, caplog: pytest.LogCaptureFixture
) -> None:
    chat.expected.add(TOO_LATE)
    with chat.service.faults.hold("POST", CALLBACK) as hold:
        async with chat.book_held():
            task = asyncio.create_task(chat.type(COUNT, MOSS))
            await hold.reached(5)
            chat.clock.move(4)
        outcome = await task
    assert outcome.failed
    message = await chat.service.wait_message(BINS)
    assert COUNTED in message.content
    assert len(await chat.events()) == 13
    assert "promise" in caplog.text


async def test_done_on_a_ping_that_is_answered_too_late_is_done(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(TOO_LATE)
    await sqlite_chat.move(timedelta(days=4))
    ping = await sqlite_chat.service.wait_message(BINS)
    with sqlite_chat.service.faults.hold("POST", CALLBACK) as hold:
        task = asyncio.create_task(sqlite_chat.press(ping, "Done"))
        await hold.reached(5)
        sqlite_chat.clock.move(4)
        outcome = await task
    assert await outcome.until(lambda seen: seen.late, 5)
    assert (await sqlite_chat.events())[-1].kind == "care.done"
    again = await sqlite_chat.press(ping, "Done")
    assert again.updated
    assert first_line(again).startswith(f"Done by <@{WREN.id}>.")
    assert (await sqlite_chat.events())[-1].kind == "care.done"


async def test_a_command_sent_while_the_connection_is_cut_is_answered_once_it_is_back(sqlite_chat: Chat) -> None:
    service = sqlite_chat.service
    await service.faults.drop_connection()
    outcome = await sqlite_chat.type(COUNT, MOSS)
    assert first_line(outcome) == COUNTED
    assert len(await sqlite_chat.events()) == 13
    assert service.gateway.resumed == 1
    assert len(service.gateway.identified) == 1
    assert len(sqlite_chat.sent("PUT", "/commands")) == 1
