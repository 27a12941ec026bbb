"""`/help`: every example in it works when it is typed, and it begins with what the person has not done."""

import re

import pytest

from bot.cards.render import REFUSAL_ACCENT
from bot.practice.outcome import Outcome
from bot.services.help import Subject
from tests.support.chat import ELSEWHERE, ELSEWHERE_ROOM, MOSS, STRANGER, TAMSIN, WREN, Chat, first_line, only_for

_EXAMPLE = re.compile(r"`(/[^`]+)`")
SUBJECTS = [subject.value for subject in Subject]


def is_refusal(outcome: Outcome) -> bool:
    """Whether the answer has a refusal's edge."""
    return any(part.get("accent_color") == REFUSAL_ACCENT for part in outcome.messages[-1].components)


async def works(chat: Chat, line: str, **who: object) -> None:
    outcome = await chat.type(line, **who)  # type: ignore[arg-type]
    assert await outcome.until(lambda seen: bool(seen.messages), 30), line
    assert not is_refusal(outcome), (line, outcome.text)


@pytest.mark.parametrize("subject", SUBJECTS)
async def test_every_example_works_as_it_stands(chat: Chat, subject: str) -> None:
    for person in (WREN, MOSS, TAMSIN):
        shown = await chat.type(f"/help subject:{subject}", person)
        assert await shown.until(lambda seen: bool(seen.messages), 30)
        only_for(person, shown)
        lines = _EXAMPLE.findall(shown.text)
        assert lines or subject in ("start", "safety")
        for line in lines:
            await works(chat, line, person=person)


@pytest.mark.parametrize("subject", SUBJECTS)
async def test_examples_work_in_an_empty_book_too(sqlite_chat: Chat, subject: str) -> None:
    there = {"person": STRANGER, "room": ELSEWHERE_ROOM, "place": ELSEWHERE}
    shown = await sqlite_chat.type(f"/help subject:{subject}", **there)
    for line in _EXAMPLE.findall(shown.text):
        await works(sqlite_chat, line, **there)


async def test_following_the_first_steps_ends_with_all_of_them_done(chat: Chat) -> None:
    there = {"person": STRANGER, "room": ELSEWHERE_ROOM, "place": ELSEWHERE}
    heads = []
    for _ in range(5):
        shown = await chat.type("/help", **there)
        heads.append(first_line(shown))
        (line,) = _EXAMPLE.findall(shown.text)
        await works(chat, line, **there)
    assert [head.rpartition("Next: ")[2] for head in heads] == [
        "tell me your time zone.",
        "open a bin.",
        "count what lives in it.",
        "define the trait you follow.",
        "ask to be reminded.",
    ]
    assert "all the first steps" in first_line(await chat.type("/help", **there))


async def test_help_turns_to_another_subject_in_its_place(sqlite_chat: Chat) -> None:
    shown = await sqlite_chat.type("/help", MOSS)
    turned = await sqlite_chat.press(shown.message, "Odds", MOSS)
    assert "the dam first" in turned.text
    safety = await sqlite_chat.press(turned.messages[-1], "Safety", MOSS)
    for word in ("permit", "Never release", "allergy", "microwave", "licensed adviser"):
        assert word in safety.text


async def test_a_subject_that_is_none_is_refused(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.forge("m1:help:cooking", MOSS, layout=True)
    assert "no subject I know" in outcome.text
    assert is_refusal(outcome)
