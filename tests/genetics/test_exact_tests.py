"""The exact multinomial test against a list of every table, and what a p-value must be."""

import math
from collections import defaultdict
from fractions import Fraction
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from genetics.errors import OutOfRange, SharesRefused
from genetics.exact_tests import Method, Ordering, exact_binomial, exact_multinomial, tails
from genetics.exact_tests_regions import Measure, drawn
from genetics.fit_counts import shares_of, tally
from tests.support.count_strategies import ratios, small_tallies, tables

ORDERINGS = st.sampled_from(Ordering)
F2 = shares_of((9, 3, 3, 1))


def chance(table: tuple[int, ...], shares: tuple[Fraction, ...]) -> Fraction:
    found = Fraction(math.factorial(sum(table)))
    for count, share in zip(table, shares, strict=True):
        found *= share**count / math.factorial(count)
    return found


def distance(table: tuple[int, ...], shares: tuple[Fraction, ...], ordering: Ordering) -> Fraction | float:
    """How far off a table is, exact where that is possible."""
    if ordering is Ordering.PROBABILITY:
        return -chance(table, shares)
    pairs = list(zip(table, shares, strict=True))
    if ordering is Ordering.CHI_SQUARE:
        return sum((count * count / share for count, share in pairs), Fraction(0))
    return math.fsum(count * math.log(count / share) for count, share in pairs if count)


def by_every_table(counts: tuple[int, ...], shares: tuple[Fraction, ...], ordering: Ordering) -> Fraction:
    here = distance(counts, shares, ordering)
    slack = 1e-9 if isinstance(here, float) else 0
    return sum(
        (
            chance(table, shares)
            for table in tables(sum(counts), len(counts))
            if distance(table, shares, ordering) >= here - slack
        ),
        Fraction(0),
    )


@given(small_tallies(), ORDERINGS)
@settings(max_examples=120, deadline=None)
def test_the_sum_by_intervals_is_the_sum_over_every_table(
    case: tuple[tuple[int, ...], tuple[Fraction, ...]], ordering: Ordering
) -> None:
    counts, shares = case
    found = exact_multinomial(counts, shares, ordering)
    expected = by_every_table(counts, shares, ordering)
    assert found.tables == math.comb(sum(counts) + len(counts) - 1, len(counts) - 1)
    if found.method is Method.BOUNDED:
        assert expected <= found.p
    else:
        assert (found.method, found.error) == (Method.COUNTED, 0)
        assert found.p == pytest.approx(float(expected), rel=1e-9)


@given(st.integers(2, 3), st.integers(1, 12), ORDERINGS, st.data())
@settings(max_examples=30, deadline=None)
def test_a_p_value_of_alpha_or_less_is_as_rare_as_alpha(
    classes: int, total: int, ordering: Ordering, data: st.DataObject
) -> None:
    """P(p ≤ α) ≤ α for every α that occurs, with no allowance but rounding: the sum over all tables."""
    shares = data.draw(ratios(classes))
    by_p: dict[float, Fraction] = defaultdict(Fraction)
    for table in tables(total, classes):
        by_p[exact_multinomial(table, shares, ordering).p] += chance(table, shares)
    reached = Fraction(0)
    for p in sorted(by_p):
        reached += by_p[p]
        assert float(reached) <= p * (1 + 1e-9)


