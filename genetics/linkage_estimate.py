"""The recombination fraction between two loci, from counts of young: maximum likelihood, with its uncertainty.

Fisher & Balmukand 1928 (J. Genet. 20:79-92) is the classic treatment. One fraction r is taken to hold for both sexes, both
loci are read without error, and all classes survive alike; `misfit` says how far the counts agree with that. Whether
dams and sires differ is for `linkage_differs`, from test crosses with the double het on either side; in an F2 both
gametes of a young count, and only their mean is told.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from itertools import product
from statistics import NormalDist

from genetics.errors import NeverHappens, OutOfRange
from genetics.fit import Statistic, chi_square, upper_tail
from genetics.fit_counts import Share, check_counts
from genetics.intervals import Interval, error_of

_STEPS = 128


class Mating(StrEnum):
    """Which cross the young are from. F2: both parents are double hets of the same phase, both loci with one allele
    dominant. Test cross: one double het and a mate recessive for both. Coupling: the two recessives came from one parent.
    """

    F2_COUPLING = "F2 in coupling"
    F2_REPULSION = "F2 in repulsion"
    TEST_COUPLING = "test cross in coupling"
    TEST_REPULSION = "test cross in repulsion"

    @property
    def reversed(self) -> "Mating":
        """The same cross in the other phase."""
        match self:
            case Mating.F2_COUPLING:
                return Mating.F2_REPULSION
            case Mating.F2_REPULSION:
                return Mating.F2_COUPLING
            case Mating.TEST_COUPLING:
                return Mating.TEST_REPULSION
            case Mating.TEST_REPULSION:
                return Mating.TEST_COUPLING

    @property
    def is_f2(self) -> bool:
        """Whether both parents are double hets."""
        return self in {Mating.F2_COUPLING, Mating.F2_REPULSION}

    @property
    def in_coupling(self) -> bool:
        """Whether the two recessives came together."""
        return self in {Mating.F2_COUPLING, Mating.TEST_COUPLING}


@dataclass(frozen=True, slots=True)
class LinkageCounts:
    """Young of one kind of cross, by how they look at both loci; the first locus varies slowest.

    counts: where one copy is hidden beside the other allele, a locus has two looks, not recessive and recessive, so that
        two such loci give (neither, second only, first only, both).
    doses: of an F2, whether one copy at the first, at the second locus looks different from two: that locus then has
        three looks, by copies (0, 1, 2) of the alleles that came together in coupling. In a test cross there are two
        looks either way.
    Raises OutOfRange unless there are as many counts as looks and at least one young.

    >>> LinkageCounts((284, 21, 21, 55), Mating.F2_COUPLING).total
    381
    """

    counts: tuple[int, ...]
    mating: Mating
    doses: tuple[bool, bool] = (False, False)

    def __post_init__(self) -> None:
        check_counts(self.counts)
        looks = len(_looks(self.mating, self.doses))
        if len(self.counts) != looks:
            raise OutOfRange("classes of a linkage count", str(len(self.counts)), str(looks), str(looks))
        if self.total == 0:
            raise OutOfRange("young", "0", "1", "any")

    @property
    def total(self) -> int:
        """All young."""
        return sum(self.counts)


def linkage_shares(mating: Mating, r: Share, doses: tuple[bool, bool] = (False, False)) -> tuple[Share, ...]:
    """The shares of the classes at a recombination fraction; exact for a fraction. Raises OutOfRange unless 0 ≤ r ≤ 1/2.

    >>> [str(share) for share in linkage_shares(Mating.F2_COUPLING, Fraction(1, 8))]  # Punnett's 7:1:1:7
    ['177/256', '15/256', '15/256', '49/256']
    """
    if not 0 <= r <= Fraction(1, 2):
        raise OutOfRange("recombination fraction", str(r), "0", "1/2")
    together = 1 - r if mating.in_coupling else r
    return tuple(
        Fraction(1, 4) * (zero + together * (one + together * two)) for zero, one, two in _looks(mating, doses)
    )


@lru_cache(maxsize=32)
def _looks(mating: Mating, doses: tuple[bool, bool]) -> tuple[tuple[int, int, int], ...]:
    """Four times the share of each class as a polynomial in t, the share of gametes in which the two stay together.

    Half of these gametes have both alleles and half none; the others have one each.
    """
    if not mating.is_f2:
        return (0, 2, 0), (2, -2, 0), (2, -2, 0), (0, 2, 0)
    gametes = {(0, 0): (0, 1), (1, 1): (0, 1), (0, 1): (1, -1), (1, 0): (1, -1)}
    found: dict[tuple[int, int], list[int]] = {}
    for (egg, (zero, one)), (sperm, (other_zero, other_one)) in product(gametes.items(), repeat=2):
        copies = (egg[0] + sperm[0], egg[1] + sperm[1])
        look = tuple(number if dose else number // 2 for number, dose in zip(copies, doses, strict=True))
        terms = found.setdefault((look[0], look[1]), [0, 0, 0])
        for power, term in enumerate((zero * other_zero, zero * other_one + one * other_zero, one * other_one)):
            terms[power] += term
    return tuple((terms[0], terms[1], terms[2]) for _, terms in sorted(found.items()))


class Edge(StrEnum):
    """An estimate at the end of what r can be: standard errors do not hold there."""

    COMPLETE = "no recombinant: r = 0"
    FREE = "no linkage seen: r = 1/2"


@dataclass(frozen=True, slots=True)
class Recombination:
    """An estimate of r.

    r: 0 to 1/2. edge: set if it lies at an end.
    error_expected, error_observed: standard errors from the expected and the observed information at r; None at an edge.
    interval: every r whose log likelihood is near enough to the best (χ² with one degree of freedom); holds at edges too.
    lod: log10 of the likelihood at r over that at 1/2. other_phase_lod: the same if every cross were of the other phase;
        where it is the larger one, ask whether the phase is right.
    log_likelihood: at r, without the number of orders. misfit: χ² of all classes at r, which takes one degree of freedom unless it lies at an edge.
    """

    r: float
    edge: Edge | None
    error_expected: float | None
    error_observed: float | None
    interval: Interval
    lod: float
    other_phase_lod: float
    log_likelihood: float
    misfit: Statistic


def recombination(data: Sequence[LinkageCounts], confidence: float = 0.95) -> Recombination:
    """The likeliest r for all data together. Raises OutOfRange for no data and unless 0.5 ≤ confidence < 1.

    >>> maize = LinkageCounts((1997, 906, 904, 32), Mating.F2_REPULSION)  # Fisher & Balmukand 1928
    >>> found = recombination([maize])
    >>> f"{found.r:.4f} ± {found.error_expected:.4f}"
    '0.1890 ± 0.0154'
    """
    if not data:
        raise OutOfRange("crosses", "0", "1", "any")
    drop = NormalDist().inv_cdf(1 - error_of(confidence) / 2) ** 2 / 2
    r, best = _likeliest(data)
    edge = Edge.COMPLETE if r == 0 else Edge.FREE if r == 0.5 else None
    total = _log_likelihood(data, 0.5)
    other = [replace(one, mating=one.mating.reversed) for one in data]
    return Recombination(
        r,
        edge,
        None if edge else _error(sum(_expected_information(one, r) for one in data)),
        None if edge else _error(sum(_observed_information(one, r) for one in data)),
        _near(data, r, best - drop),
        (best - total) / math.log(10),
        (_likeliest(other)[1] - total) / math.log(10),
        best,
        _misfit(data, r, 0 if edge else 1),
    )


def linkage_differs(one: Sequence[LinkageCounts], other: Sequence[LinkageCounts]) -> float:
    """P(two sets of crosses differ in r at least as much, if r is the same in both): likelihood ratio, one degree of freedom.

    For example test crosses with a double-het dam, and others with a double-het sire. Raises as `recombination`.

    >>> same = [LinkageCounts((45, 5, 5, 45), Mating.TEST_COUPLING)]
    >>> linkage_differs(same, same)
    1.0
    """
    apart = recombination(one).log_likelihood + recombination(other).log_likelihood
    return upper_tail(max(0.0, 2 * (apart - recombination([*one, *other]).log_likelihood)), 1)


def product_ratio(data: LinkageCounts) -> float:
    """r from the ratio of products of opposite classes: it does not move when one locus's recessives survive badly.

    Immer 1930 (Genetics 15:81-98), Fisher & Balmukand 1928. At most 1/2. Raises NeverHappens if both products are 0,
    OutOfRange unless there are four classes.

    >>> round(product_ratio(LinkageCounts((1997, 906, 904, 32), Mating.F2_REPULSION)), 5)
    0.1888
    """
    if len(data.counts) != 4:
        raise OutOfRange("classes of a linkage count", str(len(data.counts)), "4", "4")
    outer, inner = data.counts[0] * data.counts[3], data.counts[1] * data.counts[2]
    if outer == inner == 0:
        raise NeverHappens("a ratio of two products that are 0")
    if data.mating.is_f2:
        # inner/outer = (1 − θ)²/(θ(2 + θ)), solved for θ = together².
        root = math.sqrt(inner * inner + 3 * inner * outer)
        together = math.sqrt(outer / (outer + inner + root))
    else:
        together = math.sqrt(outer) / (math.sqrt(outer) + math.sqrt(inner))
    return min(0.5, 1 - together if data.mating.in_coupling else together)


def _slopes(one: "LinkageCounts", r: float) -> tuple[tuple[float, float], ...]:
    """First and second derivatives by r of the shares."""
    sign, together = (-1.0, 1 - r) if one.mating.in_coupling else (1.0, r)
    return tuple(
        (sign * (first + 2 * together * second) / 4, second / 2) for _, first, second in _looks(one.mating, one.doses)
    )


def _shares(one: "LinkageCounts", r: float) -> tuple[Share, ...]:
    return linkage_shares(one.mating, r, one.doses)


def _log_likelihood(data: Iterable[LinkageCounts], r: float) -> float:
    found = 0.0
    for one in data:
        for count, share in zip(one.counts, _shares(one, r), strict=True):
            if count:
                if not share:
                    return -math.inf
                found += count * math.log(share)
    return found


def _score(data: Iterable[LinkageCounts], r: float) -> float:
    """The derivative of the log likelihood, 0 < r < 1/2."""
    return math.fsum(
        count * slope / share
        for one in data
        for count, share, (slope, _) in zip(one.counts, _shares(one, r), _slopes(one, r), strict=True)
        if count
    )


def _likeliest(data: Sequence[LinkageCounts]) -> tuple[float, float]:
    """r and its log likelihood. Joint likelihoods need not have one peak only, so the best of a grid is refined."""
    grid = [step / (2 * _STEPS) for step in range(_STEPS + 1)]
    heights = [_log_likelihood(data, r) for r in grid]
    at = max(range(_STEPS + 1), key=heights.__getitem__)
    low, high = grid[max(0, at - 1)], grid[min(_STEPS, at + 1)]
    while True:
        middle = (low + high) / 2
        if not low < middle < high:
            break
        if _score(data, middle) > 0:
            low = middle
        else:
            high = middle
    # Where the score has one sign up to an end, halving creeps towards it: the end itself is then at least as likely.
    candidates = [(heights[0], 0.0), (heights[-1], 0.5), (_log_likelihood(data, middle), middle)]
    best = max(height for height, _ in candidates)
    tie = 1e-13 * (1 + abs(best))
    return next((r, height) for height, r in candidates if height >= best - tie)


def _expected_information(one: LinkageCounts, r: float) -> float:
    shares, slopes = _shares(one, r), _slopes(one, r)
    return one.total * math.fsum(slope * slope / share for share, (slope, _) in zip(shares, slopes, strict=True))


def _observed_information(one: LinkageCounts, r: float) -> float:
    shares, slopes = _shares(one, r), _slopes(one, r)
    return math.fsum(
        count * ((slope / share) ** 2 - bend / share)
        for count, share, (slope, bend) in zip(one.counts, shares, slopes, strict=True)
    )


def _error(information: float) -> float | None:
    return 1 / math.sqrt(information) if information > 0 else None


def _near(data: Sequence[LinkageCounts], r: float, bar: float) -> Interval:
    """The outermost r on both sides that reach the bar."""
    ends = []
    for end in (0.0, 0.5):
        outside, inside = end, r
        for step in range(_STEPS + 1):
            probe = end + (r - end) * step / _STEPS
            if _log_likelihood(data, probe) >= bar:
                inside = probe
                break
            outside = probe
        while inside != outside:
            middle = (inside + outside) / 2
            if middle in {inside, outside}:
                break
            if _log_likelihood(data, middle) >= bar:
                inside = middle
            else:
                outside = middle
        ends.append(inside)
    return Interval(ends[0], ends[1])


def _misfit(data: Sequence[LinkageCounts], r: float, taken: int) -> Statistic:
    each = [chi_square(one.counts, _shares(one, r)) for one in data]
    return Statistic(
        math.fsum(one.value for one in each),
        sum(one.df for one in each) - taken,
        min(one.smallest for one in each),
    )
