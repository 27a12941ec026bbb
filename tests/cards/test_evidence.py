"""A verdict in words: nothing is certain, every explanation and every lack has its words."""

from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction

import pytest

from bot.cards import verbs
from bot.cards.evidence import BASIS, BROODS, OVERTURN, evidence_card
from bot.cards.evidence_pages import basis_card, broods_card, carriers_card, overturn_card
from bot.records import Dominance, TraitRow
from bot.services.carriers import Carrier, Carriers
from bot.services.evidence import Evidence
from bot.services.programme import Omitted
from bot.services.species import shipped_species
from bot.services.tuning import DEFAULT, Span, Tuning
from genetics import Appearance, Sex
from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.findings import (
    BroodSays,
    Findings,
    Lack,
    Missing,
    Penetrance,
    Share,
    Standing,
    Supposed,
    Verdict,
    Word,
)
from genetics.evidence.programme import Brood, Counted, Dam, Founders, Mated, Misread, Pairing, Programme
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
    assert "For *established*: " in text


async def test_nothing_is_ever_certain() -> None:
    found = findings()
    sure = replace(found.shares[0], posterior=1.0, sceptic=1.0)
    none = replace(found.shares[1], posterior=0.0, sceptic=0.0)
    text = said(replace(found, shares=(sure, none), standings=(replace(found.standings[0], overall=1.0),)))
    assert "100 %" not in text
    assert "over 99.9 %" in text


async def test_what_was_left_out_and_what_it_rests_on_is_said() -> None:
    text = said(findings())
    assert "48 scored young in 2 broods of *Porcellio scaber*, by 2 keepers." in text
    assert "1 brood left out." in text
    assert "own priors" not in text


async def test_other_priors_than_the_defaults_are_said() -> None:
    tuned = replace(evidence(findings()), tuning=Tuning(spans=(Span(Figure.PENETRANCE, Fraction(3, 5), Fraction(1)),)))
    assert "own priors or figures" in "\n".join(evidence_card(tuned).blocks)
    assert "penetrance: 60 % to 100 %" in "\n".join(basis_card(tuned).blocks)


async def test_a_sheen_comes_before_heredity() -> None:
    card = evidence_card(replace(evidence(findings()), sheen=("B-3",)))
    assert card.lead.startswith(
        "**Disease first: B-3 is on hold for a blue sheen.** A blue or violet sheen can be a virus"
    )
    assert card.blocks[0].startswith("ember is *supported*")


async def test_what_is_left_without_broods_that_a_stray_may_have_reached_is_said() -> None:
    one = replace(evidence(findings()), exposed=("P-2.1",), without=findings(Cause.DOMINANT, Word.OPEN))
    text = "\n".join(evidence_card(one).blocks)
    assert "Without P-2.1, scored after a stray or an open lid in the bin: *open*: likeliest dominant, 97 %." in text
    assert "nothing is left" in "\n".join(evidence_card(replace(one, without=None)).blocks)


