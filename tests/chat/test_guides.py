"""Scoring guides in the chat, and photos that three keepers score blind."""

import re
from datetime import datetime

from bot.practice.outcome import Outcome
from bot.practice.service import Service
from bot.practice.values import Person
from bot.records import Media, PhotoFile, Records, Stamp, Subject
from tests.support.chat import (
    BINS,
    ELSEWHERE,
    ELSEWHERE_ROOM,
    HOLLOW_LOG,
    MOSS,
    STRANGER,
    TAMSIN,
    WREN,
    Chat,
    bot_at,
    clocks_at,
    first_line,
    labels,
    only_for,
)
from tests.support.photographs import photograph
from tests.support.wire import HandClock

COLOURS = ("darkorange", "orange", "dimgrey", "grey")
"""Of the animals on the photos: the first two show the trait."""


async def heard(outcome: Outcome) -> str:
    """What came, though it was promised first."""
    assert await outcome.until(lambda seen: bool(seen.messages), 10)
    return outcome.messages[-1].text


async def with_photos(chat: Chat) -> list[str]:
    """Four photos of ember on file; their numbers."""
    numbers = []
    for colour in COLOURS:
        message = await chat.say("one more", photograph(f"{colour}.jpg", width=300, height=200, colour=colour))
        asked = await chat.menu(message, "File this photo")
        said = await heard(await chat.submit(asked.form, of="ember", shows=f"an animal in {colour}"))
        number = re.search(r"photo (\d+)", said)
        assert number is not None, said
        numbers.append(number[1])
    return numbers


async def with_guide(chat: Chat) -> list[str]:
    """The same, and a guide of the first and the third."""
    numbers = await with_photos(chat)
    for number, call, more in (
        (numbers[0], "shows it", " extent:4 stage:adult sex:female"),
        (numbers[2], "does not", ""),
    ):
        done = await chat.type(f"/trait guide add name:ember call:{call} photo:{number} caption:look at it{more}")
        assert "How to score ember" in first_line(done), done.text
    return numbers


async def score(chat: Chat, person: Person, asked: Outcome, answers: dict[str, str]) -> Outcome:
    """Go through a set: what to press at each place, by place."""
    step = await chat.press(asked.messages[-1], "Score", person)
    for _ in answers:
        message = only_for(person, step)
        place = re.match(r"\*\*Photo (\d+)", message.text)
        assert place is not None
        step = await chat.press(message, answers[place[1]], person)
    assert "You have answered all" in first_line(step)
    return step


