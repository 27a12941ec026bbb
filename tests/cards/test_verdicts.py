"""How a verdict is said in a line, how it moved, and its history."""

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from bot.cards.verdicts import CAUSES, history_card, moved, said_after_undo, said_of_move, stood
from bot.records import Dominance, TraitRow, VerdictRow
from bot.services.programme import Omitted
from bot.services.verdict_moves import Hidden, Move
from bot.services.verdicts import History, Noted, Stood
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 5, tzinfo=UTC)
TRAIT = TraitRow(4, "ember", "e", Dominance.RECESSIVE, None, 1, NOW, None, None)
WAS = Stood(Word.LEANING, Cause.RECESSIVE, Fraction(88, 100))
NOW_IS = Stood(Word.SUPPORTED, Cause.RECESSIVE, Fraction(96, 100))


def row(number: int, word: str = "supported", leader: str = "recessive") -> VerdictRow:
    at = NOW + timedelta(days=number)
    return VerdictRow(number, 4, number, at, word, leader, Fraction(24, 25), Fraction(9, 10), 2, 48, {"v": 1})


def test_a_brood_that_raised_the_word_is_said_with_what_it_was() -> None:
    assert said_of_move(Move(TRAIT, WAS, NOW_IS)) == "ember is now *supported*: recessive, 96 % (was 88 %)."


def test_the_parent_that_carries_it_unseen_is_named() -> None:
    said = said_of_move(Move(TRAIT, WAS, NOW_IS, carrier=Hidden("Pearl", 1.0, 0.95)))
    assert said.endswith(
        "If it is recessive, Pearl carries it: over 99.9 %; allowing for the other explanations: 95 %."
    )


@pytest.mark.parametrize(
    ("move", "said"),
    [
        (Move(TRAIT, NOW_IS, Stood(Word.SUPPORTED, Cause.RECESSIVE, Fraction(97, 100))), "ember is still *supported*"),
        (Move(TRAIT, None, WAS, first=True), "ember is now *leaning*: recessive, 88 %. Nothing bore on it before."),
        (Move(TRAIT, None, WAS), "ember is now *leaning*: recessive, 88 %."),
        (Move(TRAIT, WAS, Stood(Word.OPEN, Cause.DOMINANT, Fraction(1, 2))), "dominant, 50 % (was recessive, 88 %)."),
        (Move(TRAIT, WAS, omitted=Omitted.TOO_YOUNG), "It does not count for ember yet: too young to be read."),
        (Move(TRAIT, WAS), "can't be weighed"),
        (Move(TRAIT, late=True), "*Evidence* tells it"),
    ],
)
def test_whatever_a_brood_did_is_said(move: Move, said: str) -> None:
    assert said in said_of_move(move)


@pytest.mark.parametrize("word", Word)
@pytest.mark.parametrize("cause", Cause)
def test_every_verdict_can_be_said_in_a_line(word: Word, cause: Cause) -> None:
    line = stood(Stood(word, cause, Fraction(1)))
    assert f"*{word.value}*" in line
    assert CAUSES[cause] in line
    assert "100 %" not in line


def test_an_undo_is_said_with_the_verdict_it_left_and_without_one_that_stayed() -> None:
    assert "is now *leaning*" in said_after_undo(TRAIT, Noted(NOW_IS, WAS, new=True))
    assert said_after_undo(TRAIT, Noted(NOW_IS, NOW_IS, new=False)) == ""
    nothing = Stood(Word.OPEN, None, Fraction(0))
    assert "no scored brood is left" in said_after_undo(TRAIT, Noted(NOW_IS, nothing, new=True))
    assert "was without a brood" in moved("ember", nothing, WAS)


def test_the_history_is_paged_the_newest_first() -> None:
    history = History(TRAIT, tuple(row(number) for number in range(30, 0, -1)), more=True)
    first = history_card(history)
    assert_card_fits(first)
    assert "changed 30 times" in first.lead
    assert first.blocks[0].startswith("· <t:")
    assert "after change #30" in first.blocks[0].partition("\n")[0]
    assert [button.label for button in first.buttons] == ["Verdict", "Earlier"]
    last = history_card(history, 99)
    assert "after change #1" in last.blocks[0]
    assert "Older ones" in last.blocks[1]
    assert [button.label for button in last.buttons] == ["Verdict", "Later"]


def test_a_history_without_a_verdict_says_what_to_type() -> None:
    card = history_card(History(TRAIT, (), more=False))
    assert "`/trait evidence`" in card.lead
    emptied = history_card(History(TRAIT, (row(1, "open", ""),), more=False))
    assert "no scored brood is left" in emptied.blocks[0]
