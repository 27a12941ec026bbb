"""Simultaneous intervals for the shares of many classes: Sison & Glaz 1995 (JASA 90:366-369)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from genetics.errors import OutOfRange
from genetics.fit_counts import check_counts
from genetics.intervals import Interval, error_of


def sison_glaz(counts: Sequence[int], confidence: float = 0.95) -> tuple[Interval, ...]:
    """Intervals of one width for all classes together, best for seven classes and more with counts of five and more.

    The counts are taken as Poisson numbers that sum to their total; the sum of the truncated numbers is approximated by
    an Edgeworth series (as published; May & Johnson 2000, J. Stat. Softw. 5(6)). Raises OutOfRange for counts that cannot
    be, for fewer than two classes with young, and for a confidence outside 0.5 and 1.

    >>> [f"{one.low:.4f} to {one.high:.4f}" for one in sison_glaz((56, 72, 73, 59, 62, 87, 58))][0]
    '0.0792 to 0.1644'
    """
    check_counts(counts)
    goal = 1 - error_of(confidence)
    total = sum(counts)
    if sum(1 for count in counts if count) < 2:
        raise OutOfRange("classes with young", str(sum(1 for count in counts if count)), "2", "any")
    low, high = 0, total
    while high - low > 1:
        middle = (low + high) // 2
        if _held(counts, middle) < goal:
            low = middle
        else:
            high = middle
    reached = _held(counts, low)
    part = (goal - reached) / (_held(counts, low + 1) - reached)
    return tuple(
        Interval(max(0.0, (count - low) / total), min(1.0, (count + low + 2 * part) / total)) for count in counts
    )


@dataclass(frozen=True, slots=True)
class _Truncated:
    """A Poisson number kept within bounds: the chance that it is, and its mean and central moments there."""

    inside: float
    mean: float
    second: float
    third: float
    fourth: float


def _held(counts: Sequence[int], width: int) -> float:
    """About P(every class stays within ± width of its count | shares as observed)."""
    total = sum(counts)
    # The series fails at both ends: no width holds nothing, and a width of all young holds everything.
    if width in {0, total}:
        return float(width == total)
    kept = [_truncated(count, max(0, count - width), min(total, count + width)) for count in counts if count]
    variance = math.fsum(one.second for one in kept)
    x = (total - math.fsum(one.mean for one in kept)) / math.sqrt(variance)
    skew = math.fsum(one.third for one in kept) / variance**1.5
    excess = math.fsum(one.fourth - 3 * one.second**2 for one in kept) / variance**2
    series = (
        1
        + skew * (x**3 - 3 * x) / 6
        + excess * (x**4 - 6 * x**2 + 3) / 24
        + skew**2 * (x**6 - 15 * x**4 + 45 * x**2 - 15) / 72
    )
    density = math.exp(-x * x / 2) / math.sqrt(2 * math.pi) * series / math.sqrt(variance)
    of_total = math.exp(total * math.log(total) - total - math.lgamma(total + 1))
    held: float = math.prod(one.inside for one in kept) * density / of_total
    return held


def _truncated(rate: int, low: int, high: int) -> _Truncated:
    """From the factorial moments: E[X(X − 1)…(X − r + 1)] = rate^r·P(low − r ≤ X ≤ high − r)/P(low ≤ X ≤ high)."""
    inside = _between(rate, low, high)
    first, second, third, fourth = (rate**r * _between(rate, low - r, high - r) / inside for r in range(1, 5))
    mean = first
    return _Truncated(
        inside,
        mean,
        second + mean - mean**2,
        third + second * (3 - 3 * mean) + mean - 3 * mean**2 + 2 * mean**3,
        fourth
        + third * (6 - 4 * mean)
        + second * (7 - 12 * mean + 6 * mean**2)
        + mean
        - 4 * mean**2
        + 6 * mean**3
        - 3 * mean**4,
    )


def _between(rate: int, low: int, high: int) -> float:
    """P(low ≤ X ≤ high) of a Poisson number."""
    from scipy.special import pdtr  # noqa: PLC0415 - a plain question of odds must not wait for scipy

    if high < 0:
        return 0.0
    return float(pdtr(high, rate)) - (float(pdtr(low - 1, rate)) if low > 0 else 0.0)
