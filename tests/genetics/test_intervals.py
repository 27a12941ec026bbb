"""Intervals for a share: what they promise, and what a library says."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from genetics.errors import OutOfRange
from genetics.intervals import Interval, IntervalMethod, goodman, share_interval
from genetics.intervals_sison_glaz import sison_glaz

METHODS = st.sampled_from(IntervalMethod)
COUNTS = st.integers(1, 300).flatmap(lambda total: st.tuples(st.integers(0, total), st.just(total)))
SURE = st.sampled_from([0.5, 0.8, 0.95, 0.99, 0.999])


@given(COUNTS, METHODS, SURE)
@settings(deadline=None)
def test_an_interval_holds_the_share_that_was_seen(
    case: tuple[int, int], method: IntervalMethod, confidence: float
) -> None:
    wanted, total = case
    found = share_interval(wanted, total, method, confidence)
    assert 0 <= found.low <= wanted / total <= found.high <= 1


@given(COUNTS, METHODS, SURE)
@settings(deadline=None)
def test_the_other_class_has_the_mirrored_interval(
    case: tuple[int, int], method: IntervalMethod, confidence: float
) -> None:
    wanted, total = case
    found = share_interval(wanted, total, method, confidence)
    other = share_interval(total - wanted, total, method, confidence)
    assert (found.low, found.high) == pytest.approx((1 - other.high, 1 - other.low), abs=1e-12)


@given(COUNTS, METHODS)
@settings(deadline=None)
def test_more_confidence_is_a_wider_interval(case: tuple[int, int], method: IntervalMethod) -> None:
    narrow, wide = (share_interval(*case, method, confidence) for confidence in (0.9, 0.99))
    assert wide.low <= narrow.low
    assert narrow.high <= wide.high


@given(COUNTS, SURE)
@settings(deadline=None)
def test_three_of_them_agree_with_a_library(case: tuple[int, int], confidence: float) -> None:
    wanted, total = case
    library = stats.binomtest(wanted, total)
    for method, name in (
        (IntervalMethod.WILSON, "wilson"),
        (IntervalMethod.WILSON_CORRECTED, "wilsoncc"),
        (IntervalMethod.CLOPPER_PEARSON, "exact"),
    ):
        expected = library.proportion_ci(confidence, name)
        found = share_interval(wanted, total, method, confidence)
        assert (found.low, found.high) == pytest.approx((expected.low, expected.high), abs=1e-9), method


def test_of_nothing_everything_is_possible() -> None:
    for method in IntervalMethod:
        assert share_interval(0, 0, method) == Interval(0, 1)
    assert goodman((0, 0)) == (Interval(0, 1), Interval(0, 1))


def coverage(total: int, share: float, method: IntervalMethod) -> float:
    """P(the interval holds the share), summed over every count."""
    return sum(
        float(stats.binom.pmf(wanted, total, share))
        for wanted in range(total + 1)
        if share_interval(wanted, total, method).holds(share)
    )


@pytest.mark.parametrize("total", [5, 10, 24])
def test_clopper_pearson_never_covers_less_than_it_says(total: int) -> None:
    for step in range(1, 40):
        assert coverage(total, step / 40, IntervalMethod.CLOPPER_PEARSON) >= 0.95


@pytest.mark.parametrize(
    ("method", "least", "mean"),
    [
        (IntervalMethod.WILSON, 0.83, 0.95),
        (IntervalMethod.WILSON_CORRECTED, 0.94, 0.97),
        (IntervalMethod.MID_P, 0.93, 0.955),
        (IntervalMethod.JEFFREYS, 0.88, 0.945),
    ],
)
def test_the_others_cover_about_what_they_say(method: IntervalMethod, least: float, mean: float) -> None:
    """Newcombe 1998 and Brown, Cai & DasGupta 2001: right on average, below it for some shares near 0 and 1."""
    found = [coverage(20, step / 50, method) for step in range(1, 50)]
    assert min(found) >= least
    assert sum(found) / len(found) == pytest.approx(mean, abs=0.02)


def test_clopper_pearson_holds_what_neither_tail_rejects() -> None:
    from genetics.exact_tests import tails

    found = share_interval(100, 363, IntervalMethod.CLOPPER_PEARSON, 0.99)
    assert min(tails(100, 363, found.low + 1e-9)) > 0.005 > min(tails(100, 363, found.low - 1e-9))
    assert min(tails(100, 363, found.high - 1e-9)) > 0.005 > min(tails(100, 363, found.high + 1e-9))


@given(st.lists(st.integers(0, 60), min_size=2, max_size=8).filter(any))
def test_simultaneous_intervals_hold_what_was_seen_and_are_wider_than_single_ones(counts: list[int]) -> None:
    total = sum(counts)
    for count, found in zip(counts, goodman(counts), strict=True):
        single = share_interval(count, total)
        assert 0 <= found.low <= single.low <= count / total <= single.high <= found.high <= 1


def test_intervals_of_one_width_hold_what_was_seen() -> None:
    for counts in itertools.product(range(7), repeat=3):
        if sum(1 for count in counts if count) >= 2:
            for count, found in zip(counts, sison_glaz(counts), strict=True):
                assert 0 <= found.low <= count / sum(counts) <= found.high <= 1


def test_what_cannot_be_is_refused() -> None:
    for wanted, total in ((-1, 5), (6, 5), (1, -1), (0, 100_001)):
        with pytest.raises(OutOfRange):
            share_interval(wanted, total)
    for confidence in (0.0, 0.4, 1.0, 95, float("nan")):
        with pytest.raises(OutOfRange, match="confidence"):
            share_interval(1, 5, confidence=confidence)
    with pytest.raises(OutOfRange, match="classes with young"):
        sison_glaz((0, 5, 0))
    with pytest.raises(OutOfRange, match="count"):
        goodman((3, -1))
