"""Young to be born: the figures of the design, a simulation, and what must hold for any brood."""

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from genetics.errors import OutOfRange, SharesRefused, TooLarge
from genetics.survival import Born, Rearing, Wished, born_for, chance_from, of_one, one_of_each_sex, see_each
from genetics.survival_proof import homozygous_after, young_to_prove

QUARTER = Fraction(1, 4)
SURE = Fraction(95, 100)
REARINGS = st.builds(
    Rearing,
    st.integers(1, 40),
    st.sampled_from([Fraction(1, 20), Fraction(3, 10), Fraction(13, 20), Fraction(1)]),
    st.sampled_from([Fraction(0), Fraction(1, 10), Fraction(1, 4), Fraction(3, 4), Fraction(1)]),
)
SHARES = st.sampled_from([Fraction(1, 2), QUARTER, Fraction(3, 16), Fraction(1, 16)])


def to_see(share: Fraction, k: int, sure: Fraction) -> int:
    """The smallest n with P(at least k of n) ≥ sure, term by term."""
    n = k
    while sum(math.comb(n, i) * share**i * (1 - share) ** (n - i) for i in range(k)) > 1 - sure:
        n += 1
    return n


def test_eleven_scored_need_three_broods_where_independent_young_would_need_39() -> None:
    """Mean survival 0.3, broods of 27: 62 born."""
    assert to_see(QUARTER, 1, SURE) == 11
    assert born_for(of_one(QUARTER)) == Born(62, 3, 39, 1.0, 62, 3)


def test_one_of_each_sex_asks_for_more_the_rarer_the_males() -> None:
    """F2, 1/4 visuals: 28 scored at 1:1 (40 for 99 %), 39 at 30 % males, 59 at 20 %."""
    assert [see_each(one_of_each_sex(QUARTER, males), SURE) for males in (Fraction(1, 2), Fraction(3, 10), Fraction(1, 5))] == [28, 39, 59]  # fmt: skip
    half = Fraction(1, 2)
    assert see_each(one_of_each_sex(QUARTER, half), Fraction(99, 100)) == 40
    assert [see_each(one_of_each_sex(half, half), Fraction(sure, 100)) for sure in (95, 99)] == [13, 19]
    assert see_each(one_of_each_sex(Fraction(1, 16), half), SURE) == 116


@given(REARINGS, st.integers(0, 40))
@settings(deadline=None)
def test_survivors_are_a_distribution_with_the_stated_mean_and_likeness(rearing: Rearing, born: int) -> None:
    chances = rearing.survivors(born)
    mean = float(rearing.survival) * born
    assert len(chances) == born + 1
    assert sum(chances) == pytest.approx(1)
    assert sum(m * chance for m, chance in enumerate(chances)) == pytest.approx(mean)
    # Correlation of the fates of two young: variance = born·s·(1 − s)·(1 + (born − 1)·alike).
    variance = sum((m - mean) ** 2 * chance for m, chance in enumerate(chances))
    survival, alike = float(rearing.survival), float(rearing.alike)
    expected = born * survival * (1 - survival) * (1 + max(0, born - 1) * alike)
    assert variance == pytest.approx(expected, abs=1e-9)


def test_survivors_agree_with_a_library() -> None:
    assert Rearing().survivors(27) == pytest.approx(
        [float(one) for one in stats.betabinom.pmf(range(28), 27, 0.9, 2.1)]
    )