async def test_a_verdict_is_a_phone_screen() -> None:
    """About 40 characters a line and 18 lines, with everything that can be in it but a sheen and a stray."""
    lacks = tuple(Missing(lack, 0.9, 0.95, "b1") for lack in (Lack.DAMS, Lack.PLANNED))
    card = evidence_card(evidence(findings(lacks=lacks)))
    lines = sum(-(-len(line) // 40) for line in "\n".join((card.lead, *card.blocks)).splitlines())
    assert lines <= 18


async def test_every_page_leads_to_the_others_and_fits() -> None:
    for make, here in ((broods_card, BROODS), (overturn_card, OVERTURN), (basis_card, BASIS)):
        card = make(evidence(findings()))
        assert_card_fits(card)
        pages = [button.argument for button in card.buttons if button.verb == verbs.EVIDENCE_PAGE]
        assert f"4.{here}" not in pages
        assert "4.verdict" in pages


async def test_what_each_brood_says_is_said_with_what_it_does_to_the_odds() -> None:
    card = broods_card(evidence(findings()))
    assert card.lead == "Without one brood, of the 97 % for recessive is left:"
    assert card.blocks[0] == (
        # By hand: 97:3 against 80:20 and against 90:10.
        "· without P-1.1: 80 % (odds ×8.1)\n· without P-2.1: 90 % (odds ×3.6, an odd outcome under it)"
    )


@pytest.mark.parametrize(
    ("dropped", "said"),
    [
        (0.97, "97 % (odds unmoved)"),
        (0.997, "99.7 % (odds ÷10)"),
        (0.2443, "24 % (odds ×100)"),
        (0.0, "under 0.1 % (odds ×over 10,000)"),
        (float("nan"), "P-1.1 the rest can't be weighed"),
    ],
)
async def test_what_a_brood_does_is_said_as_odds(dropped: float, said: str) -> None:
    found = replace(findings(), broods=(BroodSays("b1", dropped, 1.0, 0.6),))
    assert said in broods_card(evidence(found)).blocks[0]
    assert "P-1.1" in "\n".join(overturn_card(evidence(found)).blocks)


@pytest.mark.parametrize("cause", Cause)
async def test_what_could_overturn_every_explanation_is_said(cause: Cause) -> None:
    text = "\n".join((overturn_card(evidence(findings(cause))).lead, *overturn_card(evidence(findings(cause))).blocks))
    assert "It would speak against it: " in text
    assert "It hangs most on P-1.1: were that scored or written down wrong, 80 % is left." in text
    assert "Next likely: " in text


async def test_a_wild_looking_parent_that_must_carry_it_is_named() -> None:
    needs = tuple(Supposed(cause, "g2", 0.01, 0.97, ("b2",)) for cause in (Cause.RECESSIVE, Cause.NOT_INHERITED))
    one = replace(evidence(replace(findings(), supposed=needs)), labels={"g1": "Rust", "g2": "Pearl"})
    card = overturn_card(one)
    said = "Pearl carries it unseen: 1 % by looks alone, 97 % by its young (P-2.1)"
    assert card.blocks[0].startswith(f"· {said}\n· young of other males among those of Pearl")
    assert "P-2.1 came out as they do once in a hundred such broods" in card.blocks[0]
    assert f"That needs: {said}. Against it: " in card.blocks[-1]


async def test_the_assumptions_and_the_measured_scoring_error_are_said() -> None:
    text = "\n".join(basis_card(evidence(findings())).blocks)
    assert "Left out: P-2.2 (not scored yet)." in text
    assert "nobody has measured it for this trait yet" in text
    assert "stored sperm" in text
    measured = replace(evidence(findings()), programme=replace(PROGRAMME, misread=Misread(1, 40)))
    assert "1 of 40 animals were scored differently" in "\n".join(basis_card(measured).blocks)


async def test_who_carries_it_is_said_with_and_without_other_males() -> None:
    rows = (
        Carrier("Rust", 1, shows=True, if_so=1.0, overall=0.97),
        Carrier("2 dams of P-2 from B-4", 2, shows=False, if_so=0.98, overall=0.95),
        Carrier("one wild-looking animal of B-6", 1, shows=False, if_so=0.66, overall=0.6, in_bin=True),
    )
    card = carriers_card(Carriers(evidence(findings()), rows, alone=True))
    assert_card_fits(card)
    assert "if it is recessive and its dams bred with nobody else, the second allowing for everything" in card.lead
    assert card.blocks == (
        "· 2 dams of P\\-2 from B\\-4 each: 98 %; 95 %\n· one wild\\-looking animal of B\\-6: 66 %; 60 %",
        "They show it: Rust.",
    )
    nobody = carriers_card(Carriers(evidence(findings(Cause.NOT_INHERITED)), (), alone=False))
    assert "it is not inherited" in nobody.lead