@given(small_tallies(), ORDERINGS, st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_the_order_of_the_classes_does_not_matter(
    case: tuple[tuple[int, ...], tuple[Fraction, ...]], ordering: Ordering, random: Random
) -> None:
    pairs = list(zip(*case, strict=True))
    random.shuffle(pairs)
    counts, shares = [count for count, _ in pairs], [share for _, share in pairs]
    assert exact_multinomial(counts, shares, ordering).p == pytest.approx(exact_multinomial(*case, ordering).p)


def test_recorded_figures_of_another_program() -> None:
    """R's XNomial, by probability, χ² and likelihood ratio.

    One of the recorded figures, .1727205726, is 5e-9 off: the sum in whole numbers over the tables with
    a² + 3b² + 3c² + 9d² ≥ 5904 gives the one below.
    """
    recorded = {
        (19, 11, 9, 1): (0.3636629783, 0.3742205119, 0.3464829429),
        (51, 27, 15, 7): (0.1806569778, 0.1727205675, 0.2129380964),
        (78, 42, 30, 10): (0.1021308334, 0.0932775793, 0.1176254582),
    }
    orderings = (Ordering.PROBABILITY, Ordering.CHI_SQUARE, Ordering.LIKELIHOOD_RATIO)
    for counts, expected in recorded.items():
        found = [exact_multinomial(counts, F2, ordering).p for ordering in orderings]
        assert found == pytest.approx(list(expected), abs=6e-11), counts
    three_classes = [exact_multinomial((11, 15, 14), shares_of((1, 2, 1)), ordering).p for ordering in orderings]
    assert three_classes == pytest.approx([0.2302153694, 0.2413913102, 0.2413913102], abs=6e-11)


@given(st.integers(0, 60), st.integers(0, 60), st.fractions(Fraction(1, 50), Fraction(49, 50), max_denominator=50))
@settings(max_examples=60, deadline=None)
def test_two_classes_agree_with_a_library(wanted: int, others: int, share: Fraction) -> None:
    if wanted + others:
        expected = stats.binomtest(wanted, wanted + others, float(share))
        assert exact_binomial(wanted, wanted + others, share).p == pytest.approx(expected.pvalue, rel=1e-6)
        below, above = tails(wanted, wanted + others, share)
        assert below == pytest.approx(float(stats.binom.cdf(wanted, wanted + others, float(share))), rel=1e-9)
        assert above == pytest.approx(float(stats.binom.sf(wanted - 1, wanted + others, float(share))), rel=1e-9)


@pytest.mark.parametrize("ordering", Ordering)
def test_two_classes_in_whole_numbers_and_by_regions_agree(ordering: Ordering) -> None:
    exact, floating = shares_of((3, 1)), (0.75, 0.25)
    for visual in range(0, 41, 4):
        counts = (40 - visual, visual)
        by_regions = exact_multinomial(counts, floating, ordering).p
        assert by_regions == pytest.approx(exact_multinomial(counts, exact, ordering).p, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("ordering", Ordering)
def test_drawn_tables_agree_with_all_tables_within_their_error(ordering: Ordering) -> None:
    counts = (51, 27, 15, 7)
    p, error = drawn(tally(counts, F2), Measure(ordering), seed=7, draws=50_000)
    assert abs(p - exact_multinomial(counts, F2, ordering).p) < 4 * error


def test_where_tables_cannot_all_be_counted_they_are_drawn_under_a_seed() -> None:
    eight = shares_of((27, 9, 9, 9, 3, 3, 3, 1))
    counts = tuple(int(count) for count in np.random.default_rng(3).multinomial(400, [float(one) for one in eight]))
    found = [exact_multinomial(counts, eight, seed=seed, draws=20_000) for seed in (1, 1, 2)]
    assert [one.method for one in found] == [Method.DRAWN] * 3
    assert found[0] == found[1] != found[2]
    assert found[0].error == pytest.approx(math.sqrt(found[0].p * (1 - found[0].p) / 20_000))
    assert found[0].p * 20_001 == pytest.approx(round(found[0].p * 20_001))
    assert abs(found[0].p - found[2].p) < 6 * found[0].error


def test_far_off_counts_are_bounded_without_a_sum() -> None:
    found = exact_multinomial((200, 180, 120, 56), F2)
    assert (found.method, found.error) == (Method.BOUNDED, 0)
    assert 0 < found.p < 1e-12
    assert exact_multinomial((200, 180, 120, 56), F2, Ordering.CHI_SQUARE).method is Method.COUNTED


def test_a_young_that_cannot_be_has_no_chance_and_an_empty_class_is_no_class() -> None:
    half = (Fraction(1, 2), Fraction(1, 2), Fraction(0))
    assert exact_multinomial((5, 5, 1), half).p == 0
    assert exact_multinomial((2, 8, 0), half) == exact_multinomial((2, 8), half[:2])
    assert exact_multinomial((7,), (1,)).p == 1
    assert exact_multinomial((0, 0), half[:2]).p == 1


def test_what_is_no_count_and_no_share_is_refused() -> None:
    with pytest.raises(OutOfRange, match="count is -1"):
        exact_multinomial((-1, 5), shares_of((1, 1)))
    with pytest.raises(OutOfRange, match="young is 100001"):
        exact_multinomial((100_000, 1), shares_of((1, 1)))
    with pytest.raises(OutOfRange, match="draws"):
        exact_multinomial((1, 1), shares_of((1, 1)), draws=0)
    with pytest.raises(SharesRefused, match="as many shares"):
        exact_multinomial((1, 2, 3), shares_of((1, 1)))
    with pytest.raises(SharesRefused, match="sum to 1"):
        exact_multinomial((1, 2), (Fraction(1, 2), Fraction(1, 3)))
    with pytest.raises(SharesRefused, match="within 0 and 1"):
        exact_multinomial((1, 2), (1.5, -0.5))
    with pytest.raises(SharesRefused, match="within 0 and 1"):
        exact_multinomial((1, 2), (math.nan, 0.5))
    with pytest.raises(OutOfRange, match="classes"):
        exact_multinomial((), ())


def test_tails_at_the_ends() -> None:
    assert tails(0, 5, Fraction(0)) == (1, 1)
    assert tails(2, 5, Fraction(0)) == (1, 0)
    assert tails(4, 5, Fraction(1)) == (0, 1)
    assert tails(5, 5, Fraction(1)) == (1, 1)


def test_small_questions_load_neither_numpy_nor_scipy() -> None:
    import subprocess
    import sys

    code = """
import sys
from fractions import Fraction
from genetics.exact_tests import exact_binomial
from genetics.fit import chi_square
from genetics.fit_counts import shares_of
from genetics.intervals import goodman, share_interval
from genetics.linkage_estimate import LinkageCounts, Mating, recombination
from genetics.ratios import ratios_of
from genetics.survival import born_for, of_one, one_of_each_sex, see_each
from genetics.survival_proof import young_to_prove

exact_binomial(18, 24, Fraction(3, 4)), chi_square((18, 6), shares_of((3, 1))), share_interval(6, 24), goodman((18, 6))
ratios_of((18, 6)), recombination([LinkageCounts((9, 1, 1, 9), Mating.TEST_COUPLING)]), born_for(of_one(Fraction(1, 4)))
see_each(one_of_each_sex(Fraction(1, 4), Fraction(1, 2)), Fraction(19, 20)), young_to_prove(Fraction(1, 3), Fraction(9, 10))
print(sorted({"numpy", "scipy"} & set(sys.modules)))
"""
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