async def test_a_guide_is_made_shown_ordered_and_taken_back(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    numbers = await with_guide(chat)
    shown = (await chat.type("/trait guide show name:ember")).messages[-1]
    assert "**1** shows it, extent 4 of 5 (adult female): look at it" in shown.text
    assert "**2** does not: look at it" in shown.text
    assert [each.description for each in shown.attachments] == ["an animal in darkorange", "an animal in dimgrey"]
    new = await chat.type("/trait guide add name:ember call:doubtful picture:tests/support/odd.jpg moulted:yes")
    assert "**3** doubtful (fresh moult)" in await heard(new)
    twice = await chat.type("/trait guide add name:ember call:shows it picture:tests/support/odd.jpg")
    assert "is in the guide already, at place 3" in await heard(twice)
    ordered = await chat.type("/trait guide order name:ember order:3 1 2")
    assert ordered.text.index("doubtful") < ordered.text.index("shows it") < ordered.text.index("does not")
    await chat.again(ordered)
    removed = await chat.type("/trait guide remove name:ember place:1")
    assert "doubtful" not in removed.text
    back = await chat.press(removed.messages[-1], "Undo")
    assert "The scoring guide is as it was." in back.text
    assert "**1** doubtful" in (await chat.type("/trait guide show name:ember")).text
    for line, said in (
        (f"/trait guide add name:ember call:shows it photo:{numbers[0]}", "is in the guide already, at place 2"),
        ("/trait guide add name:ember call:shows it", "Which photo?"),
        (f"/trait guide add name:ember call:does not photo:{numbers[1]} extent:3", "does not go with that"),
        (f"/trait guide add name:ember call:shows it photo:{numbers[1]} extent:9", "is no extent"),
        ("/trait guide add name:ember call:shows it photo:999999", "No photo"),
        ("/trait guide order name:ember order:1 1 2", "can't read `1 1 2` as an order"),
        ("/trait guide remove name:ember place:9", "Type a place from 1 to 3."),
    ):
        before = await chat.events()
        assert said in only_for(WREN, await chat.type(line)).text, line
        assert await chat.events() == before
    stranger = await chat.type("/trait guide remove name:ember place:1", TAMSIN)
    assert "belongs to" in first_line(stranger)


async def test_keepers_score_blind_and_see_the_others_when_they_are_through(chat: Chat) -> None:
    await with_guide(chat)
    asked = await chat.type("/trait guide score name:ember photos:all", MOSS)
    assert first_line(asked) == "**Score these:** 4 photos. Does the animal on each show ember?"
    assert not asked.messages[-1].attachments
    first = await chat.press(asked.messages[-1], "Score", WREN)
    assert labels(first) == ["Shows it", "Does not", "Not sure"]
    (picture,) = first.messages[-1].attachments
    assert "an animal in" not in (picture.description or "")
    assert re.fullmatch(r"to-score-1\.jpg", picture.filename)
    truth = await order_of(chat)
    wren = await score(chat, WREN, asked, truth)
    assert labels(wren) == ["Finish", "1", "2", "3", "4"]
    # Wren changes their mind about one and back; nobody has seen anything yet.
    again = await chat.press(wren.messages[-1], "2", WREN)
    assert f"Here you said: {truth['2'].lower()}." in again.text
    changed = await chat.press(again.messages[-1], "Not sure", WREN)
    assert "not sure 1" in first_line(changed)
    back = await chat.press((await chat.press(changed.messages[-1], "2", WREN)).messages[-1], truth["2"], WREN)
    # In the middle of it, the guide would tell what to say.
    hidden = await chat.type("/trait guide show name:ember", WREN)
    assert "You are scoring photos of it blind" in only_for(WREN, hidden).text
    done = await chat.press(back.messages[-1], "Finish", WREN)
    assert "You are the first to be through" in only_for(WREN, done).text
    await chat.again(done)
    late = await chat.press(asked.messages[-1], "Score", WREN)
    assert "your answers stand" in only_for(WREN, late).text
    odd = {**truth, "2": "Does not" if truth["2"] == "Shows it" else "Shows it"}
    moss = await chat.press((await score(chat, MOSS, asked, odd)).messages[-1], "Finish", MOSS)
    said = only_for(MOSS, moss).text.replace("\xa0", " ")
    assert "2 keepers read 4 photos alike in 75 % of pairs." in said
    # One pair of four differed: half of a pair is wrong, 1 of 8 readings, 12.5 %.
    assert "about 12 % of readings are wrong" in said
    assert "**2** shows it 1, does not 1; you: " in said
    assert said.count("guide:") == 2
    seen = await chat.press(done.messages[-1], "Results", WREN)
    assert "75\xa0%" in only_for(WREN, seen).text
    # What stands for good is not undone: whoever has read the others can't score blind again.
    events = await chat.events()
    for kind in ("blind.finished", "blind.answered"):
        seq = next(event.seq for event in reversed(events) if event.kind == kind and event.actor_id == WREN.id)
        undone = await chat.type(f"/records undo change:{seq}", WREN)
        assert not undone.text.startswith("Undone")
    shown = await chat.type("/trait guide show name:ember", WREN)
    assert "readings are wrong" in shown.text


async def order_of(chat: Chat) -> dict[str, str]:
    """What a keeper who reads everything right presses at each place of the first set."""
    async with chat.bot.records.read(910000000000000001) as book:
        trait = next(row for row in await book.traits() if row.name == "ember")
        (blind,) = await book.blind_sets(trait.id)
        photos = await book.blind_photos(blind.id)
        told = {row.id: row.alternative or "" for row in await book.photos([photo.photo_id for photo in photos])}
    return {str(photo.place): "Shows it" if "orange" in told[photo.photo_id] else "Does not" for photo in photos}


async def test_too_few_photos_are_not_scored_and_another_server_sees_none(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    none = await chat.type("/trait guide score name:ember")
    assert "Scoring takes at least 2 photos" in only_for(WREN, none).text
    numbers = await with_photos(chat)
    asked = await chat.type(f"/trait guide score name:ember photos:{numbers[0]} and {numbers[1]}")
    number = re.search(r"blind\.score:(\d+)", asked.messages[-1].button("Score").custom_id)
    assert number is not None
    for argument in (number[1], f"{number[1]}/1/y", f"{number[1]}/f", f"{number[1]}/r"):
        forged = await chat.forge(f"m1:blind.score:{argument}", STRANGER, ELSEWHERE_ROOM, layout=True)
        assert "not up for scoring" in only_for(STRANGER, forged).text
    assert not await chat.events(ELSEWHERE)
    before = await chat.events()
    for argument in ("", "x", f"{number[1]}/99", f"{number[1]}/1/q", f"{number[1]}/99/y", f"{number[1]}/r"):
        only_for(TAMSIN, await chat.forge(f"m1:blind.score:{argument}", TAMSIN, layout=True))
    assert await chat.events() == before


async def test_scoring_goes_on_after_a_restart(society_sqlite: str, thursday: datetime) -> None:
    """The bot is put together anew between the question and each answer; the messages in the chat are those of before."""
    service, clocks = Service([HOLLOW_LOG], clock=HandClock()), clocks_at(thursday)
    await service.start()
    records = await Records.open(society_sqlite)
    for number in range(2):
        stamp = Stamp(HOLLOW_LOG.id, WREN.id, WREN.name, 77 + number, clocks.now())
        async with records.write(stamp) as book:
            trait = next(row.id for row in await book.traits() if row.name == "ember")
            file = PhotoFile(Media.JPEG, 4, 3, f"{number:064}", photograph(width=60, height=40).content)
            made = await book.add_photo(file, taken_at=clocks.now(), trait_id=trait)
            await book.log("photo.filed", Subject("photo", made))
    await records.close()
    message = None
    for step in ("ask", "Score", "Shows it", "Not sure", "Finish"):
        async with bot_at(service, society_sqlite, clocks):
            if message is None:
                options = {"name": "ember", "photos": "all"}
                outcome = await service.command(HOLLOW_LOG, BINS, MOSS, "trait guide score", options)
            else:
                outcome = await service.press(message, message.button(step).custom_id, MOSS)
            assert outcome.messages, step
            message = outcome.messages[-1]
    assert message
    assert "You are the first to be through" in message.text
    assert "not sure 1" in message.text
    await service.stop()
