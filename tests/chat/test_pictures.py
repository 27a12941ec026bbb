"""Pictures on their way into the chat: drawn by a worker, uploaded with the layout that shows them."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

import pytest

from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.odds import odds_card
from bot.pictures.counts import CountPoint, count_chart
from bot.practice.outcome import Outcome
from bot.practice.values import GALLERY, Message, walk
from bot.services.odds import Odds
from bot.workers import AllBusy, Overdue, WorkerLost
from tests.support.chat import BINS, Chat, first_line

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
    def long_card(odds: Odds) -> Card:
        card = odds_card(odds)
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
