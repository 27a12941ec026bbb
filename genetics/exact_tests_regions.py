"""The sum over all tables of counts, class by class, without making the tables.

Each ordering is a sum over classes of a concave function of the class's count (its *nearness*), so the tables nearer than
the observed one form a region whose cut along any class is one interval. Classes are fixed one after another; of each
only the counts inside its interval are followed further, everything outside is a binomial tail, and the last two
classes need no table at all, only the ends of their interval. How near the classes still free can come at best is
known beforehand: for concave functions the best split takes the largest gains first (greedy, Fox 1966).

numpy is needed; the module is loaded when a test asks for it.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from genetics.exact_tests import Ordering
from genetics.fit_counts import Tally

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

BRANCHES = 400_000
"""Partial tables followed at once, at most (judgement: some tenths of a second)."""

CELLS = 1_000_000
"""Cells of one table of binomial probabilities, at most."""

_BATCH = 2_000_000


@dataclass(frozen=True, slots=True)
class Measure:
    """How near a count comes, class by class: larger is nearer."""

    ordering: Ordering

    def nearness(self, share: float, total: int) -> Floats:
        """The concave function of one class at the counts 0 to total."""
        x = np.arange(total + 1, dtype=np.float64)
        if self.ordering is Ordering.CHI_SQUARE:
            # Pearson's χ² is Σ x²/(n·p) − n: only Σ x²/p tells tables apart.
            return -(x * x) / share
        if self.ordering is Ordering.PROBABILITY:
            return x * math.log(share) - _log_factorials(total)
        surprise = np.zeros(total + 1)
        surprise[1:] = x[1:] * np.log(x[1:] / share)
        return -surprise


@dataclass(frozen=True, slots=True)
class _Level:
    """One class against those after it: `near` of the class, `best` of the others together for 0 to n young,
    and the class's own part `peak` of the best split of 0 to n young; `share` is its share among what is left."""

    near: Floats
    best: Floats
    peak: Whole
    share: float


def outside(given: Tally, measure: Measure) -> float | None:
    """P(a table no nearer than the observed one), or None where that would cost too much."""
    total = given.total
    # The large classes last: the intervals that need no following are then the long ones.
    order = sorted(range(len(given.counts)), key=lambda at: given.shares[at])
    shares = [float(given.shares[at]) for at in order]
    near = [measure.nearness(share, total) for share in shares]
    here = sum(float(one[given.counts[at]]) for one, at in zip(near, order, strict=True))
    bar = here + _slack(here)
    levels = _levels(near, shares, total)
    if levels[0].near[levels[0].peak[total]] + levels[0].best[total - levels[0].peak[total]] <= bar:
        return 1.0
    left, so_far, weight = np.array([total]), np.zeros(1), np.ones(1)
    found = 0.0
    factorials = _log_factorials(total)
    for depth, level in enumerate(levels):
        low, high = _interval(level, left, bar - so_far)
        lowest, span = int(left.min()), int(left.max()) - int(left.min()) + 1
        if span * (int(left.max()) + 2) > CELLS:
            return None
        table = _binomials(level.share, lowest, span, factorials)
        row = left - lowest
        found += float(weight @ _tails(table, row, low, high))
        if depth == len(levels) - 1:
            break
        widths = high - low + 1
        if int(widths.sum()) > BRANCHES:
            return None
        branch = np.repeat(np.arange(len(left)), widths)
        count = np.arange(len(branch)) - np.repeat(np.cumsum(widths) - widths - low, widths)
        weight = weight[branch] * table[row[branch], count]
        so_far = so_far[branch] + level.near[count]
        left = left[branch] - count
    return min(found, 1.0)


def drawn(given: Tally, measure: Measure, seed: int, draws: int) -> tuple[float, float]:
    """The same by tables drawn at random: the estimate (1 + hits)/(1 + draws) and its standard error."""
    total = given.total
    shares = np.array([float(share) for share in given.shares])
    near = [measure.nearness(share, total) for share in shares]
    here = sum(float(one[count]) for one, count in zip(near, given.counts, strict=True))
    bar = here + _slack(here)
    random = np.random.Generator(np.random.PCG64(seed))
    hits, left = 0, draws
    while left:
        batch = min(left, max(1, _BATCH // len(shares)))
        tables = random.multinomial(total, shares / shares.sum(), size=batch)
        score = np.zeros(batch)
        for at, one in enumerate(near):
            score += one[tables[:, at]]
        hits += int(np.count_nonzero(score <= bar))
        left -= batch
    p = (1 + hits) / (1 + draws)
    return p, math.sqrt(p * (1 - p) / draws)


def _slack(here: float) -> float:
    """Rounding in a sum over classes: tables nearer than this are as near."""
    return 1e-11 * (1 + abs(here))


def _log_factorials(total: int) -> Floats:
    return np.array([math.lgamma(x + 1) for x in range(total + 1)])


def _levels(near: list[Floats], shares: list[float], total: int) -> list[_Level]:
    """All classes but the last, each with what those after it can do."""
    levels: list[_Level] = []
    gains = np.diff(near[-1])
    best, tail = near[-1], shares[-1]
    for at in range(len(near) - 2, -1, -1):
        own = np.diff(near[at])
        merged = np.concatenate((own, gains))
        order = np.argsort(-merged, kind="stable")[:total]
        peak = np.zeros(total + 1, dtype=np.int64)
        np.cumsum(order < total, out=peak[1:])
        tail += shares[at]
        levels.append(_Level(near[at], best, peak, shares[at] / tail))
        gains = merged[order]
        # No class has a nearness at 0 young but 0, so the best of n young is the sum of the n largest gains.
        best = np.concatenate((np.zeros(1), np.cumsum(gains)))
    return levels[::-1]


def _interval(level: _Level, left: Whole, bar: Floats) -> tuple[Whole, Whole]:
    """The ends of the counts of this class with which the rest can still come nearer than the bar.

    From the peak, which does, both ways at once in halving strides.
    """
    peak = level.peak[left]
    ways = np.repeat(np.array([-1, 1]), len(left))
    young, bars = np.tile(left, 2), np.tile(bar, 2)
    at = np.tile(peak, 2)
    stride = 1 << (int(left.max()).bit_length() - 1)
    while stride:
        probe = at + ways * stride
        inside = (probe >= 0) & (probe <= young)
        probe[~inside] = 0
        inside &= level.near[probe] + level.best[young - probe] > bars
        at = np.where(inside, probe, at)
        stride >>= 1
    return at[: len(left)], at[len(left) :]


def _binomials(share: float, lowest: int, rows: int, factorials: Floats) -> Floats:
    """P(x of n fall into this class) for n = lowest, …; x = 0 to the largest n; 0 where x > n."""
    n = np.arange(lowest, lowest + rows)[:, None]
    x = np.arange(lowest + rows)[None, :]
    rest = n - x
    inside = rest >= 0
    rest = np.where(inside, rest, 0)
    logs = factorials[n] - factorials[x] - factorials[rest] + x * math.log(share) + rest * math.log1p(-share)
    return np.where(inside, np.exp(logs), 0.0)


def _tails(table: Floats, row: Whole, low: Whole, high: Whole) -> Floats:
    """P(below low) + P(above high), summed from the small ends so that small tails keep their digits."""
    below = np.zeros((table.shape[0], table.shape[1] + 1))
    np.cumsum(table, axis=1, out=below[:, 1:])
    above = np.zeros((table.shape[0], table.shape[1] + 1))
    np.cumsum(table[:, ::-1], axis=1, out=above[:, 1:])
    tails: Floats = below[row, low] + above[row, table.shape[1] - 1 - high]
    return tails