@given(SHARES, st.integers(1, 3), REARINGS)
@settings(max_examples=40, deadline=None)
def test_the_number_is_the_smallest(share: Fraction, k: int, rearing: Rearing) -> None:
    found = born_for(of_one(share), k, 0.95, rearing)
    assert found.young is not None
    assert chance_from(of_one(share), found.young, k, rearing) >= 0.95
    assert chance_from(of_one(share), found.young - 1, k, rearing) < 0.95
    assert found.broods == -(-found.young // rearing.brood)


@given(SHARES, REARINGS)
@settings(max_examples=40, deadline=None)
def test_broods_that_fare_alike_need_more_young(share: Fraction, rearing: Rearing) -> None:
    found = born_for(of_one(share), 1, 0.95, rearing)
    assert found.young is not None
    assert found.by_itself is not None
    assert found.by_itself <= found.young
    if rearing.alike == 0 or rearing.brood == 1:
        assert found.by_itself == found.young


@pytest.mark.parametrize("k", [1, 2, 5])
@pytest.mark.parametrize("share", [Fraction(1, 2), QUARTER, Fraction(1, 16)])
def test_when_all_survive_the_number_born_is_the_number_to_see(share: Fraction, k: int) -> None:
    everything = Rearing(survival=Fraction(1))
    assert born_for(of_one(share), k, SURE, everything).young == to_see(share, k, SURE)


def test_a_simulation_agrees() -> None:
    """Broods drawn one by one: survival from a beta distribution, young from it, visuals from those."""
    random = np.random.default_rng(9)
    runs, born = 40_000, 62
    visuals = np.zeros(runs, dtype=int)
    males = np.zeros(runs, dtype=int)
    for size in (27, 27, 8):
        survivors = random.binomial(size, random.beta(0.9, 2.1, runs))
        seen = random.binomial(survivors, 0.25)
        visuals += seen
        males += random.binomial(seen, 0.3)
    error = 4 / np.sqrt(runs) / 2
    for k in (1, 2, 4):
        assert chance_from(of_one(QUARTER), born, k) == pytest.approx(float(np.mean(visuals >= k)), abs=error)
    both = float(np.mean((males > 0) & (visuals > males)))
    assert chance_from(one_of_each_sex(QUARTER, Fraction(3, 10)), born) == pytest.approx(both, abs=error)


def test_an_uncertain_parent_has_a_ceiling() -> None:
    """A 2/3 het × visual: no number of broods makes a visual 95 % sure; if it does carry, two broods do."""
    wished = (Wished(Fraction(2, 3), (Fraction(1, 2),)), Wished(Fraction(1, 3), (Fraction(0),)))
    found = born_for(wished)
    assert (found.young, found.broods, found.by_itself) == (None, None, None)
    assert found.ceiling == pytest.approx(2 / 3)
    assert found.young_if_possible == born_for(of_one(Fraction(1, 2))).young == 40
    assert found.broods_if_possible == 2
    assert see_each(wished, SURE) is None
    # 2/3·(1 − (1/2)^n) ≥ 3/5
    assert see_each(wished, Fraction(3, 5)) == 4
    below = born_for(wished, 1, 0.6)
    assert below.young is not None
    assert chance_from(wished, below.young) >= 0.6 > chance_from(wished, below.young - 1)
    assert born_for(wished, 1, Fraction(2, 3)).young is None
    assert chance_from(wished, 5_000) == pytest.approx(2 / 3, abs=1e-6)


def test_a_ceiling_is_met_only_by_what_is_certain() -> None:
    wished = (Wished(Fraction(2, 3), (Fraction(1),)), Wished(Fraction(1, 3), (Fraction(0),)))
    assert see_each(wished, Fraction(2, 3)) == 1
    nearly = (Wished(Fraction(2, 3), (Fraction(1, 2),)), Wished(Fraction(1, 3), (Fraction(0),)))
    assert see_each(nearly, Fraction(2, 3)) is None


def test_what_no_parents_give_is_never_born() -> None:
    nothing = of_one(Fraction(0))
    assert born_for(nothing) == Born(None, None, None, 0.0, None, None)
    assert see_each(nothing, SURE) is None


@given(st.lists(st.integers(1, 6), min_size=1, max_size=3), st.integers(6, 18), st.integers(0, 6))
@settings(max_examples=30, deadline=None)
def test_one_of_each_is_what_counting_all_outcomes_says(terms: list[int], whole: int, number: int) -> None:
    whole = max(whole, sum(terms))
    shares = tuple(Fraction(term, whole) for term in terms)
    others = 1 - sum(shares)
    found = Fraction(0)
    for young in itertools.product(range(len(shares) + 1), repeat=number):
        if set(range(len(shares))) <= set(young):
            chance = Fraction(1)
            for one in young:
                chance *= (*shares, others)[one]
            found += chance
    wished = (Wished(Fraction(1), shares),)
    # All survive, so how many broods they are in does not matter.
    for brood in (1, 2, 27):
        everything = Rearing(brood, Fraction(1))
        assert chance_from(wished, number, 1, everything) == pytest.approx(float(found), abs=1e-12)
    if 0 < found < 1:
        assert see_each(wished, found) == number


def test_clean_young_of_a_wild_mate_prove_a_dominant() -> None:
    """Prior 1/3: five make it 94 %, six 97, eight 99."""
    third = Fraction(1, 3)
    assert [homozygous_after(third, clean) for clean in (0, 5, 6, 8)] == [third, Fraction(16, 17), Fraction(32, 33), Fraction(128, 129)]  # fmt: skip
    assert [round(float(100 * homozygous_after(third, clean))) for clean in (5, 6, 8)] == [94, 97, 99]
    assert [young_to_prove(third, Fraction(sure, 100)) for sure in (90, 95, 99)] == [5, 6, 8]
    assert young_to_prove(Fraction(99, 100), SURE) == 0
    # A het mate hides more: three quarters of its young with a het show.
    assert young_to_prove(third, SURE, Fraction(3, 4)) == 13


@given(
    st.fractions(Fraction(1, 100), Fraction(99, 100), max_denominator=100),
    st.fractions(Fraction(1, 2), Fraction(99, 100), max_denominator=100),
    st.fractions(0, Fraction(19, 20), max_denominator=20),
)
def test_the_proof_is_the_smallest(prior: Fraction, sure: Fraction, shows: Fraction) -> None:
    number = young_to_prove(prior, sure, shows)
    assert homozygous_after(prior, number, shows) >= sure
    assert number == 0 or homozygous_after(prior, number - 1, shows) < sure


def test_what_cannot_be_is_refused() -> None:
    for brood, survival, alike in (
        (0, QUARTER, QUARTER),
        (27, Fraction(0), QUARTER),
        (27, 1.5, QUARTER),
        (27, QUARTER, -1),
    ):
        with pytest.raises(OutOfRange):
            Rearing(brood, survival, alike)
    with pytest.raises(OutOfRange, match="k is 0"):
        born_for(of_one(QUARTER), 0)
    with pytest.raises(OutOfRange, match="k is 2"):
        born_for(one_of_each_sex(QUARTER, QUARTER), 2)
    with pytest.raises(OutOfRange, match="confidence"):
        born_for(of_one(QUARTER), 1, 1)
    with pytest.raises(OutOfRange, match="parts"):
        born_for(())
    with pytest.raises(OutOfRange, match="wanted classes"):
        see_each((Wished(Fraction(1), (Fraction(1, 10),) * 7),), SURE)
    with pytest.raises(OutOfRange, match="young born"):
        chance_from(of_one(QUARTER), -1)
    with pytest.raises(OutOfRange, match="young to be born is more than 100000"):
        born_for(of_one(Fraction(1, 100_000)))
    with pytest.raises(SharesRefused, match="weights that sum"):
        born_for((Wished(Fraction(1, 2), (QUARTER,)),))
    with pytest.raises(SharesRefused, match="sum to at most 1"):
        born_for((Wished(Fraction(1), (Fraction(3, 4), Fraction(1, 2))),))
    with pytest.raises(TooLarge) as refused:
        born_for(of_one(QUARTER), 200, 0.95, Rearing(brood=1000))
    assert (refused.value.unit, refused.value.cost) == ("parts", 840_000)
    for prior, clean, shows in ((Fraction(2), 1, QUARTER), (QUARTER, -1, QUARTER), (QUARTER, 1, Fraction(1))):
        with pytest.raises(OutOfRange):
            homozygous_after(prior, clean, shows)
    with pytest.raises(OutOfRange, match="prior"):
        young_to_prove(Fraction(0), SURE)
