"""χ² and G, one brood and many, and counts seen through a scorer who errs."""

import itertools
import math
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from genetics.errors import NeverHappens, OutOfRange, SharesRefused
from genetics.exact_tests import Ordering
from genetics.fit import Measured, broods_against, chi_square, likelihood_ratio, upper_tail
from genetics.fit_counts import misread, shares_of, tally
from genetics.fit_report import counts_against
from tests.support.count_strategies import ratios, small_tallies

THREE_TO_ONE = shares_of((3, 1))
MEASURED = st.sampled_from(Measured)


@given(small_tallies())
@settings(max_examples=60, deadline=None)
def test_both_statistics_agree_with_a_library(case: tuple[tuple[int, ...], tuple[Fraction, ...]]) -> None:
    counts, shares = case
    if not sum(counts):
        return
    expected = [float(share * sum(counts)) for share in shares]
    pearson = stats.power_divergence(counts, expected)
    g = stats.power_divergence(counts, expected, lambda_="log-likelihood")
    for found, library in ((chi_square(counts, shares), pearson), (likelihood_ratio(counts, shares), g)):
        assert found.value == pytest.approx(float(library.statistic), abs=1e-9)
        assert found.df == len(counts) - 1
        assert found.applicable == (min(expected) >= 5)
        if found.applicable:
            assert found.p == pytest.approx(float(library.pvalue))
        else:
            assert found.p is None


@pytest.mark.parametrize("df", [1, 2, 3, 4, 5, 10, 51, 84, 200, 1001])
def test_the_tail_of_chi_square_agrees_with_a_library(df: int) -> None:
    for value in (1e-9, 0.01, 1.0, 5.0, 30.0, 84.0, 200.0, 700.0, 1500.0):
        assert upper_tail(value, df) == pytest.approx(float(stats.chi2.sf(value, df)), rel=1e-11), value
    assert upper_tail(0, df) == 1
    assert upper_tail(math.inf, df) == 0


def test_an_expectation_of_five_is_enough_and_less_is_not() -> None:
    assert chi_square((15, 5), THREE_TO_ONE).applicable
    assert chi_square((14, 5), THREE_TO_ONE).p is None


def test_a_young_that_cannot_be_is_infinitely_far_off() -> None:
    sure = (Fraction(1), Fraction(0))
    assert chi_square((9, 1), sure).value == math.inf
    assert likelihood_ratio((9, 1), sure).value == math.inf
    assert (chi_square((10, 0), sure).value, chi_square((10, 0), sure).df, chi_square((10, 0), sure).p) == (0, 0, None)


BROODS = st.integers(2, 4).flatmap(
    lambda classes: st.tuples(
        st.lists(
            st.lists(st.integers(0, 30), min_size=classes, max_size=classes).filter(any).map(tuple),
            min_size=1,
            max_size=6,
        ),
        ratios(classes),
    )
)


@given(BROODS, MEASURED)
@settings(max_examples=80, deadline=None)
def test_the_sum_over_broods_is_the_pooled_part_and_heterogeneity(
    case: tuple[list[tuple[int, ...]], tuple[Fraction, ...]], measured: Measured
) -> None:
    broods, shares = case
    found = broods_against(broods, shares, measured, draws=50)
    assert found.total.value == pytest.approx(sum(one.value for one in found.each))
    assert found.total.value == pytest.approx(found.pooled.value + found.heterogeneity.value, abs=1e-9)
    assert found.total.df == found.pooled.df + found.heterogeneity.df == len(broods) * (len(shares) - 1)
    assert (found.by_shuffling is None) == (len(broods) == 1)


@given(BROODS)
@settings(max_examples=40, deadline=None)
def test_the_heterogeneity_of_g_does_not_ask_what_was_expected(
    case: tuple[list[tuple[int, ...]], tuple[Fraction, ...]],
) -> None:
    """G between broods is that of the table of broods by classes, as a library has it."""
    broods, shares = case
    seen = [column for column in zip(*broods, strict=True) if any(column)]
    if len(broods) > 1 and len(seen) > 1:
        table = list(zip(*seen, strict=True))
        library = stats.chi2_contingency(table, correction=False, lambda_="log-likelihood")
        found = broods_against(broods, shares, Measured.G, draws=50)
        assert found.heterogeneity.value == pytest.approx(float(library.statistic), abs=1e-9)


@pytest.mark.parametrize("measured", Measured)
def test_dealing_at_random_agrees_with_every_deal(measured: Measured) -> None:
    """Three small broods: every way to deal ten labelled young, one by one."""
    broods, shares = [(3, 0), (1, 3), (2, 1)], THREE_TO_ONE
    here = broods_against(broods, shares, measured, draws=40_000, seed=5)
    measure = chi_square if measured is Measured.PEARSON else likelihood_ratio
    young = range(10)
    wild = set(range(6))
    outcomes: Counter[bool] = Counter()
    for first in itertools.combinations(young, 3):
        rest = [one for one in young if one not in first]
        for second in itertools.combinations(rest, 4):
            third = [one for one in rest if one not in second]
            dealt = [(len(wild & set(brood)), len(brood) - len(wild & set(brood))) for brood in (first, second, third)]
            value = sum(measure(one, shares).value for one in dealt)
            outcomes[value >= here.total.value - 1e-9] += 1
    exact = outcomes[True] / outcomes.total()
    assert here.by_shuffling is not None
    assert abs(here.by_shuffling.p - exact) < 4 * here.by_shuffling.error + 1e-4


