"""Rounds in the chat: a Done for each, counts in three taps, and pings that go to their keeper alone."""

from dataclasses import replace
from datetime import datetime, timedelta

from bot.practice.outcome import Outcome
from bot.practice.values import Message, Room
from tests.support.chat import BINS, CARE, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, chat_on, first_line, labels, only_for


async def a_round(chat: Chat) -> Message:
    """A ping about Wren's B-4 and B-1."""
    await chat.type("/care add bin:B-1 task:moisture day:Sunday time:18:00")
    await chat.move(timedelta(days=4))
    return await chat.service.wait_message(BINS, lambda message: "B-1" in message.content and not message.layout)


async def test_each_thing_of_a_round_is_done_by_itself_and_taken_back(chat: Chat) -> None:
    ping = await a_round(chat)
    assert [b.label for b in ping.buttons] == ["Done B-4", "Done B-1", "All done", "Later", "Log count"]
    one = await chat.press(ping, "Done B-4")
    assert one.updated
    assert "1 of 2 answered" in first_line(one)
    assert labels(one) == ["Done B-1", "All done", "Later", "Log count", "Undo"]
    events = await chat.events()
    await chat.again(one)
    assert await chat.events() == events
    back = await chat.press(one.message, "Undo")
    assert first_line(back) == "Open again."
    one = await chat.press(back.message, "Done B-4")
    every = await chat.press(one.message, "Done B-1")
    assert first_line(every).startswith(f"Done by <@{WREN.id}>.")
    assert every.text.count("✓") == 2
    refused = await chat.press(ping, "Done B-1", TAMSIN)
    only_for(TAMSIN, refused)


async def test_from_a_ping_to_a_count_in_two_taps_and_a_number(sqlite_chat: Chat) -> None:
    await sqlite_chat.move(timedelta(days=4))
    ping = await sqlite_chat.service.wait_message(BINS)
    taps = Taps(sqlite_chat)
    form = await taps.press(ping, "Log count")
    outcome = await taps.submit(form, count="33")
    assert first_line(outcome).startswith("B-4 (ember F1): **33** counted")
    assert taps.number == 2


async def test_from_a_round_to_a_count_in_three_taps_and_a_number(sqlite_chat: Chat) -> None:
    ping = await a_round(sqlite_chat)
    taps = Taps(sqlite_chat)
    which = await taps.press(ping, "Log count")
    form = await taps.press(which.message, "B-1 wild stock")
    outcome = await taps.submit(form, count="88")
    assert first_line(outcome).startswith("B-1 (wild stock): **88** counted")
    assert taps.number == 3


class Taps:
    """Counts what a person taps; typing a number is none."""

    def __init__(self, chat: Chat) -> None:
        self.chat = chat
        self.number = 0

    async def press(self, message: Message | None, label: str) -> Outcome:
        self.number += 1
        return await self.chat.press(message, label)

    async def submit(self, outcome: Outcome, **values: str) -> Outcome:
        self.number += 1
        return await self.chat.submit(outcome.form, **values)


async def test_today_lists_what_wants_doing_and_takes_done(chat: Chat) -> None:
    assert first_line(await chat.type("/care today")).startswith("Nothing wants doing today.")
    await chat.type("/care add bin:all my bins task:protein day:every 3 days time:23:30")
    shown = await chat.type("/care today")
    assert only_for(WREN, shown)
    assert "things** today" in first_line(shown)
    done = await chat.press(shown.message, labels(shown)[0])
    assert done.updated
    assert labels(done)[-1] == "Undo"
    listed = await chat.type("/care list")
    assert "protein out once" in listed.text
    back = await chat.press(done.message, "Undo")
    assert labels(back) == labels(shown)
    every = await chat.press(back.message, "All done")
    assert "Nothing wants doing today" in first_line(every)


