"""A defined trait, an undo, and what is said when the bot itself failed."""

import ast
import importlib
import inspect
import json
import pkgutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from types import ModuleType

import pytest

import bot.services
from bot.cards import faults
from bot.cards.card import Card, Tone
from bot.cards.changes import done
from bot.cards.relations import parted_card, tied_card
from bot.cards.traits import example, list_card, trait_card
from bot.cards.undo import undone_card
from bot.records import Dominance, EventRow, Subject, TraitRow
from bot.services.heredity import Relation, trait_of
from bot.services.relations import Parted, Tied
from bot.services.telling_apart import contrast_of
from bot.services.trait_models import USUAL, Distance, Gap, Linkage, Series, Together, TraitModel, Vigour, write_model
from bot.services.traits import TraitView
from bot.services.undo import EVENT, Undone
from genetics import Genome, Interaction, Sex, SexSystem, Where, read_cross, young_of
from tests.support.markup import live_marks
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)


def defined(
    name: str, dominance: Dominance, model: TraitModel = USUAL, system: SexSystem = SexSystem.UNKNOWN
) -> TraitView:
    document = write_model(model)
    row = TraitRow(4, name, "e", dominance, None, 1, NOW, None, None if document is None else json.dumps(document))
    contrast = contrast_of(dominance, model, system)
    return TraitView(row, trait_of(row), model, (), None, system, contrast, event=17)


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


FOR_GOOD = {"keeper.erased", "blind.finished"}
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
    card = trait_card(defined("ember", dominance))
    assert card.lead == f"**ember** stands in the book as {dominance}, with the gene symbol `e`."
    assert meaning in card.blocks[0]
    assert_card_fits(card)


@pytest.mark.parametrize("dominance", Dominance)
def test_the_example_for_a_new_trait_is_a_cross_that_can_be_read(dominance: Dominance) -> None:
    trait = defined("blue moon", dominance)
    example = trait_card(trait).blocks[-1].partition("cross:")[2].rstrip("`")
    assert read_cross(example, [trait.trait]).traits == (trait.trait,)


@pytest.mark.parametrize("system", [SexSystem.UNKNOWN, SexSystem.ZZ_ZW, SexSystem.XX_XY])
@pytest.mark.parametrize("where", Where)
@pytest.mark.parametrize("dominance", Dominance)
def test_the_example_says_what_a_trait_of_any_place_needs(
    dominance: Dominance, where: Where, system: SexSystem
) -> None:
    """An animal with one copy of a locus is never het, and where sexes matter the species must be known."""
    view = defined("ember", dominance, TraitModel(where=where), system)
    cross, _, species = example(view).partition("cross:")[2].partition(" species:")
    known = read_cross(cross, [view.trait])
    needs = where in (Where.SHARED, Where.LIMITED) and system is SexSystem.UNKNOWN
    assert bool(species) == needs
    genome = Genome(system=SexSystem.ZZ_ZW if needs else system)
    young = young_of(known, [view.trait], genome)
    assert sum(c.share for c in young.classes()) == 1


LIMITED, LINKED = TraitModel(shown_in=Sex.FEMALE), TraitModel(where=Where.SHARED)


def buttons(card: Card) -> list[tuple[str, str]]:
    return [(button.label, button.argument) for button in card.buttons]


def test_shown_in_one_sex_and_on_a_sex_chromosome_are_told_apart_and_each_offers_the_other() -> None:
    """The cross of science.md §5: an F1 son back to a trait dam gives half of the daughters, or half of all young."""
    limited = trait_card(defined("ember", Dominance.RECESSIVE, LIMITED, SexSystem.ZZ_ZW))
    said = "\n".join(limited.blocks)
    assert "ember lies on an ordinary chromosome" in said
    assert "Recorded: **shown in females only**. That is about who shows it, not about a sex chromosome." in said
    assert "One male that shows ember rules it out." in said
    assert "ember dam × a son of ember dam × wild sire." in said
    assert "Shown in females only: 1 in 2 of the daughters and none of the sons." in said
    assert "On the sex chromosome: 1 in 2 of both sexes show it." in said
    assert ("It's on a sex chromosome", "4/X or Z") in buttons(limited)
    linked = trait_card(defined("ember", Dominance.RECESSIVE, LINKED, SexSystem.ZZ_ZW))
    assert "Recorded: **on a sex chromosome**. That is rare in woodlice" in "\n".join(linked.blocks)
    assert ("It's shown in females only", "4/female") in buttons(linked)
    assert ("It's shown in males only", "4/male") in buttons(linked)


