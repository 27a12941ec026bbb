"""Pictures on their way into the chat: drawn by a worker, uploaded with the layout that shows them."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

import pytest

from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.odds import odds_card
from bot.cards.odds_picture import picture_card
from bot.pictures.counts import CountPoint, count_chart
from bot.practice.outcome import Outcome
from bot.practice.values import GALLERY, Message, walk
from bot.services.odds import Odds
from bot.services.odds_picture import Pictured
from bot.workers import AllBusy, Overdue, WorkerLost
from tests.support.chat import BINS, ELSEWHERE_ROOM, MOSS, STRANGER, WREN, Chat, first_line, labels, only_for

CHART = count_chart([CountPoint(datetime(2026, 3, 3, tzinfo=UTC), 14)], "B-3 (frost line)")
CROSS = "/odds cross:het ember x het ember"
MISSING = "I could not draw the picture"


@dataclass(frozen=True, slots=True)
class Broken:
    """A drawing that fails."""

    name: str = "broken.png"
    alternative: str = "Nothing."

    def png(self) -> bytes:
        raise RuntimeError("broken for the test")


def illustrating(say: Callable[..., Card], *drawings: Any) -> Callable[..., Card]:
    """The same card with something to draw."""

    def said(*args: Any, **named: Any) -> Card:
        return replace(say(*args, **named), drawings=drawings)

    return said


def shown(message: Message | None) -> list[tuple[str, str]]:
    """The addresses and the words of the pictures that a message shows."""
    assert message is not None
    galleries = [part for part in walk(message.components) if part["type"] == GALLERY]
    return [(item["media"]["url"], item["description"]) for gallery in galleries for item in gallery["items"]]


def assert_shows_the_chart(outcome: Outcome) -> None:
    message = outcome.message
    assert message is not None
    (file,) = message.attachments
    assert file.content == CHART.png()
    assert (file.filename, file.content_type, file.description) == ("counts.png", "image/png", CHART.alternative)
    assert shown(message) == [(file.url, CHART.alternative)]


async def test_a_picture_comes_with_the_first_answer(sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bot.chat.odds.odds_card", illustrating(odds_card, CHART))
    outcome = await sqlite_chat.type(CROSS)
    assert_shows_the_chart(outcome)
    assert first_line(outcome).startswith("**1 in 4** young will show ember.")


@pytest.mark.usefixtures("impatient")
async def test_a_picture_that_takes_long_comes_where_it_was_promised(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.chat.odds.odds_card", illustrating(odds_card, CHART))
    outcome = await sqlite_chat.type(CROSS)
    assert outcome.deferred
    assert_shows_the_chart(outcome)
    assert len(sqlite_chat.service.messages(BINS)) == 1


async def test_a_broken_connection_sends_the_picture_again_whole(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.chat.odds.odds_card", illustrating(odds_card, CHART))
    sqlite_chat.expected.add(40060)
    sqlite_chat.service.faults.reset_next("POST", "/interactions/*/callback")
    outcome = await sqlite_chat.type(CROSS)
    assert_shows_the_chart(outcome)


async def test_a_picture_stands_on_the_first_page_and_comes_back_with_it(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    def long_card(odds: Odds, **told: bool) -> Card:
        card = odds_card(odds, **told)
        blocks = (*card.blocks, "moss and bark " * 250)
        return replace(card, blocks=blocks, page=(verbs.ODDS_ASK, odds.reference), drawings=(CHART,))

    monkeypatch.setattr("bot.chat.odds.odds_card", long_card)
    first = await sqlite_chat.type(CROSS)
    assert_shows_the_chart(first)
    assert first.message is not None
    second = await sqlite_chat.press(first.message, next(b.label for b in first.message.buttons if "More" in b.label))
    assert second.updated
    assert second.message is not None
    assert second.message.attachments == ()
    assert shown(second.message) == []
    back = await sqlite_chat.press(second.message, next(b.label for b in second.message.buttons if "Back" in b.label))
    assert back.updated
    assert_shows_the_chart(back)


@pytest.mark.parametrize("fault", [Overdue(30.0), WorkerLost(), AllBusy(32)])
async def test_what_was_to_be_said_is_said_without_the_picture_too(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    async def not_done(*_: Any, **__: Any) -> Any:
        raise fault

    monkeypatch.setattr("bot.chat.odds.odds_card", illustrating(odds_card, CHART))
    monkeypatch.setattr(sqlite_chat.bot.client.desk.workers, "run", not_done)
    outcome = await sqlite_chat.type(CROSS)
    assert first_line(outcome).startswith("**1 in 4** young will show ember.")
    assert MISSING in outcome.text
    assert shown(outcome.message) == []


async def test_a_drawing_that_fails_is_logged_and_takes_no_words_along(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr("bot.chat.odds.odds_card", illustrating(odds_card, CHART, Broken()))
    outcome = await sqlite_chat.type(CROSS)
    assert MISSING in outcome.text
    assert outcome.message is not None
    assert outcome.message.attachments == ()
    assert "broken for the test" in caplog.text


async def test_a_picture_larger_than_the_service_takes_is_not_sent(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.chat.odds.odds_card", illustrating(odds_card, CHART))
    sqlite_chat.service.largest_file = 1000
    outcome = await sqlite_chat.type(CROSS)
    assert MISSING in outcome.text
    assert shown(outcome.message) == []


async def test_the_picture_of_a_cross_comes_by_its_button(chat: Chat) -> None:
    asked = await chat.type(CROSS)
    outcome = await chat.press(asked.message, "Picture")
    message = only_for(WREN, outcome)
    assert message.text.startswith("**1 in 4** young will show ember.")
    (file,) = message.attachments
    assert (file.filename, file.content_type) == ("cross.png", "image/png")
    assert file.content.startswith(b"\x89PNG")
    ((url, words),) = shown(message)
    assert url == file.url
    assert words == file.description
    assert words.startswith("Young of het ember x het ember: wild-looking 3 in 4 (75 %); ember 1 in 4 (25 %).")


async def test_the_picture_of_a_cross_in_doubt_is_bars(sqlite_chat: Chat) -> None:
    asked = await sqlite_chat.type("/odds cross:66% het ember x het ember")
    message = only_for(WREN, await sqlite_chat.press(asked.message, "Picture"))
    assert message.attachments[0].filename == "shares.png"


async def test_a_cross_whose_young_all_look_alike_offers_no_picture(sqlite_chat: Chat) -> None:
    assert "Picture" not in labels(await sqlite_chat.type("/odds cross:visual ember x wild"))


async def test_the_picture_asked_for_again_is_the_same(sqlite_chat: Chat) -> None:
    asked = await sqlite_chat.type(CROSS)
    first = await sqlite_chat.press(asked.message, "Picture")
    await sqlite_chat.again(first)
    second = await sqlite_chat.press(asked.message, "Picture", MOSS)
    assert only_for(WREN, first).attachments[0].content == only_for(MOSS, second).attachments[0].content
    assert await sqlite_chat.events() == (await sqlite_chat.events())[:12]


@pytest.mark.parametrize("argument", ["", "=", "=het emberr x wild", "#1", "#999999", "#abc", "nothing"])
async def test_a_forged_picture_button_is_refused_and_changes_nothing(sqlite_chat: Chat, argument: str) -> None:
    before = await sqlite_chat.events()
    outcome = await sqlite_chat.forge(f"m1:odds.picture:{argument}")
    assert only_for(WREN, outcome).attachments == ()
    assert await sqlite_chat.events() == before


async def test_a_cross_of_one_server_is_no_picture_in_another(sqlite_chat: Chat) -> None:
    """The number in the button is of a draft; in another server it stands for nothing."""
    asked = await sqlite_chat.type("/odds cross:het ember, homozygous frost x visual ember, homozygous frost")
    assert asked.message is not None
    custom_id = asked.message.button("Picture").custom_id
    outcome = await sqlite_chat.forge(custom_id, STRANGER, ELSEWHERE_ROOM)
    message = only_for(STRANGER, outcome)
    assert message.attachments == ()
    assert "over a day old" in message.text
    assert "ember" not in message.text


@pytest.mark.usefixtures("impatient")
async def test_a_picture_for_one_that_takes_long_is_promised_to_that_one_alone(sqlite_chat: Chat) -> None:
    asked = await sqlite_chat.type(CROSS, MOSS)
    outcome = await sqlite_chat.press(asked.message, "Picture", MOSS)
    assert outcome.deferred
    assert only_for(MOSS, outcome).attachments
    assert sqlite_chat.sent("DELETE", "/@original") == []
    assert [m.id for m in sqlite_chat.service.messages(BINS)] == [asked.messages[0].id]


@pytest.mark.usefixtures("impatient")
async def test_an_answer_for_everybody_that_was_promised_to_one_is_seen_by_everybody(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch
) -> None:
    def for_all(found: Pictured) -> Card:
        return replace(picture_card(found), private=False)

    monkeypatch.setattr("bot.chat.odds.picture_card", for_all)
    asked = await sqlite_chat.type(CROSS, MOSS)
    outcome = await sqlite_chat.press(asked.message, "Picture", MOSS)
    assert await outcome.until(lambda seen: bool(seen.messages), 5)
    assert outcome.messages[-1].viewer_id is None
    assert outcome.messages[-1].attachments
    assert len(sqlite_chat.service.messages(BINS)) == 2
