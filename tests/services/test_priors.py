"""Priors and figures of the weighing: as they are typed, as they are weighed with, and as they are undone."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.bins import NewBin, open_bin
from bot.services.broods import NewBrood, log_brood
from bot.services.evidence import evidence_of
from bot.services.priors import reset_priors, set_priors, show_priors
from bot.services.refusals import Refusal, StewardsOnly, WordNotKnown
from bot.services.refusals_evidence import PriorsNotRead, SpanNotPossible
from bot.services.refusals_traits import NoSuchTrait
from bot.services.species_cards import set_card
from bot.services.traits import define_trait
from bot.services.tuning import DEFAULT, Span, default_priors
from bot.services.tuning_text import name_of_cause, read_figures, read_priors
from bot.services.undo import undo
from bot.services.verdict_moves import moves_of_undo, renoted
from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.findings import LeftOut
from tests.support.asking import ELSEWHERE, MOSS, Asking


def test_the_named_ones_are_as_typed_and_the_others_share_the_rest_as_before() -> None:
    tuning, came = read_priors("not inherited 50, recessive 20 %", DEFAULT)
    assert came == 1
    assert tuning.shares[Cause.NOT_INHERITED] == Fraction(1, 2)
    assert tuning.shares[Cause.RECESSIVE] == Fraction(1, 5)
    usual = default_priors()
    # By hand: 30 % for those that had 35 % before.
    assert tuning.shares[Cause.DOMINANT] == Fraction(8, 100) * Fraction(30, 35)
    assert (
        tuning.shares[Cause.THRESHOLD] / tuning.shares[Cause.MATERNAL] == usual[Cause.THRESHOLD] / usual[Cause.MATERNAL]
    )


def test_priors_that_come_to_more_than_all_are_brought_to_the_sum_one_and_that_is_told() -> None:
    tuning, came = read_priors("recessive 100; dominant 50", DEFAULT)
    rest = 1 - Fraction(30, 100) - Fraction(8, 100)
    assert came == Fraction(3, 2) + rest
    assert tuning.shares[Cause.RECESSIVE] == 1 / came


@given(
    st.lists(st.tuples(st.sampled_from(Cause), st.integers(0, 150)), min_size=1, max_size=12, unique_by=lambda p: p[0])
)
def test_whatever_is_typed_sums_to_one_or_is_refused(typed: list[tuple[Cause, int]]) -> None:
    text = ", ".join(f"{name_of_cause(cause)} {figure}" for cause, figure in typed)
    try:
        tuning, _ = read_priors(text, DEFAULT)
    except PriorsNotRead:
        assert sum(figure for _, figure in typed) == 0 or len(typed) >= 11
    else:
        assert sum(tuning.shares.values()) == 1
        for cause, figure in typed:
            assert (tuning.shares[cause] == 0) == (figure == 0)


def test_default_takes_back_what_was_set() -> None:
    tuning = read_figures("penetrance 60-100, survival 80", read_priors("recessive 40", DEFAULT)[0])
    assert read_priors("default", tuning)[0].priors == ()
    assert read_figures("defaults", tuning).spans == ()
    assert read_figures("survival default", tuning).spans == (Span(Figure.PENETRANCE, Fraction(3, 5), Fraction(1)),)


@pytest.mark.parametrize(
    "text", ["penetrance 60-100", "Penetrance: 60 % to 100 %", "penetrance from 60 to 100", "pen = 60–100 %"]
)
def test_a_range_is_read_as_people_type_it(text: str) -> None:
    assert read_figures(text, DEFAULT).spans == (Span(Figure.PENETRANCE, Fraction(3, 5), Fraction(1)),)


@pytest.mark.parametrize(
    ("read", "text", "refusal"),
    [
        (read_priors, "recessive", PriorsNotRead),
        (read_priors, ", ;", PriorsNotRead),
        (read_priors, "green 20", WordNotKnown),
        (read_priors, "two genes 20", WordNotKnown),
        (read_figures, "penetrance", PriorsNotRead),
        (read_figures, "colour 20", WordNotKnown),
        (read_figures, "penetrance 100-60", SpanNotPossible),
        (read_figures, "scoring error 60", SpanNotPossible),
    ],
)
def test_what_is_no_prior_is_refused(read: object, text: str, refusal: type[Refusal]) -> None:
    assert callable(read)
    with pytest.raises(refusal):
        read(text, DEFAULT)


async def test_a_steward_sets_priors_and_takes_them_back(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    await log_brood(asking.desk, asking.by(), NewBrood(of="B-1", scored="2 ember 9 wild, 9 weeks"))
    before = await evidence_of(asking.desk, asking.by(), "ember")
    request = asking.by(steward=True)
    told = await set_priors(asking.desk, request, name="ember", priors="not inherited 80", figures="penetrance 90-100")
    assert (await set_priors(asking.desk, request, name="ember", priors="not inherited 80")) == told
    noted = await renoted(asking.desk, asking.by(steward=True), told.trait.id)
    assert noted is not None
    assert noted.new
    after = await evidence_of(asking.desk, asking.by(), "ember")
    shares = {share.cause: share.prior for share in after.findings.shares}
    weighed = 1 - sum(told.tuning.shares[cause] for cause, _ in after.findings.left_out)
    assert shares[Cause.NOT_INHERITED] == pytest.approx(float(Fraction(4, 5) / weighed))
    assert after.findings.leader.posterior != before.findings.leader.posterior
    again = await reset_priors(asking.desk, asking.by(steward=True), told.trait.id)
    assert again.tuning == DEFAULT
    assert (await evidence_of(asking.desk, asking.by(), "ember")).findings is before.findings
    undone = await undo(asking.desk, asking.by(steward=True), again.event or 0)
    assert (await show_priors(asking.desk, asking.by(), "ember")).tuning == told.tuning
    ((_, moved),) = await moves_of_undo(asking.desk, asking.by(), undone.event)
    assert moved.now is not None


async def test_nobody_else_sets_priors_and_no_other_server_has_them(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    with pytest.raises(StewardsOnly):
        await set_priors(asking.desk, asking.by(), name="ember", priors="recessive 50")
    with pytest.raises(StewardsOnly):
        await reset_priors(asking.desk, asking.by(), 1)
    elsewhere = asking.by(MOSS, server=ELSEWHERE, steward=True)
    with pytest.raises(NoSuchTrait):
        await set_priors(asking.desk, elsewhere, name="ember", priors="recessive 50")
    assert len(await asking.events()) == 1


async def test_the_servers_own_species_card_says_how_sex_is_inherited(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    await log_brood(asking.desk, asking.by(), NewBrood(of="B-1", scored="2 ember 9 wild, 9 weeks"))
    left = dict((await evidence_of(asking.desk, asking.by(), "ember")).findings.left_out)
    assert left[Cause.SEX_LINKED] is LeftOut.NO_CHROMOSOME
    await set_card(asking.desk, asking.by(steward=True), species="Porcellio scaber", sex="ZZ/ZW")
    assert Cause.SEX_LINKED not in dict((await evidence_of(asking.desk, asking.by(), "ember")).findings.left_out)
