"""IntervalMethods for a share, from a count: five methods, because none is best at every size.

Newcombe 1998 (Stat. Med. 17:857-872) compares them. Wilson's is the one to show; Clopper–Pearson's never covers less than
it says and is the one to decide on.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from genetics.errors import OutOfRange
from genetics.fit_counts import check_counts
from genetics.limits import YOUNG


class IntervalMethod(StrEnum):
    """Ways to an interval for one share."""

    WILSON = "Wilson"
    """Score interval, Wilson 1927."""

    WILSON_CORRECTED = "Wilson, corrected"
    """The same with continuity correction, Newcombe 1998 method 4."""

    CLOPPER_PEARSON = "Clopper-Pearson"
    """Exact tails of half the error each, Clopper & Pearson 1934."""

    MID_P = "mid-p"
    """Exact tails that count the observed table half."""

    JEFFREYS = "Jeffreys"
    """Equal-tailed posterior under Beta(1/2, 1/2); the end at 0 of n is 0 and at n of n is 1 (Brown, Cai & DasGupta 2001)."""


@dataclass(frozen=True, slots=True)
class Interval:
    """An interval for a share: 0 ≤ low ≤ high ≤ 1.

    >>> Interval(0.2, 0.3).holds(0.25)
    True
    """

    low: float
    high: float

    def holds(self, share: float) -> bool:
        """Whether a share lies inside, ends included."""
        return self.low <= share <= self.high


def share_interval(
    wanted: int, total: int, method: IntervalMethod = IntervalMethod.WILSON, confidence: float = 0.95
) -> Interval:
    """An interval for the share of which `wanted` of `total` were seen. Of nothing it is 0 to 1.

    Raises OutOfRange unless 0 ≤ wanted ≤ total ≤ 100,000 and 0.5 ≤ confidence < 1.

    >>> found = share_interval(81, 263)
    >>> f"{found.low:.4f} to {found.high:.4f}"
    '0.2553 to 0.3662'
    """
    if not 0 <= total <= YOUNG:
        raise OutOfRange("young", str(total), "0", str(YOUNG))
    if not 0 <= wanted <= total:
        raise OutOfRange("count", str(wanted), "0", str(total))
    error = error_of(confidence)
    if total == 0:
        return Interval(0.0, 1.0)
    # The upper end is the lower end of the other class: ends at 0 and 1 are exact in both.
    return Interval(_lower(method, wanted, total, error), 1 - _lower(method, total - wanted, total, error))


def goodman(counts: Sequence[int], confidence: float = 0.95) -> tuple[Interval, ...]:
    """Simultaneous intervals for the shares of all classes: Goodman 1965 (Technometrics 7:247-254).

    The chance that all hold together is about `confidence`. Raises OutOfRange for counts that cannot be.

    >>> [f"{one.low:.3f} to {one.high:.3f}" for one in goodman((9, 3, 4))]
    ['0.291 to 0.801', '0.053 to 0.487', '0.084 to 0.548']
    """
    check_counts(counts)
    total = sum(counts)
    if total == 0:
        return (Interval(0.0, 1.0),) * len(counts)
    error = error_of(confidence) / len(counts)
    return tuple(Interval(_wilson(count, total, error), 1 - _wilson(total - count, total, error)) for count in counts)


def error_of(confidence: float) -> float:
    """What a confidence leaves over. Raises OutOfRange unless 0.5 ≤ confidence < 1.

    >>> round(error_of(0.95), 10)
    0.05
    """
    if not 0.5 <= confidence < 1:
        raise OutOfRange("confidence", str(confidence), "0.5", "below 1")
    return 1 - float(confidence)


def _normal(error: float) -> float:
    return NormalDist().inv_cdf(1 - error / 2)


def _lower(method: IntervalMethod, wanted: int, total: int, error: float) -> float:
    match method:
        case IntervalMethod.WILSON:
            return _wilson(wanted, total, error)
        case IntervalMethod.WILSON_CORRECTED:
            return _wilson_corrected(wanted, total, error)
        case IntervalMethod.CLOPPER_PEARSON:
            return _clopper_pearson(wanted, total, error)
        case IntervalMethod.MID_P:
            return _mid_p(wanted, total, error)
        case IntervalMethod.JEFFREYS:
            return _jeffreys(wanted, total, error)


def _wilson(wanted: int, total: int, error: float) -> float:
    if wanted == 0:
        return 0.0
    z = _normal(error)
    spread = z * math.sqrt(z * z + 4 * wanted * (total - wanted) / total)
    return max(0.0, (2 * wanted + z * z - spread) / (2 * (total + z * z)))


def _wilson_corrected(wanted: int, total: int, error: float) -> float:
    if wanted == 0:
        return 0.0
    z, share = _normal(error), wanted / total
    inner = z * z - 2 - 1 / total + 4 * share * (total * (1 - share) + 1)
    return max(0.0, (2 * wanted + z * z - 1 - z * math.sqrt(max(0.0, inner))) / (2 * (total + z * z)))


def _clopper_pearson(wanted: int, total: int, error: float) -> float:
    return _beta_quantile(error / 2, wanted, total - wanted + 1) if wanted else 0.0


def _jeffreys(wanted: int, total: int, error: float) -> float:
    return _beta_quantile(error / 2, wanted + 0.5, total - wanted + 0.5) if wanted else 0.0


def _mid_p(wanted: int, total: int, error: float) -> float:
    """The share at which P(more) + P(as many)/2 is half the error: between the exact ends that count all and none."""
    if wanted == 0:
        return 0.0
    from scipy.special import betainc  # noqa: PLC0415 - a plain question of odds must not wait for scipy

    def excess(share: float) -> float:
        # P(X ≥ k | share) is the incomplete beta function; P(X > k) likewise, and 0 for k = n.
        more = float(betainc(wanted + 1, total - wanted, share)) if wanted < total else 0.0
        return (float(betainc(wanted, total - wanted + 1, share)) + more) / 2 - error / 2

    return _root(excess, 0.0, 1.0)


def _beta_quantile(chance: float, a: float, b: float) -> float:
    from scipy.special import betaincinv  # noqa: PLC0415 - a plain question of odds must not wait for scipy

    return float(betaincinv(a, b, chance))


def _root(rising: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function passes 0, to the last bit that halving can tell."""
    while True:
        middle = (low + high) / 2
        if not low < middle < high:
            return middle
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
