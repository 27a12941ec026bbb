"""`/care add`, and the buttons of the pings that follow from it."""

from dataclasses import replace
from datetime import datetime, timedelta
from unittest.mock import Mock

import discord
import pytest

from bot.chat.requests import request_of
from bot.practice.values import Message, Room
from bot.records import OccurrenceState
from tests.support.chat import BINS, CARE, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, chat_on, first_line, labels, only_for

ADD = "/care add bin:B-3 task:recount day:Friday time:6pm zone:Europe/Lisbon"


async def pinged(chat: Chat) -> Message:
    """The ping for Wren's B-4, posted on the Sunday after the Thursday on which everything here begins."""
    await chat.move(timedelta(days=4))
    return await chat.service.wait_message(BINS, lambda message: "B-4" in message.content)


async def states(chat: Chat) -> list[OccurrenceState]:
    """How it stands with what the first ping asked."""
    async with chat.bot.records.read(HOLLOW_LOG.id) as book:
        return [occurrence.state for occurrence in await book.occurrences_of(await delivery_of(chat))]


def labels_of(message: Message) -> list[str]:
    return [button.label for button in message.buttons]


async def delivery_of(chat: Chat) -> int:
    """The delivery that the ping's buttons name."""
    message = await chat.service.wait_message(BINS, lambda message: "B-4" in message.content)
    return int(message.button("Log count").custom_id.rpartition(":")[2])


async def test_a_care_task_says_when_its_first_ping_comes_and_where(chat: Chat) -> None:
    outcome = await chat.type(ADD, MOSS, CARE)
    assert first_line(outcome).startswith("B-3 (frost line): **recount** every Friday at 18:00, first <t:")
    assert "Europe/Lisbon" in outcome.text
    assert f"<#{CARE.id}>" in outcome.text
    assert labels(outcome) == ["Undo"]
    await chat.move(timedelta(days=2))
    ping = await chat.service.wait_message(CARE, lambda message: "B-3" in message.content)
    assert ping.pinged == (MOSS.id,)
    assert not ping.layout
    assert [button.label for button in ping.buttons] == ["Done", "Later", "Log count"]


async def test_a_keeper_whose_zone_is_not_known_is_asked_for_it_and_then_remembered(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/care add bin:B-3 task:moisture day:Monday time:7:30", MOSS)
    only_for(MOSS, refused)
    assert "time zone" in first_line(refused)
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    outcome = await sqlite_chat.submit(opened.form, zone="lisbon")
    assert first_line(outcome).startswith("B-3 (frost line): **moisture** every Monday at 07:30")
    second = await sqlite_chat.type("/care add bin:B-3 task:leaf litter day:Monday time:7:30", MOSS)
    assert "Europe/Lisbon" in second.text


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("/care add bin:B-3 task:moisture day:Monday time:noonish zone:Europe/Lisbon", "no time of day"),
        ("/care add bin:B-33 task:moisture day:Monday time:18:00 zone:Europe/Lisbon", "B-3 (frost line)"),
        ("/care add bin:B-3 task:moisture day:Monday time:18:00 zone:Europe/Lisbun", "Did you mean Europe/Lisbon"),
    ],
)
async def test_a_care_task_that_cannot_be_read_is_refused_and_kept(sqlite_chat: Chat, line: str, said: str) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type(line, MOSS)
    only_for(MOSS, refused)
    assert said in first_line(refused)
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    outcome = await sqlite_chat.submit(
        opened.form, bin="B-3", time="18:00", zone="Europe/Lisbon", task="litter", day="tue"
    )
    assert first_line(outcome).startswith("B-3 (frost line): **leaf litter** every Tuesday at 18:00")


