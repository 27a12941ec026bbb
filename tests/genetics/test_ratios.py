"""Which simple ratios fit: all of them are told, and a lethal is not called early."""

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genetics.errors import OutOfRange
from genetics.exact_tests import exact_multinomial
from genetics.fit_counts import shares_of
from genetics.intervals import IntervalMethod, share_interval
from genetics.ratios import LETHAL_CONFIDENCE, LethalCall, Origin, ratios_of, simple_ratios

COUNTS = st.integers(2, 4).flatmap(
    lambda classes: st.lists(st.integers(0, 25), min_size=classes, max_size=classes).filter(any)
)


def test_every_ratio_is_in_lowest_terms_and_known_once() -> None:
    known = [one for classes in range(2, 10) for one in simple_ratios(classes)]
    assert len({one.terms for one in known}) == len(known)
    for one in known:
        assert math.gcd(*one.terms) == 1
        assert list(one.terms) == sorted(one.terms, reverse=True)
        assert one.origins
    assert {origin for one in known for origin in one.origins} == set(Origin)


@given(COUNTS)
@settings(max_examples=60, deadline=None)
def test_candidates_stand_by_their_likelihood(counts: list[int]) -> None:
    found = ratios_of(counts)
    heights = [one.log_likelihood for one in found.fits]
    assert heights == sorted(heights, reverse=True)
    assert found.fits[0].relative == 1
    for one in found.fits:
        assert 0 <= one.relative <= 1
        assert one.fit == exact_multinomial(counts, shares_of(one.ratio))
    assert all(one.fit.p > 0.05 for one in found.fitting)


@given(COUNTS, st.data())
@settings(max_examples=40, deadline=None)
def test_turning_the_classes_round_turns_the_ratios_round(counts: list[int], data: st.DataObject) -> None:
    order = data.draw(st.permutations(range(len(counts))))
    plain = {one.ratio: one.log_likelihood for one in ratios_of(counts).fits}
    turned = {one.ratio: one.log_likelihood for one in ratios_of([counts[at] for at in order]).fits}
    if len(counts) < 4:
        assert turned == pytest.approx({tuple(ratio[at] for at in order): height for ratio, height in plain.items()})
    else:
        assert sorted(turned.values()) == pytest.approx(sorted(plain.values()))


def test_twenty_four_young_fit_three_to_one_and_much_besides() -> None:
    found = ratios_of((18, 6))
    assert [one.ratio for one in found.fitting] == [(3, 1), (13, 3), (2, 1), (5, 3), (7, 1), (37, 27), (9, 7)]
    assert found.lethal is LethalCall.OPEN


@pytest.mark.parametrize("total", [12, 24, 48, 80, 105])
def test_no_count_of_so_few_young_supports_a_lethal(total: int) -> None:
    """106 young are the fewest that can leave 1:1 and 3:1 outside; of those it takes 67:39 exactly."""
    calls = {ratios_of((total - small, small)).lethal for small in range(total // 2 + 1)}
    assert LethalCall.SUPPORTED not in calls
    assert ratios_of((67, 39)).lethal is LethalCall.SUPPORTED


def test_a_lethal_is_supported_where_the_exact_interval_leaves_its_neighbours_outside() -> None:
    for counts in ((160, 80), (320, 160), (800, 435), (263, 100), (150, 50), (20, 19), (90, 0)):
        bounds = share_interval(counts[1], sum(counts), IntervalMethod.CLOPPER_PEARSON, LETHAL_CONFIDENCE)
        expected = LethalCall.UNSUPPORTED
        if bounds.holds(1 / 3):
            open_still = bounds.holds(1 / 4) or bounds.holds(1 / 2)
            expected = LethalCall.OPEN if open_still else LethalCall.SUPPORTED
        assert ratios_of(counts).lethal is expected, counts


def test_both_ways_round_are_candidates() -> None:
    assert ratios_of((6, 18)).fits[0].ratio == (1, 3)
    assert ratios_of((9, 21, 28)).fits[0].ratio in {
        (3, 4, 9),
        (9, 27, 28),
        (9, 28, 27),
        (3, 9, 4),
        (1, 1, 2),
        (1, 2, 1),
    }


def test_what_is_misread_is_compared_as_it_is_seen() -> None:
    half_missed = [[Fraction(1), Fraction(0)], [Fraction(1, 2), Fraction(1, 2)]]
    found = ratios_of((700, 100), read_as=half_missed)
    assert found.fits[0].ratio == (3, 1)
    assert found.lethal is LethalCall.UNSUPPORTED


def test_a_number_of_classes_without_simple_ratios_has_no_candidates() -> None:
    found = ratios_of((3, 4, 5, 6, 7, 8))
    assert (found.fits, found.fitting, found.lethal) == ((), (), None)
    assert len(found.intervals) == 6


def test_counts_that_say_nothing_are_refused() -> None:
    with pytest.raises(OutOfRange, match="young"):
        ratios_of((0, 0))
    with pytest.raises(OutOfRange, match="count"):
        ratios_of((3, -1))
