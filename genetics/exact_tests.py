"""Exact tests of counts against expected shares: how likely is a table at least as far off as the one observed?

Which tables are "as far off" is a choice (`Ordering`) and the answer depends on it, so every result names it. The sum
runs over *all* tables while that is affordable; beyond, tables are drawn at random under a seed and the result carries
its standard error.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from genetics.errors import OutOfRange
from genetics.fit_counts import Share, Tally, tally

DRAWS = 100_000
"""Tables drawn where they cannot all be counted: a standard error of at most 0.0016 (judgement)."""

_NEGLIGIBLE = 1e-12
_WHOLE_BITS = 40_000


class Ordering(StrEnum):
    """What makes one table further off than another."""

    PROBABILITY = "probability"
    """No likelier than the observed one."""

    CHI_SQUARE = "chi-square"
    """At least as large in Pearson's χ²."""

    LIKELIHOOD_RATIO = "likelihood ratio"
    """At least as large in G, twice the log likelihood ratio."""


class Method(StrEnum):
    """How a p-value was reached."""

    COUNTED = "counted"
    """Over all tables: exact but for rounding."""

    DRAWN = "drawn"
    """Over tables drawn at random: `error` is its standard error."""

    BOUNDED = "bounded"
    """So small that a bound on it was enough: the true one is at most this."""


@dataclass(frozen=True, slots=True)
class ExactFit:
    """The outcome of an exact test.

    p: P(a table at least as far off | the shares), 0 to 1.
    ordering: what "as far off" means. method: how p was reached.
    tables: how many tables there are of so many young in so many classes.
    error: standard error of p; 0 unless tables were drawn.
    """

    p: float
    ordering: Ordering
    method: Method
    tables: int
    error: float


def exact_multinomial(
    counts: Sequence[int],
    shares: Sequence[Share],
    ordering: Ordering = Ordering.PROBABILITY,
    *,
    seed: int = 0,
    draws: int = DRAWS,
) -> ExactFit:
    """Exact multinomial test of goodness of fit.

    A young in a class of share 0 gives p = 0. `seed` and `draws` matter only where tables are drawn; drawn p-values are
    (1 + hits)/(1 + draws), never 0 (Phipson & Smyth 2010). Raises as Tally does, OutOfRange for draws below 1.

    >>> from genetics.fit_counts import shares_of
    >>> round(exact_multinomial((5, 2, 1), shares_of((1, 2, 1))).p, 8)
    0.07666016
    >>> round(exact_multinomial((5, 2, 1), shares_of((1, 2, 1)), Ordering.CHI_SQUARE).p, 8)
    0.05957031
    """
    if not 1 <= draws <= 10_000_000:
        raise OutOfRange("draws", str(draws), "1", "10000000")
    given = tally(counts, shares).possible()
    tables = math.comb(given.total + len(given.counts) - 1, len(given.counts) - 1)
    if given.impossible:
        return ExactFit(0.0, ordering, Method.COUNTED, tables, 0.0)
    if len(given.counts) == 1 or given.total == 0:
        return ExactFit(1.0, ordering, Method.COUNTED, tables, 0.0)
    if len(given.counts) == 2 and _in_whole_numbers(given):
        return ExactFit(float(_two_classes(given, ordering)), ordering, Method.COUNTED, tables, 0.0)
    ceiling = tables * _most_likely_there(given, ordering)
    if ceiling < _NEGLIGIBLE:
        return ExactFit(ceiling, ordering, Method.BOUNDED, tables, 0.0)
    from genetics import exact_tests_regions as regions  # noqa: PLC0415 - a plain question of odds must not wait for numpy

    counted = regions.outside(given, regions.Measure(ordering))
    if counted is not None:
        return ExactFit(counted, ordering, Method.COUNTED, tables, 0.0)
    p, error = regions.drawn(given, regions.Measure(ordering), seed, draws)
    return ExactFit(p, ordering, Method.DRAWN, tables, error)


def exact_binomial(wanted: int, total: int, share: Share, ordering: Ordering = Ordering.PROBABILITY) -> ExactFit:
    """Exact two-sided test of a share: `wanted` of `total` against `share`. Raises as Tally does.

    >>> round(exact_binomial(682, 925, Fraction(3, 4)).p, 12)  # Conover 1971: 682 giant, 243 dwarf
    0.382491559575
    """
    return exact_multinomial((wanted, total - wanted), (share, 1 - share), ordering)


def tails(wanted: int, total: int, share: Share) -> tuple[float, float]:
    """P(at most so many) and P(at least so many) of `total` at this share. Raises as Tally does.

    A share lies inside the Clopper–Pearson interval of a count where neither is below half the error.

    >>> [round(tail, 6) for tail in tails(2, 4, Fraction(1, 2))]
    [0.6875, 0.6875]
    """
    given = tally((wanted, total - wanted), (share, 1 - share))
    if share in {0, 1}:
        return float(wanted >= total * share), float(wanted <= total * share)
    log_share, log_rest = math.log(share), math.log1p(-share)
    start = math.lgamma(total + 1)

    def chance(x: int) -> float:
        ways = start - math.lgamma(x + 1) - math.lgamma(total - x + 1)
        return math.exp(ways + x * log_share + (total - x) * log_rest)

    here = chance(given.counts[0])
    below, above = math.fsum(map(chance, range(wanted))), math.fsum(map(chance, range(wanted + 1, total + 1)))
    return min(1.0, below + here), min(1.0, above + here)


def _most_likely_there(given: Tally, ordering: Ordering) -> float:
    """A probability that no table as far off exceeds, or 1 where none is known.

    By probability no such table is likelier than the observed one. By likelihood ratio P(x) ≤ e^(−G/2), because the
    same counts have at most probability 1 under their own shares (Cover & Thomas, method of types).
    """
    if ordering is Ordering.CHI_SQUARE:
        return 1.0
    if ordering is Ordering.PROBABILITY:
        return math.exp(given.log_likelihood())
    total = given.total
    half_g = sum(
        count * math.log(count / (total * share))
        for count, share in zip(given.counts, given.shares, strict=True)
        if count
    )
    return math.exp(-half_g)


def _in_whole_numbers(given: Tally) -> bool:
    """Whether two classes can be summed in whole numbers of moderate length."""
    share = given.shares[0]
    return isinstance(share, Fraction | int) and given.total * share.denominator.bit_length() <= _WHOLE_BITS


def _two_classes(given: Tally, ordering: Ordering) -> Fraction:
    """The sum over all tables of two classes, exact: terms C(n, x)·a^x·b^(n − x), each from the one before it."""
    total, observed, share = given.total, given.counts[0], Fraction(given.shares[0])
    a, whole = share.numerator, share.denominator
    b = whole - a
    terms = [b**total]
    for x in range(total):
        terms.append(terms[-1] * (total - x) * a // ((x + 1) * b))
    if ordering is Ordering.PROBABILITY:
        found = sum(term for term in terms if term <= terms[observed])
    elif ordering is Ordering.CHI_SQUARE:
        far = abs(observed * whole - total * a)
        found = sum(term for x, term in enumerate(terms) if abs(x * whole - total * a) >= far)
    else:
        here = _half_g(observed, total, share)
        slack = 1e-11 * (1 + here)
        found = sum(term for x, term in enumerate(terms) if _half_g(x, total, share) >= here - slack)
    return Fraction(found, whole**total)


def _half_g(x: int, total: int, share: Fraction) -> float:
    expected = float(share * total)
    found = x * math.log(x / expected) if x else 0.0
    return found + ((total - x) * math.log((total - x) / (total - expected)) if x < total else 0.0)