def test_dealing_out_is_the_same_under_the_same_seed() -> None:
    broods = [(14, 2), (5, 9), (7, 7)]
    assert broods_against(broods, THREE_TO_ONE, seed=3) == broods_against(broods, THREE_TO_ONE, seed=3)
    assert broods_against(broods, THREE_TO_ONE, seed=3) != broods_against(broods, THREE_TO_ONE, seed=4)


@pytest.mark.parametrize("measured", Measured)
def test_a_dealt_p_value_counts_the_brood_itself_and_has_a_binomial_error(measured: Measured) -> None:
    found = broods_against([(14, 2), (5, 9)], THREE_TO_ONE, measured, draws=99).by_shuffling
    assert found is not None
    assert found.p * 100 == pytest.approx(round(found.p * 100))
    assert found.error == pytest.approx(math.sqrt(found.p * (1 - found.p) / 99))
    # So far apart that of a hundred deals hardly one is as far: the brood itself stays.
    apart = broods_against([(30, 0), (0, 30)], THREE_TO_ONE, measured, draws=99).by_shuffling
    assert apart is not None
    assert (apart.p, apart.draws) == (0.01, 99)
    # A class that no young can be in changes nothing.
    wider = (*THREE_TO_ONE, Fraction(0))
    assert broods_against([(14, 2, 0), (5, 9, 0)], wider, measured, draws=99).by_shuffling == found


def test_two_broods_that_cancel_out_fit_together_and_not_apart() -> None:
    found = broods_against([(20, 0), (10, 10)], THREE_TO_ONE)
    assert found.pooled.value == 0
    assert found.heterogeneity.p is not None
    assert found.heterogeneity.p < 0.001
    assert found.by_shuffling is not None
    assert found.by_shuffling.p < 0.01


def test_broods_that_say_nothing_are_refused() -> None:
    with pytest.raises(OutOfRange, match="broods"):
        broods_against([], THREE_TO_ONE)
    with pytest.raises(OutOfRange, match="young of a brood"):
        broods_against([(3, 1), (0, 0)], THREE_TO_ONE)
    with pytest.raises(NeverHappens):
        broods_against([(3, 1), (2, 2)], (Fraction(1), Fraction(0)))
    with pytest.raises(SharesRefused):
        broods_against([(3, 1), (2, 2, 1)], THREE_TO_ONE)


@given(ratios(3), st.lists(ratios(4), min_size=3, max_size=3))
def test_misread_classes_still_sum_to_one(shares: tuple[Fraction, ...], rows: list[tuple[Fraction, ...]]) -> None:
    seen = misread(shares, rows)
    assert sum(seen) == 1
    assert len(seen) == 4


def test_a_perfect_scorer_changes_nothing_and_a_blind_one_everything() -> None:
    perfect = [[Fraction(int(i == j)) for j in range(4)] for i in range(4)]
    f2 = shares_of((9, 3, 3, 1))
    assert misread(f2, perfect) == f2
    assert misread(f2, [[Fraction(1, 4)] * 4] * 4) == (Fraction(1, 4),) * 4


def test_readings_that_are_no_distribution_are_refused() -> None:
    for rows in ([[1, 0]], [[1, 0], [Fraction(1, 2), Fraction(1, 3)]], [[1, 0], [1]]):
        with pytest.raises(SharesRefused):
            misread(THREE_TO_ONE, rows)


def test_the_likelihood_of_counts_is_that_of_a_library() -> None:
    found = tally((5, 2, 1), shares_of((1, 2, 1))).log_likelihood()
    assert found == pytest.approx(float(stats.multinomial.logpmf((5, 2, 1), 8, (0.25, 0.5, 0.25))))
    assert tally((1, 1), (1, 0)).log_likelihood() == -math.inf


def test_one_call_says_all_of_it() -> None:
    """24 young, 18 and 6: they fit 3:1, and 13:3 as well."""
    found = counts_against((18, 6), THREE_TO_ONE)
    assert found.fits
    assert (found.exact.p, found.exact.ordering) == (1, Ordering.PROBABILITY)
    assert (found.pearson.value, found.pearson.p) == (0, 1)
    assert {(3, 1), (13, 3), (2, 1)} <= {one.ratio for one in found.rivals.fitting}
    assert [one.holds(0.75) for one in found.intervals] == [True, False]


def test_a_stated_scoring_error_is_put_on_the_expectation_and_on_its_rivals() -> None:
    """A third of the visuals taken for wild turns 3:1 into 5:1 as it is seen."""
    a_third_missed = [[Fraction(1), Fraction(0)], [Fraction(1, 3), Fraction(2, 3)]]
    found = counts_against((500, 100), THREE_TO_ONE, read_as=a_third_missed)
    assert found.tally.shares == (Fraction(5, 6), Fraction(1, 6))
    assert found.fits
    assert not counts_against((500, 100), THREE_TO_ONE).fits
    assert found.rivals.fits[0].ratio == (3, 1)


def test_a_ratio_of_nothing_is_refused() -> None:
    for ratio in ((), (0, 0), (2, -1)):
        with pytest.raises(OutOfRange):
            shares_of(ratio)
