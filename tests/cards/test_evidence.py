"""A verdict in words: nothing is certain, every explanation and every lack has its words."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from bot.cards.evidence import evidence_card
from bot.records import Dominance, TraitRow
from bot.services.evidence import Evidence
from bot.services.programme import Omitted
from bot.services.species import shipped_species
from bot.services.tuning import DEFAULT
from genetics import Appearance, Sex
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import BroodSays, Findings, Lack, Missing, Penetrance, Share, Standing, Verdict, Word
from genetics.evidence.programme import Brood, Counted, Dam, Founders, Mated, Pairing, Programme
from tests.support.screens import assert_card_fits

TRAIT = TraitRow(4, "ember", "e", Dominance.RECESSIVE, None, 1, datetime(2026, 3, 5, tzinfo=UTC), None, None)

PROGRAMME = Programme(
    groups=(Founders("g2", Sex.FEMALE), Founders("g1", Sex.MALE, odd=True, look=Appearance.FULL)),
    pairings=(Pairing("p1", (Dam("g2", Mated.UNKNOWN),), ("g1",)),),
    broods=(
        Brood("b1", "p1", "B-3", (Counted(Appearance.WILD, 24),)),
        Brood("b2", "p1", "B-3", (Counted(Appearance.FULL, 11), Counted(Appearance.WILD, 13))),
    ),
)


def findings(cause: Cause = Cause.RECESSIVE, word: Word = Word.SUPPORTED, lacks: tuple[Missing, ...] = ()) -> Findings:
    following = {Word.OPEN: Word.LEANING, Word.LEANING: Word.SUPPORTED, Word.SUPPORTED: Word.ESTABLISHED}.get(word)
    rest = next(one for one in Cause if one is not cause)
    return Findings(
        shares=(Share(cause, 0.3, -10.0, 0.97, 0.93, 0.0), Share(rest, 0.3, -13.0, 0.03, 0.07, 0.0)),
        left_out=(),
        bayes_factor=30.0,
        standings=(Standing("g1", (("1", 1.0),), 1.0, 1.0, 0.95),),
        broods=(BroodSays("b1", 0.8, 1.2, 0.6), BroodSays("b2", 0.9, 0.2, 0.001)),
        penetrance=Penetrance(0.9, 0.7, 0.99, ()),
        fit=0.5,
        verdict=Verdict(word, following, lacks),
        sampled=(),
        fresh=(),
    )


def evidence(found: Findings) -> Evidence:
    return Evidence(
        trait=TRAIT,
        species=shipped_species().named("Porcellio scaber"),
        programme=PROGRAMME,
        findings=found,
        tuning=DEFAULT,
        labels={"g1": "Rust"},
        codes={"b1": "P-1.1", "b2": "P-2.1"},
        omitted=(("P-2.2", Omitted.UNSCORED),),
        young=48,
        keepers=2,
        seq=9,
    )


def said(found: Findings) -> str:
    card = evidence_card(evidence(found))
    assert_card_fits(card)
    return "\n".join((card.lead, *card.blocks))


async def test_the_word_and_the_figure_come_first() -> None:
    lead = evidence_card(evidence(findings())).lead
    assert lead == "ember is *supported* to be **recessive**: **97 %**. On a sceptic's view 93 %."


@pytest.mark.parametrize("cause", Cause)
@pytest.mark.parametrize("word", Word)
async def test_every_explanation_and_every_word_can_be_said(cause: Cause, word: Word) -> None:
    text = said(findings(cause, word))
    assert "ember" in text
    assert word.value in text


@pytest.mark.parametrize("lack", Lack)
async def test_what_is_missing_for_the_next_word_is_said(lack: Lack) -> None:
    text = said(findings(lacks=(Missing(lack, 0.9, 0.95, "b1"),)))
    assert "To be called *established*: " in text


async def test_nothing_is_ever_certain() -> None:
    found = findings()
    sure = replace(found.shares[0], posterior=1.0, sceptic=1.0)
    none = replace(found.shares[1], posterior=0.0, sceptic=0.0)
    text = said(replace(found, shares=(sure, none), standings=(replace(found.standings[0], overall=1.0),)))
    assert "100 %" not in text
    assert "over 99.9 %" in text


async def test_what_each_brood_weighs_and_which_is_odd_is_said() -> None:
    text = said(findings())
    assert "· without P-1.1: 80 %" in text
    assert "· without P-2.1: 90 % · an odd outcome" in text


async def test_what_was_left_out_and_what_it_rests_on_is_said() -> None:
    text = said(findings())
    assert "48 scored young in 2 broods of *Porcellio scaber*, logged by 2 keepers" in text
    assert "Left out: P-2.2 (not scored yet)." in text
    assert "Chance to carry" in text
    assert "Rust: 95 %" in text
