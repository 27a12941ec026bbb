"""A defined trait, an undo, and what is said when the bot itself failed."""

import ast
from datetime import UTC, datetime
from pathlib import Path

import pytest

import bot.services
from bot.cards import faults
from bot.cards.card import Tone
from bot.cards.traits import defined_card
from bot.cards.undo import undone_card
from bot.records import Dominance, EventRow, Subject, TraitRow
from bot.services.traits import TraitDefined, trait_of
from bot.services.undo import Undone
from genetics import read_cross
from tests.support.markup import live_marks
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)


def defined(name: str, dominance: Dominance) -> TraitDefined:
    return TraitDefined(TraitRow(4, name, "e", dominance, None, 1, NOW, None), 17)


def event_of(kind: str) -> EventRow:
    return EventRow(17, NOW, 1, 99, kind, Subject("bin", 3), {"v": 1, "rows": []}, {"v": 1, "rows": []}, 1)


def logged_kinds() -> set[str]:
    """Every kind of change that a service writes into the book."""
    found: set[str] = set()
    for file in Path(bot.services.__path__[0]).glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "log":
                found |= {str(n.value) for n in ast.walk(node.args[0]) if isinstance(n, ast.Constant)}
    return found


@pytest.mark.parametrize(
    ("dominance", "meaning"),
    [
        (Dominance.RECESSIVE, "shows ember with two copies; with one it looks wild and carries it"),
        (Dominance.DOMINANT, "with one copy or two, and looks the same either way"),
        (Dominance.INCOMPLETE, "with one copy, and shows it more strongly with two"),
    ],
)
async def test_a_trait_is_said_back_with_what_its_kind_means(dominance: Dominance, meaning: str) -> None:
    card = defined_card(defined("ember", dominance))
    assert card.lead == f"**ember** stands in the book as {dominance}, with the gene symbol `e`."
    assert meaning in card.blocks[0]
    assert_card_fits(card)


@pytest.mark.parametrize("dominance", Dominance)
def test_the_example_for_a_new_trait_is_a_cross_that_can_be_read(dominance: Dominance) -> None:
    trait = defined("blue moon", dominance)
    example = defined_card(trait).blocks[1].partition("cross:")[2].rstrip("`")
    assert read_cross(example, [trait_of(trait.trait)]).traits == (trait_of(trait.trait),)


def test_the_name_of_a_new_trait_does_nothing() -> None:
    card = defined_card(defined("@everyone **x**", Dominance.RECESSIVE))
    assert live_marks(card.lead.removeprefix("**").replace("** stands", " stands")) == []
    assert live_marks("\n".join(card.blocks)) == []


@pytest.mark.parametrize("kind", sorted(logged_kinds()))
async def test_every_change_of_the_book_has_words_for_being_taken_back(kind: str) -> None:
    card = undone_card(Undone(event_of(kind)))
    assert card.lead == "Undone."
    assert card.blocks[0].endswith(".")
    assert_card_fits(card)


def test_the_changes_of_the_book_were_found() -> None:
    assert {"bin.opened", "count.logged", "trait.defined", "care.added", "care.done", "care.later"} <= logged_kinds()


async def test_a_failure_of_the_bot_keeps_what_was_typed_and_gives_a_number_to_quote() -> None:
    card = faults.broken("7F3A", {"bin": "B-3", "count": "40", "note": ""}, draft=12)
    assert card.lead.startswith("Something went wrong on my side.")
    assert "**7F3A**" in card.blocks[0]
    assert "bin: B-3\ncount: 40\n```" in card.blocks[1]
    assert "note" not in card.blocks[1]
    assert [(b.label, b.argument) for b in card.buttons] == [("Edit", "12")]
    assert (card.tone, card.private) == (Tone.REFUSAL, True)
    assert_card_fits(card)


async def test_a_failure_with_nothing_typed_has_nothing_to_edit() -> None:
    card = faults.broken("7F3A", {}, draft=None)
    assert (len(card.blocks), card.buttons) == (1, ())
    assert_card_fits(card)


async def test_a_bot_that_stops_or_a_command_that_changed_says_what_to_do() -> None:
    assert "Try again in a minute" in faults.restarting().lead
    assert "Type it again" in faults.outdated().lead
    for card in (faults.restarting(), faults.outdated()):
        assert card.private
        assert_card_fits(card)