async def test_care_rests_ends_and_a_keeper_goes_away_and_comes_back(chat: Chat) -> None:
    listed = await chat.type("/care list")
    assert "moisture every Sunday at 18:00" in listed.text
    paused = await chat.press(listed.message, "Pause all")
    assert first_line(paused).startswith("Rests until you resume it: moisture of B-4")
    await chat.move(timedelta(days=8))
    assert [m for m in chat.service.messages(BINS) if not m.layout] == []
    resumed = await chat.press(paused.message, "Resume")
    assert first_line(resumed).startswith("Asks again")
    away = await chat.type("/care away until:in 3 weeks")
    assert first_line(away).startswith("No pings for you from")
    await chat.move(timedelta(days=15))
    assert [m for m in chat.service.messages(BINS) if not m.layout] == []
    back = await chat.press(away.message, "I am back")
    assert first_line(back).startswith("Welcome back: 1 thing")
    await chat.move(timedelta())
    (ping,) = [m for m in chat.service.messages(BINS) if not m.layout]
    assert "B-4" in ping.content
    offered = await chat.offered("/care end task:moist")
    assert [choice.name for choice in offered] == ["moisture · B-4 · every Sunday at 18:00"]
    ended = await chat.type(f"/care end task:{offered[0].value}")
    assert first_line(ended).startswith("Ended: moisture of B-4")


async def test_wrong_words_are_refused_and_kept(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    for line, said in (
        ("/care away until:whenever", "is no day I can read"),
        ("/care away until:3 Dec 2020", "is past"),
        ("/care pause task:all until:never", "is no day I can read"),
        ("/care pause task:nothing", "You have no such care task"),
        ("/care end task:99", "You have no such care task"),
        ("/care add bin:shelf attic task:moisture day:Monday", "None of your bins stands on a shelf"),
        ("/care add bin:B-1 task:moisture day:someday", "as days"),
    ):
        refused = await sqlite_chat.type(line)
        only_for(WREN, refused)
        assert said in first_line(refused)
    assert await sqlite_chat.events() == before


async def test_a_new_bin_is_offered_care_to_start_with(chat: Chat) -> None:
    opened = await chat.type("/bin open species:Armadillidium vulgare")
    offer = await chat.press(opened.message, "Set up care")
    only_for(WREN, offer)
    assert "common practice" in offer.text
    set_up = await chat.press(offer.message, "Set these")
    assert "**7 care tasks** set" in first_line(set_up)
    undone = await chat.press(set_up.message, "Undo")
    assert "Undone." in undone.text
    assert "**7 care tasks**" in first_line(await chat.press(opened.message, "Set up care"))


async def test_where_a_room_is_closed_a_ping_comes_to_its_keeper_alone_and_is_answered_there(
    society_sqlite: str, thursday: datetime
) -> None:
    place = replace(HOLLOW_LOG, rooms=(Room(BINS.id, "bins", writable=False), CARE))
    async with chat_on(society_sqlite, thursday, places=(place,)) as chat:
        chat.expected.add(50013)
        await chat.move(timedelta(days=4))
        (ping,) = chat.service.direct_messages(WREN)
        assert "B-4" in ping.content
        assert chat.service.direct_messages(MOSS) == []
        form = await chat.press(ping, "Log count")
        counted = await chat.submit(form.form, count="31")
        assert first_line(counted).startswith("B-4 (ember F1): **31** counted")
        done = await chat.press(ping, "Done")
        assert first_line(done).startswith(f"Done by <@{WREN.id}>.")
        events = await chat.events(place)
        foreign = await chat.plant("m1:care.done:1", chat.service.direct_room(WREN))
        refused = await chat.service.press(foreign, "m1:care.done:1", WREN)
        assert "belongs to a server" in refused.text
        assert await chat.events(place) == events
        undone = await chat.press(chat.service.message(ping.id), "Undo")
        assert first_line(undone) == "Open again."


async def test_a_bin_that_care_for_all_bins_took_in_can_still_be_taken_back(chat: Chat) -> None:
    await chat.type("/care add bin:all my bins task:moisture day:Monday time:18:00")
    opened = await chat.type("/bin open species:Armadillidium vulgare")
    await chat.move(timedelta())
    undone = await chat.press(opened.message, "Undo")
    assert first_line(undone) == "Undone."
    await chat.move(timedelta(days=5))
    assert not any("B-6" in message.content for message in chat.service.messages(BINS) if not message.layout)
