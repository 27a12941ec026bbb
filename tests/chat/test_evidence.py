"""`/trait evidence`, its pages and its history, and how the reply to a brood says where the verdict went."""

import asyncio
from datetime import timedelta
from typing import Any

import pytest

from bot.services.verdict_moves import moves_of
from tests.support.chat import (
    BINS,
    CARE,
    ELSEWHERE_ROOM,
    HOLLOW_LOG,
    MOSS,
    STRANGER,
    WREN,
    Chat,
    first_line,
    labels,
    only_for,
)

SETUP = "/pair setup dams:1 unmated from B-4 sires:1 visual ember called Rust from B-5 question:ember"
BROOD = "/brood log of:P-1 scored:11 ember 13 wild, 9 weeks"


async def test_a_brood_says_how_the_verdict_moved_and_its_undo_too(chat: Chat) -> None:
    await chat.type(SETUP)
    logged = await chat.type(BROOD)
    assert "ember is now *" in logged.text
    assert "Nothing bore on it before." in logged.text
    again = await chat.type("/brood log of:P-1 scored:9 ember 10 wild, 9 weeks")
    assert "ember is still *open*: likeliest " in again.text
    assert "(was " in again.text
    assert {"Undo", "Evidence"} <= set(labels(again))
    evidence = await chat.press(again.message, "Evidence")
    assert first_line(evidence).startswith("How ember is inherited is still *open*.")
    history = await chat.press(evidence.message, "History")
    assert "changed 2 times" in first_line(history)
    undone = await chat.press(again.message, "Undo")
    assert "(was " in undone.messages[-1].text
    evidence = await chat.press(undone.messages[-1], "Evidence on ember")
    assert "changed 3 times" in first_line(await chat.press(evidence.message, "History"))