def test_a_plain_trait_says_nothing_of_sexes() -> None:
    card = trait_card(defined("ember", Dominance.RECESSIVE))
    assert not any(word in "\n".join(card.blocks) for word in ("sex", "female", "Recorded"))
    assert [label for label, _ in buttons(card)] == ["Change", "Undo"]


async def test_all_that_is_known_of_a_trait_is_said_and_fits_a_screen() -> None:
    model = TraitModel(
        where=Where.SHARED,
        penetrance=Fraction(7, 10),
        phenocopies=Fraction(1, 50),
        shown_in=Sex.MALE,
        week=8,
        lives=(Vigour(1, Fraction(1, 2), Sex.MALE), Vigour(2, Fraction(0))),
    )
    card = trait_card(defined("ember", Dominance.DOMINANT, model, SexSystem.XX_XY))
    for said in (
        "shows in males only (females carry it unseen)",
        "shows in 70 % of those that should show it",
        "is seen in 2 % of those that should not show it",
        "can be read from week 8",
        "with one copy in males lets 50 % as many live as wild young",
        "kills with two copies",
    ):
        assert f"ember {said}." in card.blocks[0]
    assert_card_fits(card)


async def test_a_list_says_each_trait_and_what_some_are_to_each_other() -> None:
    ember = defined("ember", Dominance.RECESSIVE, TraitModel(week=8))
    ink = replace(defined("*ink*", Dominance.DOMINANT), species="Porcellio scaber")
    linked = Relation(1, "both", (ember.trait, ink.trait), (), Linkage((Gap(Fraction(1, 10)),), (Gap(Fraction(0)),)))
    card = list_card([replace(ember, relations=(linked,)), replace(ink, relations=(linked,))])
    assert card.lead == "**2 traits** in the book."
    assert card.blocks[0].splitlines()[0] == "· **ember** `e` is recessive and can be read from week 8"
    assert "(*Porcellio scaber*)" in card.blocks[0].splitlines()[1]
    assert card.blocks[1] == (
        "· Ember and \\*ink\\* lie on one chromosome: in dams 10 % recombination between ember and \\*ink\\*; "
        "in sires no recombination between ember and \\*ink\\*."
    )
    assert_card_fits(card)
    assert list_card([]).lead == "No trait is defined yet."


RELATIONS = {
    "series": (Series(1), (), "the first of these shows: ember, wild, ink"),
    "9:3:4": (
        Together(Interaction("9:3:4")),
        ("a", "b", "c"),
        "make glow together (recessive epistasis, 9:3:4: a, b and c)",
    ),
    "table": (Together(None, (((2, None), 0), ((None, None), 1))), ("a", "b"), "by a table of its own: a and b"),
    "haldane": (Linkage((Gap(Fraction(10), Distance.HALDANE),)), (), "10 cM by Haldane, 9.063 % recombination"),
    "kosambi": (Linkage((Gap(Fraction(10), Distance.KOSAMBI),)), (), "10 cM by Kosambi, 9.869 % recombination"),
}
"""10 cM are r = 0.0906 by Haldane 1919 and 0.0987 by Kosambi 1944, from their formulas."""


@pytest.mark.parametrize("kind", RELATIONS)
async def test_traits_that_belong_together_are_said_with_what_they_are(kind: str) -> None:
    says, looks, said = RELATIONS[kind]
    traits = (defined("ember", Dominance.DOMINANT).trait, defined("ink", Dominance.RECESSIVE).trait)
    card = tied_card(Tied(Relation(1, "glow", traits, looks, says), 17))
    assert said in card.blocks[0]
    assert buttons(card) == [("Undo", "17")]
    assert_card_fits(card)


async def test_parted_traits_are_named() -> None:
    card = parted_card(Parted(("ember", "in*k"), 17))
    assert card.lead == "**ember and in\\*k** are parted: a cross takes each by itself again."
    assert_card_fits(card)


def test_the_name_of_a_new_trait_does_nothing() -> None:
    card = trait_card(defined("@everyone **x**", Dominance.RECESSIVE, LIMITED, SexSystem.ZZ_ZW))
    assert live_marks(card.lead.removeprefix("**").replace("** stands", " stands")) == []
    assert live_marks("\n".join(card.blocks).replace("**shown in females only**", "")) == []


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
    answers = {"care.done", "care.later", "care.skipped"}
    care = {"care.added", "care.paused", "care.resumed", "care.ended", "care.away", "care.back"}
    assert kinds_undone() >= {"bin.opened", "count.logged", "trait.defined", "trait.parted"} | answers | care
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
