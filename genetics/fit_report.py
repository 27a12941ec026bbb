"""All that counts say about one expectation, as one value: the tests, an interval per class, the rival ratios."""

from collections.abc import Sequence
from dataclasses import dataclass

from genetics.exact_tests import ExactFit, Ordering, exact_multinomial
from genetics.fit import Statistic, chi_square, likelihood_ratio
from genetics.fit_counts import Share, Tally, misread, tally
from genetics.intervals import Interval, share_interval
from genetics.ratios import Ratios, ratios_of


@dataclass(frozen=True, slots=True)
class CountsFit:
    """Counts against an expectation.

    tally: the counts and the shares expected to be *seen* (after misreading, where that was stated).
    exact: exact multinomial test; its ordering is named in it. pearson, g: with p only where they apply.
    intervals: Wilson, for the share of each class. rivals: the simple ratios of as many classes.
    confidence: of the intervals, and what p is held against.

    >>> from genetics.fit_counts import shares_of
    >>> found = counts_against((18, 6), shares_of((3, 1)))
    >>> found.fits, [one.ratio for one in found.rivals.fitting][:2]
    (True, [(3, 1), (13, 3)])
    """

    tally: Tally
    exact: ExactFit
    pearson: Statistic
    g: Statistic
    intervals: tuple[Interval, ...]
    rivals: Ratios
    confidence: float

    @property
    def fits(self) -> bool:
        """Whether the exact test does not reject. That is no proof: see the rivals."""
        return self.exact.p > 1 - self.confidence


def counts_against(
    counts: Sequence[int],
    shares: Sequence[Share],
    *,
    read_as: Sequence[Sequence[Share]] | None = None,
    ordering: Ordering = Ordering.PROBABILITY,
    confidence: float = 0.95,
    seed: int = 0,
) -> CountsFit:
    """Every test of counts against shares at once.

    shares: of the young of one pair of parents. Where a parent is uncertain one brood is a draw from one of the parts and
        not from their mean: ask once for each part.
    read_as: how the true classes are read, as for `misread`; it is put on the shares and on every rival.
    seed: for tables that are drawn where they cannot all be counted. Raises as Tally and `ratios_of` do.

    >>> from fractions import Fraction
    >>> round(counts_against((30, 2), (Fraction(3, 4), Fraction(1, 4))).exact.p, 4)
    0.0127
    """
    seen = tally(counts, shares if read_as is None else misread(shares, read_as))
    return CountsFit(
        seen,
        exact_multinomial(counts, seen.shares, ordering, seed=seed),
        chi_square(counts, seen.shares),
        likelihood_ratio(counts, seen.shares),
        tuple(share_interval(count, seen.total, confidence=confidence) for count in counts),
        ratios_of(counts, read_as=read_as, confidence=confidence, seed=seed),
        confidence,
    )