async def test_a_slip_of_a_task_is_asked_about_and_own_words_are_taken(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/care add bin:B-3 task:moisure day:Monday time:18:00 zone:lisbon", MOSS)
    only_for(MOSS, refused)
    assert "Type moisture." in first_line(refused)
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    outcome = await sqlite_chat.submit(opened.form, task="hoover *around* it")
    assert first_line(outcome).startswith("B-3 (frost line): **hoover \\*around\\* it** every Monday")


async def test_care_of_another_keepers_bin_is_refused_but_to_a_steward(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type(ADD, TAMSIN)
    only_for(TAMSIN, refused)
    assert "Moss" in first_line(refused)
    assert first_line(await sqlite_chat.type(ADD, WREN)).startswith("B-3 (frost line): **recount**")


async def test_a_care_task_delivered_again_is_one_task(chat: Chat) -> None:
    outcome = await chat.type(ADD, MOSS, CARE)
    events = await chat.events()
    await chat.again(outcome)
    assert await chat.events() == events
    shown = await chat.type("/bin show bin:B-3")
    assert shown.text.count("recount every Friday") == 1


async def test_done_on_a_ping_is_written_in_its_place_and_offers_the_way_back(chat: Chat) -> None:
    ping = await pinged(chat)
    outcome = await chat.press(ping, "Done")
    assert outcome.updated
    assert first_line(outcome).startswith(f"Done by <@{WREN.id}>.")
    assert "B-4" in outcome.text
    assert outcome.message is not None
    assert outcome.message.pinged == ping.pinged
    assert await states(chat) == [OccurrenceState.DONE]
    assert labels(outcome) == ["Undo", "Log count"]
    undone = await chat.press(outcome.message, "Undo")
    assert undone.updated
    assert first_line(undone) == "Open again."
    assert "B-4" in undone.text
    assert labels(undone) == labels_of(ping)
    assert chat.service.message(ping.id).content == undone.text
    assert await states(chat) == [OccurrenceState.ASKED]


async def test_a_ping_that_was_reopened_is_answered_as_before(chat: Chat) -> None:
    ping = await pinged(chat)
    for label in ("Done", "Later", "Done"):
        answered = await chat.press(chat.service.message(ping.id), label)
        if label == "Later":
            answered = await chat.press(answered.message, "Tomorrow")
        assert answered.updated
        assert first_line(answered).startswith("Put off by" if label == "Later" else "Done by")
        undone = await chat.press(answered.message, "Undo")
        assert first_line(undone) == "Open again."
    form = await chat.press(undone.message, "Log count")
    assert form.form is not None
    assert form.form.fields[0].value == "B-4"
    assert len(chat.service.messages(BINS)) == 1
    await chat.press(undone.message, "Done")
    assert await states(chat) == [OccurrenceState.DONE]


async def test_a_second_undo_of_an_answer_leaves_the_ping_as_it_is(sqlite_chat: Chat) -> None:
    ping = await pinged(sqlite_chat)
    answered = (await sqlite_chat.press(ping, "Done")).message
    await sqlite_chat.press(answered, "Undo")
    events, content = await sqlite_chat.events(), sqlite_chat.service.message(ping.id).content
    again = await sqlite_chat.press(answered, "Undo")
    only_for(WREN, again)
    assert "undone already" in first_line(again)
    assert await sqlite_chat.events() == events
    assert sqlite_chat.service.message(ping.id).content == content


async def test_a_second_tap_on_an_answered_ping_shows_the_answer_that_stands(sqlite_chat: Chat) -> None:
    ping = await pinged(sqlite_chat)
    done = await sqlite_chat.press(ping, "Done")
    events = await sqlite_chat.events()
    for label in ("Done", "Later"):
        again = await sqlite_chat.press(ping, label)
        assert again.updated
        assert (again.text, labels(again)) == (done.text, ["Undo", "Log count"])
    assert await sqlite_chat.events() == events
    assert sqlite_chat.service.message(ping.id).content == done.text


async def test_an_older_ping_points_to_the_newer_one(sqlite_chat: Chat) -> None:
    ping = await pinged(sqlite_chat)
    await sqlite_chat.move(timedelta(days=7))
    newer = sqlite_chat.service.messages(BINS)[-1]
    assert newer.id != ping.id
    events = await sqlite_chat.events()
    for label in ("Done", "Later"):
        late = await sqlite_chat.press(ping, label)
        only_for(WREN, late)
        assert first_line(late) == "A newer ping asks for that. Answer the newest one."
    assert await sqlite_chat.events() == events
    assert sqlite_chat.service.message(ping.id).content == ping.content
    assert (await sqlite_chat.press(newer, "Done")).updated


async def test_done_delivered_again_is_done_once(chat: Chat) -> None:
    ping = await pinged(chat)
    outcome = await chat.press(ping, "Done")
    events = await chat.events()
    await chat.again(outcome)
    assert await chat.events() == events


async def test_done_on_another_keepers_ping_leaves_it_as_it_is_and_tells_whose_it_is(sqlite_chat: Chat) -> None:
    ping = await pinged(sqlite_chat)
    events = await sqlite_chat.events()
    refused = await sqlite_chat.press(ping, "Done", TAMSIN)
    assert not refused.updated
    only_for(TAMSIN, refused)
    assert "Wren" in first_line(refused)
    assert await sqlite_chat.events() == events
    assert sqlite_chat.service.message(ping.id).content == ping.content


async def test_later_on_a_ping_brings_it_back_a_day_after(chat: Chat) -> None:
    ping = await pinged(chat)
    asked = await chat.press(ping, "Later")
    assert asked.updated
    assert first_line(asked) == "When shall I ask again for 1 thing?"
    assert labels(asked) == ["In 2 hours", "In the evening", "Tomorrow", "In 3 days", "Not this time", "Back"]
    outcome = await chat.press(asked.message, "Tomorrow")
    assert outcome.updated
    assert first_line(outcome).startswith(f"Put off by <@{WREN.id}>.")
    before = len(chat.service.messages(BINS))
    await chat.move(timedelta(days=1, minutes=1))
    assert len(chat.service.messages(BINS)) == before + 1
    assert "B-4" in chat.service.messages(BINS)[-1].content


async def test_later_can_be_undone(sqlite_chat: Chat) -> None:
    ping = await pinged(sqlite_chat)
    asked = await sqlite_chat.press(ping, "Later")
    outcome = await sqlite_chat.press(asked.message, "Tomorrow")
    undone = await sqlite_chat.press(outcome.message, "Undo")
    assert first_line(undone) == "Open again."
    assert await states(sqlite_chat) == [OccurrenceState.ASKED]
    await sqlite_chat.move(timedelta(days=1, minutes=1))
    assert len(sqlite_chat.service.messages(BINS)) == 1


async def test_log_count_on_a_ping_opens_the_form_with_its_bin(chat: Chat) -> None:
    ping = await pinged(chat)
    opened = await chat.press(ping, "Log count")
    outcome = await chat.submit(opened.form, count="33")
    assert first_line(outcome) == "B-4 (ember F1): **33** counted."


async def test_log_count_on_an_answered_ping_still_opens_the_form(sqlite_chat: Chat) -> None:
    ping = await pinged(sqlite_chat)
    done = await sqlite_chat.press(ping, "Done")
    opened = await sqlite_chat.press(done.message, "Log count")
    assert opened.form is not None
    assert opened.form.fields[0].value == "B-4"


async def test_log_count_on_a_ping_about_several_bins_asks_which(sqlite_chat: Chat) -> None:
    await sqlite_chat.type("/care add bin:B-1 task:moisture day:Sunday time:18:00")
    ping = await pinged(sqlite_chat)
    assert "B-1" in ping.content
    asked = await sqlite_chat.press(ping, "Log count")
    assert asked.updated
    assert labels(asked) == ["B-4 ember F1", "B-1 wild stock", "Back"]
    back = await sqlite_chat.press(asked.message, "Back")
    assert labels(back) == labels_of(ping)


def of_bin_3(chat: Chat) -> list[Message]:
    """The pings for Moss's B-3."""
    return [m for m in chat.service.messages(BINS) if "B-3" in m.content and not m.layout]


async def test_a_task_that_was_taken_back_before_its_first_ping_pings_never(sqlite_chat: Chat) -> None:
    added = await sqlite_chat.type(ADD, MOSS)
    undone = await sqlite_chat.press(added.message, "Undo", MOSS)
    assert "will not ping" in undone.text
    await sqlite_chat.move(timedelta(days=2))
    assert of_bin_3(sqlite_chat) == []


async def test_a_task_that_was_taken_back_after_its_ping_pings_no_more_and_the_ping_says_so(chat: Chat) -> None:
    added = await chat.type(ADD, MOSS)
    await chat.move(timedelta(days=2))
    (ping,) = of_bin_3(chat)
    undone = await chat.press(added.message, "Undo", MOSS)
    only_for(MOSS, undone)
    assert "will not ping" in undone.text
    assert "recount" not in (await chat.type("/bin show bin:B-3")).text
    late = await chat.press(ping, "Done", MOSS)
    only_for(MOSS, late)
    assert "its task was taken back" in first_line(late)
    again = await chat.press(added.message, "Undo", MOSS)
    assert "undone already" in first_line(again)
    for _ in range(3):
        await chat.move(timedelta(days=7))
    assert of_bin_3(chat) == [ping]


async def test_the_same_task_twice_is_refused_and_kept(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(ADD, MOSS)
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type(ADD, MOSS, CARE)
    only_for(MOSS, refused)
    assert first_line(refused).startswith("B-3 (frost line) has that task already")
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    outcome = await sqlite_chat.submit(opened.form, time="19:00")
    assert first_line(outcome).startswith("B-3 (frost line): **recount** every Friday at 19:00")


async def test_no_task_is_set_in_a_room_where_the_bot_may_not_post(society_sqlite: str, thursday: datetime) -> None:
    silent, hidden = Room(BINS.id, "bins", writable=False), Room(CARE.id, "care", visible=False)
    place = replace(HOLLOW_LOG, rooms=(silent, hidden, Room(910000000000000013, "open")))
    async with chat_on(society_sqlite, thursday, places=(place,)) as chat:
        before = await chat.events(place)
        for room in (silent, hidden):
            refused = await chat.type(ADD, MOSS, room, place)
            only_for(MOSS, refused)
            assert first_line(refused).startswith("I may not write in this room, so no ping could come here.")
        assert await chat.events(place) == before
        outcome = await chat.type(ADD, MOSS, place.rooms[2], place)
        assert first_line(outcome).startswith("B-3 (frost line): **recount**")


@pytest.mark.parametrize(
    ("in_thread", "allowed", "may"),
    [
        (False, {"view_channel", "send_messages"}, True),
        (False, {"view_channel", "send_messages_in_threads"}, False),
        (False, {"send_messages"}, False),
        (True, {"view_channel", "send_messages_in_threads"}, True),
        (True, {"view_channel", "send_messages"}, False),
        (True, {"send_messages_in_threads"}, False),
    ],
)
def test_a_thread_has_a_permission_of_its_own(in_thread: bool, allowed: set[str], may: bool) -> None:
    interaction = Mock(spec=discord.Interaction)
    interaction.channel = Mock(spec=discord.Thread if in_thread else discord.TextChannel)
    interaction.app_permissions = discord.Permissions(**dict.fromkeys(allowed, True))
    assert request_of(interaction).may_post is may
