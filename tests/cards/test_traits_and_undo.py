"""A defined trait, an undo, and what is said when the bot itself failed."""

import ast
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from datetime import UTC, datetime
from types import ModuleType

import pytest

import bot.services
from bot.cards import faults
from bot.cards.card import Tone
from bot.cards.changes import done
from bot.cards.traits import defined_card
from bot.cards.undo import undone_card
from bot.records import Dominance, EventRow, Subject, TraitRow
from bot.services.heredity import trait_of
from bot.services.traits import TraitDefined
from bot.services.undo import EVENT, Undone
from genetics import read_cross
from tests.support.markup import live_marks
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)


def defined(name: str, dominance: Dominance) -> TraitDefined:
    return TraitDefined(TraitRow(4, name, "e", dominance, None, 1, NOW, None), 17)


def event_of(kind: str) -> EventRow:
    return EventRow(17, NOW, 1, 99, kind, Subject("bin", 3), {"v": 1, "rows": []}, {"v": 1, "rows": []}, 1)


def logged() -> Iterator[tuple[set[str], set[str]]]:
    """The kinds of change, and the kinds of thing changed, of each place where a service writes an event."""
    for found in pkgutil.iter_modules(bot.services.__path__, "bot.services."):
        module = importlib.import_module(found.name)
        for node in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "log":
                kind, subject = node.args
                assert isinstance(subject, ast.Call)
                yield words_in(kind, module), words_in(subject.args[0], module)


def words_in(written: ast.expr, module: ModuleType) -> set[str]:
    """What an expression may come to: the texts in it, those that its names stand for, those its function is called with."""
    nodes = (
        list(ast.walk(written.body)) + list(ast.walk(written.orelse)) if isinstance(written, ast.IfExp) else [written]
    )
    texts = {str(n.value) for n in nodes if isinstance(n, ast.Constant)}
    for name in (n.id for n in nodes if isinstance(n, ast.Name)):
        texts |= {str(getattr(module, name))} if hasattr(module, name) else given(name, module)
    return texts


def given(parameter: str, module: ModuleType) -> set[str]:
    """The texts that functions of a module with this parameter are called with for it."""
    tree = ast.parse(inspect.getsource(module))
    functions = [n for n in ast.walk(tree) if isinstance(n, ast.AsyncFunctionDef | ast.FunctionDef)]
    places = {
        f.name: names.index(parameter) for f in functions if parameter in (names := [each.arg for each in f.args.args])
    }
    calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)]
    return {
        text
        for call in calls
        if isinstance(call.func, ast.Name) and call.func.id in places
        for text in words_in(call.args[places[call.func.id]], module)
    }


FOR_GOOD = {"keeper.erased"}
"""What cannot be undone: the words are gone."""


def kinds_undone() -> set[str]:
    """Every kind of change that can be taken back: all but those that took something back."""
    return {kind for kinds, subjects in logged() for kind in kinds if subjects != {EVENT}} - FOR_GOOD


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


@pytest.mark.parametrize("kind", sorted(kinds_undone()))
async def test_every_change_of_the_book_has_words_for_being_taken_back(kind: str) -> None:
    card = undone_card(Undone(event_of(kind)))
    assert card.lead == "Undone."
    assert card.blocks[0].endswith(".")
    assert_card_fits(card)


def test_every_change_of_the_book_has_words_for_the_page_of_changes() -> None:
    kinds = {kind for found, _ in logged() for kind in found}
    assert "care.ended" in kinds
    for kind in kinds | {"undo"}:
        assert done(kind) == done(kind).strip(" .")


def test_the_changes_of_the_book_were_found() -> None:
    assert kinds_undone() >= {"bin.opened", "count.logged", "trait.defined", "care.added", "care.done", "care.later"}
    assert [kinds for kinds, subjects in logged() if subjects == {EVENT}] == [{"care.ended"}]


async def test_a_failure_of_the_bot_keeps_what_was_typed_and_gives_a_number_to_quote() -> None:
    card = faults.broken("7F3A", {"bin": "B-3", "count": "40", "note": ""}, draft=12)
    assert card.lead.startswith("Something went wrong on my side.")
    assert "tell whoever runs the bot this number: **7F3A**." in card.blocks[0]
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