async def test_a_history_of_another_server_is_not_shown(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type(BROOD)
    async with sqlite_chat.bot.records.read(HOLLOW_LOG.id) as book:
        trait = next(row.id for row in await book.traits() if row.name == "ember")
    forged = await sqlite_chat.forge(f"m1:evidence.history:{trait}", STRANGER, ELSEWHERE_ROOM, layout=True)
    assert first_line(forged).startswith("Which trait?")
    events = await sqlite_chat.events()
    for argument in ("", "x", "999999.1"):
        assert first_line(await sqlite_chat.forge(f"m1:evidence.history:{argument}", layout=True)).startswith(
            "Which trait?"
        )
    assert "changed 1 time," in (await sqlite_chat.forge(f"m1:evidence.history:{trait}.x", layout=True)).text
    assert await sqlite_chat.events() == events


@pytest.mark.usefixtures("impatient")
async def test_a_brood_is_shown_while_its_verdict_is_worked_out_and_then_the_verdict_is(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting = asyncio.Event()

    async def slow(*args: Any) -> Any:
        await waiting.wait()
        return await moves_of(*args)

    monkeypatch.setattr("bot.chat.answer.STILL", 0.05)
    monkeypatch.setattr("bot.chat.brood.moves_of", slow)
    await sqlite_chat.type(SETUP)
    outcome = await sqlite_chat.type(BROOD)
    assert await outcome.until(lambda seen: "being worked out" in seen.text, 5)
    assert "11 ember" in outcome.text
    waiting.set()
    assert await outcome.until(lambda seen: "Nothing bore on it before." in seen.text, 10)


async def test_the_pages_of_the_evidence_turn_in_place_and_the_picture_says_what_it_shows(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type(BROOD)
    await sqlite_chat.type("/brood log of:P-1 scored:0 ember 12 wild, 9 weeks")
    verdict = await sqlite_chat.type("/trait evidence name:ember")
    page = verdict
    for label, said in (
        ("By brood", "Without one brood, of the"),
        ("Carriers", "Who carries ember"),
        ("What could overturn it", "it would have to be true that:"),
        ("Rests on", "scored young, after change #"),
        ("Verdict", "ember"),
    ):
        page = await sqlite_chat.press(page.message, label)
        assert page.updated
        assert said in first_line(page)
    course = await sqlite_chat.press(page.message, "How it moved")
    (picture,) = course.messages[-1].attachments
    assert picture.description is not None
    assert "went from" in picture.description
    assert "P-1.2" in picture.description


async def test_pages_of_what_is_not_there_show_nothing(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type(BROOD)
    async with sqlite_chat.bot.records.read(HOLLOW_LOG.id) as book:
        trait = next(row.id for row in await book.traits() if row.name == "ember")
    events = await sqlite_chat.events()
    for verb in ("evidence.page", "evidence.course"):
        foreign = await sqlite_chat.forge(f"m1:{verb}:{trait}", STRANGER, ELSEWHERE_ROOM, layout=True)
        assert first_line(foreign).startswith("Which trait?")
        for argument in ("", "x.broods", "999999.carriers", f"{trait}9"):
            shown = await sqlite_chat.forge(f"m1:{verb}:{argument}", layout=True)
            assert first_line(shown).startswith("Which trait?")
    unknown = await sqlite_chat.forge(f"m1:evidence.page:{trait}.nothing", layout=True)
    assert "ember" in first_line(unknown)
    assert await sqlite_chat.events() == events


async def test_a_trait_without_a_brood_says_what_to_type(sqlite_chat: Chat) -> None:
    nothing = await sqlite_chat.type("/trait evidence name:frost")
    assert "Set up a pairing with `/pair setup`" in nothing.text
    unknown = await sqlite_chat.type("/trait evidence name:embr")
    assert "ember" in unknown.text


async def test_a_verdict_asked_for_twice_by_one_interaction_is_noted_once(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    logged = await sqlite_chat.type(BROOD)
    await sqlite_chat.again(logged)
    async with sqlite_chat.bot.records.read(HOLLOW_LOG.id) as book:
        trait = next(row.id for row in await book.traits() if row.name == "ember")
        assert len(await book.verdicts(trait, limit=9)) == 1


async def test_a_steward_sets_priors_in_a_form_and_others_see_them(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type(BROOD)
    shown = await sqlite_chat.type("/trait priors name:ember", MOSS)
    assert "· recessive: 30" in shown.text
    form = await sqlite_chat.press(shown.message, "Change")
    changed = await sqlite_chat.submit(form.form, priors="recessive 60", figures="penetrance 90-100")
    assert "these priors and figures from now on" in first_line(changed)
    assert "ember is still *open*: " in changed.text
    assert "(default 30" in changed.text
    evidence = await sqlite_chat.type("/trait evidence name:ember", MOSS)
    assert "own priors or figures" in evidence.text
    events = await sqlite_chat.events()
    for line in ("recessive 60", "green 10"):
        refused = await sqlite_chat.type(f"/trait priors name:ember priors:{line}", MOSS)
        assert "steward" in refused.text
    unread = await sqlite_chat.type("/trait priors name:ember priors:green 10")
    assert "is no explanation I know" in unread.text
    assert await sqlite_chat.events() == events
    reset = await sqlite_chat.press(changed.message, "Back to the defaults")
    assert "the defaults again" in first_line(reset)
    undone = await sqlite_chat.press(reset.message, "Undo")
    assert "weighed as it was before" in undone.messages[-1].text
    for verb in ("priors.form", "priors.reset"):
        forged = await sqlite_chat.forge(f"m1:{verb}:{10**9}", layout=True)
        assert forged.form is None


async def test_a_new_word_is_told_in_the_room_where_the_trait_is_followed(sqlite_chat: Chat) -> None:
    followed = await sqlite_chat.type("/trait follow name:ember", room=CARE)
    assert f"<#{CARE.id}>" in first_line(followed)
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type(BROOD)
    await sqlite_chat.type("/trait priors name:ember priors:recessive 99")
    await sqlite_chat.move(timedelta(minutes=1))
    message = await sqlite_chat.service.wait_message(CARE, lambda one: "ember is now *" in one.content)
    assert message.pinged == ()
    verdict = await sqlite_chat.press(message, "Evidence", MOSS)
    assert first_line(verdict).startswith("ember is *")
    foreign = await sqlite_chat.forge(message.button("Evidence").custom_id, STRANGER, ELSEWHERE_ROOM)
    assert first_line(foreign).startswith("Which trait?")
    shown = await sqlite_chat.type("/trait show name:ember")
    assert f"told in <#{CARE.id}>" in shown.text
    stopped = await sqlite_chat.type("/trait unfollow name:ember")
    assert "in no room any more" in first_line(stopped)
    again = await sqlite_chat.type("/trait unfollow name:ember")
    assert "is told in no room" in first_line(again)


async def test_a_room_that_is_closed_to_the_bot_is_said_where_the_trait_is_shown(sqlite_chat: Chat) -> None:
    sqlite_chat.expected |= {0, 403}
    await sqlite_chat.type("/trait follow name:ember", room=CARE)
    sqlite_chat.service.faults.fail_next("POST", f"/channels/{CARE.id}/messages", status=403)
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type(BROOD)
    await sqlite_chat.type("/trait priors name:ember priors:recessive 99")
    await sqlite_chat.move(timedelta(minutes=1))
    shown = await sqlite_chat.type("/trait show name:ember")
    assert "the last one could not be posted there" in shown.text


@pytest.mark.usefixtures("impatient")
async def test_what_is_said_meanwhile_of_a_private_bin_is_seen_by_nobody_else(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting = asyncio.Event()

    async def slow(*args: Any) -> Any:
        await waiting.wait()
        return await moves_of(*args)

    monkeypatch.setattr("bot.chat.answer.STILL", 0.05)
    monkeypatch.setattr("bot.chat.brood.moves_of", slow)
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type("/bin privacy bin:B-6 private:everything")
    before = len(sqlite_chat.service.messages(BINS))
    task = asyncio.create_task(sqlite_chat.type(BROOD))
    await asyncio.sleep(0.4)
    shown = sqlite_chat.service.messages(BINS)[before:]
    assert not any("11 ember" in message.text for message in shown)
    waiting.set()
    outcome = await task
    assert await outcome.until(lambda seen: "Nothing bore on it before." in seen.text, 10)
    assert "11 ember" in only_for(WREN, outcome).text
    assert not any("11 ember" in message.text for message in sqlite_chat.service.messages(BINS))
