"""Priors are said beside the defaults, and help has a row for each explanation."""

from datetime import UTC, datetime
from fractions import Fraction

from bot.cards.help import help_card
from bot.cards.priors import explanations, priors_card
from bot.cards.render import pages
from bot.records import Dominance, TraitRow
from bot.services.help import Guide, Subject
from bot.services.priors import Priors
from bot.services.tuning import DEFAULT
from bot.services.tuning_text import read_figures, read_priors
from bot.services.verdicts import Noted, Stood
from genetics.evidence.explanations import PREDICTS, PRIORS, Cause
from genetics.evidence.findings import Word
from tests.support.screens import assert_card_fits

TRAIT = TraitRow(4, "ember", "e", Dominance.RECESSIVE, None, 1, datetime(2026, 3, 5, tzinfo=UTC), None, None)


def test_the_defaults_are_a_line_each() -> None:
    card = priors_card(Priors(TRAIT, DEFAULT))
    assert_card_fits(card)
    assert "· recessive: 30 %" in card.blocks[0].splitlines()
    assert len(card.blocks[0].splitlines()) == len(Cause)
    assert "default" not in card.blocks[0]
    assert "Back to the defaults" not in [button.label for button in card.buttons]


def test_what_was_set_stands_beside_the_default_with_what_it_summed_to_and_what_it_did() -> None:
    tuning = read_figures("scoring error 1-3", read_priors("recessive 100, dominant 50", DEFAULT)[0])
    was = Stood(Word.OPEN, Cause.RECESSIVE, Fraction(1, 2))
    noted = Noted(was, Stood(Word.LEANING, Cause.RECESSIVE, Fraction(9, 10)), new=True)
    card = priors_card(Priors(TRAIT, tuning, Fraction(3, 2), event=7), noted)
    assert_card_fits(card)
    assert "Together they came to 150 %, so I brought all to 100 %." in card.lead
    assert card.blocks[0] == "ember is now *leaning*: recessive, 90 % (was 50 %)."
    assert "(default 30 %)" in card.blocks[1]
    assert "scoring error: 1 % to 3 % (default 0.2 % or 2 %)" in card.blocks[2]
    assert {"Back to the defaults", "Undo"} <= {button.label for button in card.buttons}
    assert "the defaults again" in priors_card(Priors(TRAIT, DEFAULT, event=8)).lead


def test_help_has_the_table_of_explanations_from_the_engines_own_figures() -> None:
    *rows, tried = explanations()
    assert len(rows) == len(PRIORS) == 12
    assert "*supported* was wrong in 16 of 89" in tried
    for row, cause in zip(rows, Cause, strict=True):
        assert f", {PRIORS[cause] * 100:g} %: " in row
        assert PREDICTS[cause][1:] in row
    card = help_card(Guide(Subject.EXPLANATIONS, frozenset(), None, None, None, "ember"))
    assert_card_fits(card)
    text = "\n".join(pages(card))
    assert all(row in text for row in rows)
