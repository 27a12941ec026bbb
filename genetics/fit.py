"""Pearson's χ² and G of counts against expected shares, one brood at a time, pooled, and between broods.

Pooling hides what single broods say, so both are given: the sum over broods splits into the fit of all young together
and the *heterogeneity* of the broods (Mather 1938, The Measurement of Linkage in Heredity; Snedecor & Cochran,
Statistical Methods). Broods of woodlice are small, so beside the χ² of heterogeneity stands a test that needs no large
expectations.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from genetics.errors import NeverHappens, OutOfRange
from genetics.fit_counts import Share, Tally, tally

LEAST = 5
"""The smallest expectation at which the χ² distribution is used (Cochran 1954)."""

BROODS = 1_000
"""Broods of one comparison (judgement)."""

DEALS = 20_000
"""How often young are dealt out anew: a standard error of at most 0.0036 (judgement)."""

_WORK = 20_000_000


class Measured(StrEnum):
    """Which statistic."""

    PEARSON = "Pearson's chi-square"
    G = "G"


@dataclass(frozen=True, slots=True)
class Statistic:
    """A statistic that follows χ² where expectations are large.

    value: 0 and more; infinite where a young stands in a class that has no share.
    df: degrees of freedom. smallest: the smallest expectation in it.

    >>> from genetics.fit_counts import shares_of
    >>> chi_square((315, 101, 108, 32), shares_of((9, 3, 3, 1))).applicable
    True
    """

    value: float
    df: int
    smallest: float

    @property
    def applicable(self) -> bool:
        """Whether every expectation is 5 or more."""
        return self.smallest >= LEAST

    @property
    def p(self) -> float | None:
        """P(a χ² at least as large), or None where not applicable or where no degree of freedom is left."""
        return upper_tail(self.value, self.df) if self.applicable and self.df else None


def chi_square(counts: Sequence[int], shares: Sequence[Share]) -> Statistic:
    """Pearson's χ², Σ (observed − expected)²/expected. Raises as Tally does.

    >>> from genetics.fit_counts import shares_of
    >>> round(chi_square((315, 101, 108, 32), shares_of((9, 3, 3, 1))).value, 4)
    0.47
    """
    return _measure(tally(counts, shares), Measured.PEARSON)


def likelihood_ratio(counts: Sequence[int], shares: Sequence[Share]) -> Statistic:
    """G, 2·Σ observed·ln(observed/expected). Raises as Tally does.

    >>> from genetics.fit_counts import shares_of
    >>> round(likelihood_ratio((315, 101, 108, 32), shares_of((9, 3, 3, 1))).value, 4)
    0.4754
    """
    return _measure(tally(counts, shares), Measured.G)


def upper_tail(value: float, df: int) -> float:
    """P(χ² with `df` degrees of freedom ≥ value), from the finite sums that hold for whole df.

    Abramowitz & Stegun 26.4.4 and 26.4.5. Raises OutOfRange unless value ≥ 0 and 1 ≤ df ≤ 1,000,000.

    >>> f"{upper_tail(3.841459, 1):.6f}"
    '0.050000'
    """
    if not value >= 0:
        raise OutOfRange("chi-square", str(value), "0", "any")
    if not 1 <= df <= 1_000_000:
        raise OutOfRange("degrees of freedom", str(df), "1", "1000000")
    if value == 0:
        return 1.0
    if value == math.inf:
        return 0.0
    half, odd = value / 2, df % 2
    log_half = math.log(half)
    terms = [math.erfc(math.sqrt(half))] if odd else []
    for i in range(df // 2):
        power = i + odd / 2
        terms.append(math.exp(power * log_half - half - math.lgamma(power + 1)))
    return min(1.0, math.fsum(terms))


@dataclass(frozen=True, slots=True)
class Dealt:
    """A p-value from dealing young out anew: (1 + hits)/(1 + draws), its standard error, and how many deals."""

    p: float
    error: float
    draws: int


@dataclass(frozen=True, slots=True)
class Broods:
    """Several broods against the same shares.

    each: a statistic per brood, in the order given. total: their sum.
    pooled: all young together. heterogeneity: total − pooled.
    by_shuffling: how often broods of the same sizes, dealt at random from these very young, differ at least as much
        between each other in the same statistic: exact in kind, drawn under a seed, valid at any size. None for one brood.
    """

    each: tuple[Statistic, ...]
    total: Statistic
    pooled: Statistic
    heterogeneity: Statistic
    by_shuffling: Dealt | None


def broods_against(
    counts: Sequence[Sequence[int]],
    shares: Sequence[Share],
    measured: Measured = Measured.PEARSON,
    *,
    seed: int = 0,
    draws: int | None = None,
) -> Broods:
    """Fit per brood, pooled and between broods. Raises as Tally does, OutOfRange for no brood or an empty one.

    draws: how often young are dealt out anew; by default 20,000, fewer where that would take more than about a second.

    >>> from genetics.fit_counts import shares_of
    >>> found = broods_against(((14, 2), (5, 9)), shares_of((3, 1)))
    >>> [round(one.value, 3) for one in (found.total, found.pooled, found.heterogeneity)]
    [12.857, 2.178, 10.679]
    >>> found.heterogeneity.p, round(found.by_shuffling.p, 2)
    (None, 0.01)
    """
    if not 1 <= len(counts) <= BROODS:
        raise OutOfRange("broods", str(len(counts)), "1", str(BROODS))
    tallies = [tally(row, shares) for row in counts]
    for one in tallies:
        if one.total == 0:
            raise OutOfRange("young of a brood", "0", "1", "any")
        if one.impossible:
            raise NeverHappens("a young in a class without share")
    together = tally([sum(column) for column in zip(*counts, strict=True)], shares)
    each = tuple(_measure(one, measured) for one in tallies)
    pooled = _measure(together, measured)
    smallest = min(one.smallest for one in each)
    total = Statistic(math.fsum(one.value for one in each), sum(one.df for one in each), smallest)
    between = Statistic(max(0.0, total.value - pooled.value), total.df - pooled.df, smallest)
    # One deal costs about as much as drawing a number for every class of every brood.
    affordable = min(DEALS, _WORK // (len(counts) * len(shares)))
    dealt = _dealt(tallies, measured, seed, affordable if draws is None else draws) if len(counts) > 1 else None
    return Broods(each, total, pooled, between, dealt)


def _measure(given: Tally, measured: Measured) -> Statistic:
    kept = given.possible()
    expectations = [float(one) for one in kept.expectations]
    smallest = min(expectations, default=0.0)
    df = max(0, len(expectations) - 1)
    if kept.impossible:
        return Statistic(math.inf, df, smallest)
    pairs = [(count, expected) for count, expected in zip(kept.counts, expectations, strict=True) if expected]
    if measured is Measured.PEARSON:
        return Statistic(math.fsum((count - expected) ** 2 / expected for count, expected in pairs), df, smallest)
    value = 2 * math.fsum(count * math.log(count / expected) for count, expected in pairs if count)
    return Statistic(max(0.0, value), df, smallest)


def _dealt(tallies: Sequence[Tally], measured: Measured, seed: int, draws: int) -> Dealt:
    """The heterogeneity of broods of the same sizes dealt at random from the same young.

    The pooled part is the same in every deal, so the sum over broods orders deals as the heterogeneity does. Dealing
    brood by brood, class by class, is a chain of hypergeometric draws.
    """
    if not 1 <= draws <= 10_000_000:
        raise OutOfRange("draws", str(draws), "1", "10000000")
    import numpy as np  # noqa: PLC0415 - a plain question of odds must not wait for numpy

    random = np.random.Generator(np.random.PCG64(seed))
    shares = [float(share) for share in tallies[0].shares]
    largest = max(one.total for one in tallies)
    x = np.arange(largest + 1, dtype=np.float64)
    surprise = x * x if measured is Measured.PEARSON else np.where(x > 0, x * np.log(np.maximum(x, 1)), 0.0)
    # Per class and brood the statistic is a function of the count alone, but for what is the same in every deal.
    weights = [
        [1 / (one.total * share) if measured is Measured.PEARSON and share else 1.0 for share in shares]
        for one in tallies
    ]
    here = sum(
        weight * float(surprise[count])
        for one, row in zip(tallies, weights, strict=True)
        for count, weight in zip(one.counts, row, strict=True)
    )
    left = [np.full(draws, sum(one.counts[at] for one in tallies)) for at in range(len(shares))]
    score = np.zeros(draws)
    for one, row in zip(tallies, weights, strict=True):
        need = np.full(draws, one.total)
        others = np.sum(left, axis=0)
        for at, weight in enumerate(row):
            others = others - left[at]
            taken = random.hypergeometric(left[at], others, need)
            left[at] = left[at] - taken
            need = need - taken
            score += weight * surprise[taken]
    hits = int(np.count_nonzero(score >= here - 1e-11 * (1 + abs(here))))
    p = (1 + hits) / (1 + draws)
    return Dealt(p, math.sqrt(p * (1 - p) / draws), draws)
