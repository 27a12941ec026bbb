"""Which simple Mendelian ratios fit the counts: all of them, so that nobody reads one that fits as a proof.

A brood of some dozens fits many ratios at once. So each candidate comes with its p-value and with its likelihood beside
the likeliest, none is called the answer, and a lethal is never called from counts that leave 1:1 or 3:1 open.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from genetics.errors import OutOfRange
from genetics.exact_tests import ExactFit, exact_multinomial, tails
from genetics.fit_counts import Share, check_counts, misread, shares_of, tally
from genetics.intervals import Interval, share_interval

LETHAL_CONFIDENCE = 0.99
"""Of the interval that must leave 1:1 and 3:1 outside before 2:1 is called (judgement: at 95 % Cuénot's 263:100 misleads)."""

_ALL_ARRANGEMENTS = 3


class Origin(StrEnum):
    """A way in which a ratio comes about; autosomal and unlinked unless it says otherwise."""

    HET_AND_TEST = "one locus, het and homozygote"
    HETS = "one locus, two hets"
    HETS_THREE_LOOKS = "one locus, two hets, the het looks its own way"
    LETHAL = "one locus, two hets, one homozygote dies"
    SEX_LINKED = "one locus on the sex chromosome, counted with the sexes"
    TWO_LOCI = "two loci, double hets, each seen by itself"
    TWO_LOCI_TEST = "two loci, double het and double homozygote"
    TWO_LOCI_HALF_TEST = "two loci, double het and a mate het for one"
    RECESSIVE_EPISTASIS = "two loci, one homozygote hides the other locus"
    DOMINANT_EPISTASIS = "two loci, one copy hides the other locus"
    COMPLEMENTARY = "two loci, both needed"
    DUPLICATE = "two loci, either suffices"
    SUPPRESSION = "two loci, one suppresses the other"
    ADDITIVE_DUPLICATE = "two loci, both stronger than either"
    TWO_ADDITIVE = "two loci, copies add up"
    THREE_LOCI = "three loci, triple hets, each seen by itself"
    THREE_NEEDED = "three loci, all needed"
    THREE_EITHER = "three loci, any suffices"
    TWO_NEEDED_ONE_SEEN = "three loci, two needed and the third seen among those"


@dataclass(frozen=True, slots=True)
class SimpleRatio:
    """A ratio in lowest terms, largest first unless its order is told, and how it may come about.

    >>> [one.terms for one in simple_ratios(3)][:2]
    [(2, 1, 1), (9, 4, 3)]
    """

    terms: tuple[int, ...]
    origins: tuple[Origin, ...]


def simple_ratios(classes: int) -> tuple[SimpleRatio, ...]:
    """The simple ratios of so many classes; none for some numbers.

    Bateson 1909 (Mendel's Principles of Heredity) has those of two loci; the rest is elementary.
    """
    return tuple(one for one in _catalogue() if len(one.terms) == classes)


@dataclass(frozen=True, slots=True)
class RatioFit:
    """One ratio against the counts.

    ratio: aligned with the counts. origins: how it may come about.
    fit: exact multinomial test, by probability. log_likelihood: ln P(counts | ratio).
    relative: its likelihood over that of the likeliest ratio, 0 to 1.
    """

    ratio: tuple[int, ...]
    origins: tuple[Origin, ...]
    fit: ExactFit
    log_likelihood: float
    relative: float


class LethalCall(StrEnum):
    """What two classes say of a lethal, 2:1, by the exact (Clopper–Pearson) 99 % interval of the smaller class."""

    OPEN = "2:1 inside, and 1:1 or 3:1 too"
    SUPPORTED = "2:1 inside, 1:1 and 3:1 outside"
    UNSUPPORTED = "2:1 outside"


@dataclass(frozen=True, slots=True)
class Ratios:
    """Simple ratios against counts.

    counts: as given. fits: every candidate, likeliest first. intervals: for the share of each class, Wilson.
    lethal: what may be said of 2:1 beside 1:1 and 3:1; None unless there are two classes.
    confidence: of the intervals; a ratio "fits" when its p is above 1 − confidence.

    >>> found = ratios_of((18, 6))
    >>> [":".join(map(str, one.ratio)) for one in found.fitting][:3], found.lethal
    (['3:1', '13:3', '2:1'], <LethalCall.OPEN: '2:1 inside, and 1:1 or 3:1 too'>)
    """

    counts: tuple[int, ...]
    fits: tuple[RatioFit, ...]
    intervals: tuple[Interval, ...]
    lethal: LethalCall | None
    confidence: float

    @property
    def fitting(self) -> tuple[RatioFit, ...]:
        """The candidates that the counts do not reject, likeliest first."""
        return tuple(one for one in self.fits if one.fit.p > 1 - self.confidence)


def ratios_of(
    counts: Sequence[int],
    *,
    read_as: Sequence[Sequence[Share]] | None = None,
    confidence: float = 0.95,
    seed: int = 0,
) -> Ratios:
    """Every simple ratio of as many classes, against the counts.

    Up to three classes each distinct arrangement of a ratio is a candidate of its own (3:1 and 1:3). With four and more
    only the likeliest arrangement is taken, which the counts themselves choose: its p is on the high side.
    read_as: how classes are misread, as for `misread`; what is expected to be *seen* is then compared.
    Raises OutOfRange for counts that cannot be, for no young at all, and as `share_interval` does.

    >>> found = ratios_of((263, 100))  # Cuénot's yellow mice: a lethal, but these do not show it
    >>> [(one.ratio, round(one.fit.p, 3)) for one in found.fits][:3], found.lethal.name
    ([((3, 1), 0.275), ((2, 1), 0.019), ((5, 3), 0.0)], 'OPEN')
    """
    check_counts(counts)
    total = sum(counts)
    if total == 0:
        raise OutOfRange("young", "0", "1", "any")
    candidates = []
    for known in simple_ratios(len(counts)):
        for terms in _arrangements(known.terms, counts):
            shares: tuple[Share, ...] = shares_of(terms)
            if read_as is not None:
                shares = misread(shares, read_as)
            likelihood = tally(counts, shares).log_likelihood()
            candidates.append((likelihood, terms, known.origins, exact_multinomial(counts, shares, seed=seed)))
    candidates.sort(key=lambda one: (-one[0], one[1]))
    best = candidates[0][0] if candidates else 0.0
    fits = tuple(
        RatioFit(terms, origins, fit, likelihood, 0.0 if best == -math.inf else math.exp(likelihood - best))
        for likelihood, terms, origins, fit in candidates
    )
    intervals = tuple(share_interval(count, total, confidence=confidence) for count in counts)
    lethal = _lethal(counts, read_as) if len(counts) == 2 else None
    return Ratios(tuple(counts), fits, intervals, lethal, confidence)


def _arrangements(terms: tuple[int, ...], counts: Sequence[int]) -> list[tuple[int, ...]]:
    if len(terms) <= _ALL_ARRANGEMENTS:
        return sorted(set(itertools.permutations(terms)), reverse=True)
    # Rearrangement inequality: Σ count·ln share is largest when the larger count has the larger share.
    ranked = sorted(range(len(counts)), key=lambda at: -counts[at])
    aligned = [0] * len(terms)
    for at, term in zip(ranked, sorted(terms, reverse=True), strict=True):
        aligned[at] = term
    return [tuple(aligned)]


def _lethal(counts: Sequence[int], read_as: Sequence[Sequence[Share]] | None) -> LethalCall:
    small = 0 if counts[0] < counts[1] else 1
    inside = []
    for large in (1, 2, 3):
        shares: tuple[Share, ...] = shares_of((1, large) if small == 0 else (large, 1))
        if read_as is not None:
            shares = misread(shares, read_as)
        # Inside the Clopper–Pearson interval: neither tail is below half the error.
        inside.append(min(tails(counts[small], sum(counts), shares[small])) > (1 - LETHAL_CONFIDENCE) / 2)
    if not inside[1]:
        return LethalCall.UNSUPPORTED
    return LethalCall.OPEN if inside[0] or inside[2] else LethalCall.SUPPORTED


def _catalogue() -> tuple[SimpleRatio, ...]:
    o = Origin
    return (
        SimpleRatio((1, 1), (o.HET_AND_TEST,)),
        SimpleRatio((2, 1), (o.LETHAL,)),
        SimpleRatio((3, 1), (o.HETS,)),
        SimpleRatio((5, 3), (o.TWO_LOCI_HALF_TEST,)),
        SimpleRatio((7, 1), (o.TWO_LOCI_HALF_TEST,)),
        SimpleRatio((9, 7), (o.COMPLEMENTARY,)),
        SimpleRatio((13, 3), (o.SUPPRESSION,)),
        SimpleRatio((15, 1), (o.DUPLICATE,)),
        SimpleRatio((37, 27), (o.THREE_NEEDED,)),
        SimpleRatio((63, 1), (o.THREE_EITHER,)),
        SimpleRatio((2, 1, 1), (o.HETS_THREE_LOOKS, o.SEX_LINKED)),
        SimpleRatio((9, 4, 3), (o.RECESSIVE_EPISTASIS,)),
        SimpleRatio((12, 3, 1), (o.DOMINANT_EPISTASIS,)),
        SimpleRatio((9, 6, 1), (o.ADDITIVE_DUPLICATE,)),
        SimpleRatio((28, 27, 9), (o.TWO_NEEDED_ONE_SEEN,)),
        SimpleRatio((1, 1, 1, 1), (o.TWO_LOCI_TEST, o.SEX_LINKED)),
        SimpleRatio((3, 3, 1, 1), (o.TWO_LOCI_HALF_TEST,)),
        SimpleRatio((9, 3, 3, 1), (o.TWO_LOCI,)),
        SimpleRatio((6, 4, 4, 1, 1), (o.TWO_ADDITIVE,)),
        SimpleRatio((1, 1, 1, 1, 1, 1, 1, 1), (o.TWO_LOCI_TEST,)),
        SimpleRatio((27, 9, 9, 9, 3, 3, 3, 1), (o.THREE_LOCI,)),
    )
