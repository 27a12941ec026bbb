"""How many young must be born for enough of them to be seen grown: broods live and die together.

The share of a brood that reaches scoring is drawn anew for each brood (beta-binomial: Skellam 1948, J. R. Stat. Soc. B
10:257-261), so the young of one brood are not so many chances. All broods have the same two parents; where these are
uncertain, chances go through the parts of the mixture. All defaults are judgement and may be changed. With them a class of
one in four, for which 11 must be scored to be 95 % sure of one, needs 62 born in three broods (27 + 27 + 8); young that
lived and died by themselves would need 39.
"""

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from genetics.errors import OutOfRange, SharesRefused, TooLarge
from genetics.fit_counts import Share
from genetics.limits import YOUNG

WANTED_BORN = 200
"""The k of "at least k" where broods are followed."""

EACH = 6
"""Classes of "at least one of each"."""

PARTS = 64
"""Parts of a mixture."""

WORK = 100_000
"""Terms summed for one number of young (judgement: a second for the whole search)."""


@dataclass(frozen=True, slots=True)
class Rearing:
    """How young fare between birth and scoring.

    brood: young born per brood, 1 to 1,000. Default 27 (judgement; A. vulgare 27 ± 4, Waller & Verdi 2016, Int. J. Biol. 8:12).
    survival: mean share of the born that is seen grown and scored, above 0, at most 1. Default 3/10 (judgement).
    alike: correlation between the fates of two young of one brood, 0 (each by itself) to 1 (all or none). Default 1/4
        (judgement): one brood in twenty then keeps less than 2 %, one in twenty more than 74 %.
    Raises OutOfRange for a number that cannot be.

    >>> Rearing().survival, Rearing().alike
    (Fraction(3, 10), Fraction(1, 4))
    """

    brood: int = 27
    survival: Share = Fraction(3, 10)
    alike: Share = Fraction(1, 4)

    def __post_init__(self) -> None:
        if not 1 <= self.brood <= 1_000:
            raise OutOfRange("young per brood", str(self.brood), "1", "1000")
        if not 0 < self.survival <= 1:
            raise OutOfRange("survival", str(self.survival), "above 0", "1")
        if not 0 <= self.alike <= 1:
            raise OutOfRange("likeness of a brood", str(self.alike), "0", "1")

    def survivors(self, born: int) -> list[float]:
        """P(0, 1, … of so many born are scored); their mean is survival × born.

        >>> [round(chance, 2) for chance in Rearing(alike=Fraction(1)).survivors(2)]
        [0.7, 0.0, 0.3]
        """
        mean, alike = float(self.survival), float(self.alike)
        if mean == 1 or born == 0:
            return [0.0] * born + [1.0]
        if alike == 1:
            return [1 - mean, *[0.0] * (born - 1), mean]
        ways = [math.lgamma(born + 1) - math.lgamma(m + 1) - math.lgamma(born - m + 1) for m in range(born + 1)]
        if alike == 0:
            lives, dies = math.log(mean), math.log1p(-mean)
            return [math.exp(way + m * lives + (born - m) * dies) for m, way in enumerate(ways)]
        a, b = mean * (1 - alike) / alike, (1 - mean) * (1 - alike) / alike
        start = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) - math.lgamma(a + b + born)
        return [math.exp(way + start + math.lgamma(a + m) + math.lgamma(b + born - m)) for m, way in enumerate(ways)]


@dataclass(frozen=True, slots=True)
class Wished:
    """What is wanted of the young, given one kind of parents, and how probable those parents are.

    weight: of this kind of parents, above 0; all weights sum to 1.
    shares: the chance per scored young of each wanted class (classes exclude each other), 1 to 6 of them.

    >>> one_of_each_sex(Fraction(1, 4), Fraction(3, 10))
    (Wished(weight=Fraction(1, 1), shares=(Fraction(3, 40), Fraction(7, 40))),)
    """

    weight: Share
    shares: tuple[Share, ...]


def of_one(share: Share) -> tuple[Wished, ...]:
    """One class that has this share, the parents being known."""
    return (Wished(Fraction(1), (share,)),)


def one_of_each_sex(share: Share, males: Share) -> tuple[Wished, ...]:
    """Males and females of a class that has this share, at the stock's own share of males; the parents being known.

    >>> one_of_each_sex(Fraction(1, 4), Fraction(1, 2))[0].shares
    (Fraction(1, 8), Fraction(1, 8))
    """
    return (Wished(Fraction(1), (share * males, share * (1 - males))),)


@dataclass(frozen=True, slots=True)
class Born:
    """How many must be born.

    young: the smallest number born, in broods of the size given (the last one cut short), with which the chance of the wish
        reaches the confidence; None where it never does. broods: how many broods that is, the last one counted.
    by_itself: the same if each young lived or died by itself. ceiling: the chance that these parents can fulfil the wish at all.
    young_if_possible, broods_if_possible: the same question put to those parents alone that can; None if none can.
    """

    young: int | None
    broods: int | None
    by_itself: int | None
    ceiling: float
    young_if_possible: int | None
    broods_if_possible: int | None


def see_each(wished: Sequence[Wished], confidence: Share) -> int | None:
    """The smallest number to see *grown and scored* for at least one of each wanted class; None where it is never so sure.

    Exact, by inclusion and exclusion. Raises as `born_for` does.

    >>> [see_each(one_of_each_sex(Fraction(1, 4), males), 0.95) for males in (0.5, 0.3, 0.2)]
    [28, 39, 59]
    """
    _check(wished, 1, confidence)
    _check_work(wished, 1, Rearing())
    goal = Fraction(confidence)
    able = [one for one in wished if all(one.shares)]
    sure = sum((Fraction(one.weight) for one in able), Fraction(0))
    # A ceiling is met only where a single young settles it.
    if sure < goal or (sure == goal and any(one.shares != (1,) for one in able)):
        return None
    terms, whole, total = _missing(wished)
    # Rounding proposes a number that may be one too small or too large; whole numbers then decide.
    near = float(goal) - 1e-12

    def roughly(number: int) -> bool:
        return math.fsum(weight / total * (hits / whole) ** number for hits, weight in terms.items()) >= near

    def exactly(number: int) -> bool:
        found = sum(weight * int(hits**number) for hits, weight in terms.items())
        return found * goal.denominator >= goal.numerator * total * int(whole**number)

    low = len(wished[0].shares)
    number = smallest(roughly, low, "young to see")
    while number > low and exactly(number - 1):
        number -= 1
    return smallest(exactly, number, "young to see")


def _missing(wished: Sequence[Wished]) -> tuple[dict[int, int], int, int]:
    """Inclusion and exclusion in whole numbers: signed weights by the chance that a young is none of some classes.

    Returns the weights (over `total`) by chances (over `whole`), then `whole` and `total`.
    """
    exact = [(Fraction(one.weight), [Fraction(share) for share in one.shares]) for one in wished]
    total = math.lcm(*(weight.denominator for weight, _ in exact))
    whole = math.lcm(*(share.denominator for _, shares in exact for share in shares))
    found: dict[int, int] = {}
    for weight, shares in exact:
        for size in range(len(shares) + 1):
            for missing in itertools.combinations(shares, size):
                hits = max(0, int((1 - sum(missing)) * whole))
                found[hits] = found.get(hits, 0) + (-1) ** size * int(weight * total)
    return found, whole, total


def born_for(wished: Sequence[Wished], k: int = 1, confidence: Share = 0.95, rearing: Rearing | None = None) -> Born:
    """How many must be born for at least `k` of one wanted class, or for at least one of each of several (k = 1).

    Raises SharesRefused for weights or shares that are no distribution, OutOfRange unless 1 ≤ k ≤ 200 (1 for several
    classes), 0 < confidence < 1 and at most 64 parts of at most 6 classes, and when over 100,000 would have to be born;
    TooLarge before it runs where the sums would be too long.

    >>> found = born_for(of_one(Fraction(1, 4)))  # 11 scored make one of four 95 % sure
    >>> found.young, found.broods, found.by_itself
    (62, 3, 39)
    """
    rearing = rearing or Rearing()
    _check(wished, k, confidence)
    _check_work(wished, k, rearing)
    goal = float(confidence)
    able = [one for one in wished if all(one.shares)]
    ceiling = float(sum(one.weight for one in able))
    if not able:
        return Born(None, None, None, 0.0, None, None)
    if_possible = [Wished(one.weight / sum(other.weight for other in able), one.shares) for one in able]
    alone = _needed(if_possible, k, goal, rearing)
    apart = Rearing(rearing.brood, rearing.survival, Fraction(0))
    if len(able) == len(wished):
        return Born(
            alone, _broods(alone, rearing), _needed(wished, k, goal, apart), 1.0, alone, _broods(alone, rearing)
        )
    if ceiling <= goal:
        return Born(None, None, None, ceiling, alone, _broods(alone, rearing))
    young = _needed(wished, k, goal, rearing)
    return Born(
        young,
        _broods(young, rearing),
        _needed(wished, k, goal, apart),
        ceiling,
        alone,
        _broods(alone, rearing),
    )


def chance_from(wished: Sequence[Wished], born: int, k: int = 1, rearing: Rearing | None = None) -> float:
    """P(at least `k` of one wanted class, or at least one of each, among the scored of so many born). Raises as `born_for`.

    >>> round(chance_from(of_one(Fraction(1, 4)), 62), 2)
    0.95
    """
    rearing = rearing or Rearing()
    _check(wished, k, 0.5)
    _check_work(wished, k, rearing)
    if not 0 <= born <= YOUNG:
        raise OutOfRange("young born", str(born), "0", str(YOUNG))
    return math.fsum(float(one.weight) * _Litter(one, k, rearing).reached(born) for one in wished)


class _Litter:
    """The chance of the wish from so many born of one kind of parents; what whole broods give is kept by powers of two."""

    def __init__(self, wished: Wished, k: int, rearing: Rearing) -> None:
        self._k, self._rearing = k, rearing
        self._shares = [float(share) for share in wished.shares]
        self._doublings: list[list[float]] = []

    def reached(self, born: int) -> float:
        if len(self._shares) == 1:
            return max(0.0, 1 - math.fsum(self._few(born)))
        found = 0.0
        for size in range(len(self._shares) + 1):
            for missing in itertools.combinations(self._shares, size):
                found += (-1) ** size * self._none_of(math.fsum(missing), born)
        return max(0.0, found)

    def _none_of(self, share: float, born: int) -> float:
        """P(nothing of a class of this share)."""
        full, rest = divmod(born, self._rearing.brood)
        one, last = (
            math.fsum(chance * (1 - share) ** m for m, chance in enumerate(self._rearing.survivors(size)))
            for size in (self._rearing.brood, rest)
        )
        return one**full * last

    def _few(self, born: int) -> list[float]:
        """P(0, 1, … k − 1 wanted)."""
        full, rest = divmod(born, self._rearing.brood)
        found = self._wanted(rest)
        for power in range(full.bit_length()):
            if len(self._doublings) == power:
                before = self._doublings[-1] if power else None
                self._doublings.append(
                    self._wanted(self._rearing.brood) if before is None else self._sum(before, before)
                )
            if full >> power & 1:
                found = self._sum(found, self._doublings[power])
        return found

    def _wanted(self, born: int) -> list[float]:
        """P(0, 1, … wanted of one brood), below k."""
        share, found = self._shares[0], [0.0] * min(self._k, born + 1)
        for m, chance in enumerate(self._rearing.survivors(born)):
            for x in range(min(self._k, m + 1)):
                found[x] += chance * math.comb(m, x) * share**x * (1 - share) ** (m - x)
        return found

    def _sum(self, one: list[float], other: list[float]) -> list[float]:
        found = [0.0] * min(self._k, len(one) + len(other) - 1)
        for x, chance in enumerate(one):
            for y, also in enumerate(other[: max(0, len(found) - x)]):
                found[x + y] += chance * also
        return found


def _needed(wished: Sequence[Wished], k: int, goal: float, rearing: Rearing) -> int:
    litters = [(float(one.weight), _Litter(one, k, rearing)) for one in wished]

    def reached(born: int) -> bool:
        return math.fsum(weight * litter.reached(born) for weight, litter in litters) >= goal

    return smallest(reached, max(k, len(wished[0].shares)), "young to be born")


def _broods(young: int, rearing: Rearing) -> int:
    return -(-young // rearing.brood)


def smallest(reached: Callable[[int], bool], low: int, name: str) -> int:
    """The smallest number, of those from `low`, at which something that grows is reached: doubling, then halving.

    Raises OutOfRange, with the name given, where 100,000 do not reach it.

    >>> smallest(lambda number: number * number >= 30, 1, "number")
    6
    """
    high = low
    while not reached(high):
        if high == YOUNG:
            raise OutOfRange(name, f"more than {YOUNG}", str(low), str(YOUNG))
        low, high = high + 1, min(2 * high, YOUNG)
    while low < high:
        middle = (low + high) // 2
        if reached(middle):
            high = middle
        else:
            low = middle + 1
    return high


def _check_work(wished: Sequence[Wished], k: int, rearing: Rearing) -> None:
    classes = len(wished[0].shares)
    each = k * (k + 4 * rearing.brood) if classes == 1 else 2**classes * rearing.brood
    if len(wished) * each > WORK:
        raise TooLarge("terms", len(wished) * each, WORK, WORK // each, "parts")


def _check(wished: Sequence[Wished], k: int, confidence: Share) -> None:
    if not 1 <= len(wished) <= PARTS:
        raise OutOfRange("parts", str(len(wished)), "1", str(PARTS))
    classes = len(wished[0].shares)
    if not 1 <= classes <= EACH:
        raise OutOfRange("wanted classes", str(classes), "1", str(EACH))
    most = WANTED_BORN if classes == 1 else 1
    if not 1 <= k <= most:
        raise OutOfRange("k", str(k), "1", str(most))
    if not 0 < confidence < 1:
        raise OutOfRange("confidence", str(confidence), "above 0", "below 1")
    for one in wished:
        if one.weight <= 0 or len(one.shares) != classes or min(one.shares) < 0 or sum(one.shares) > 1 + 1e-12:
            raise SharesRefused("weights above 0, shares of as many classes that sum to at most 1", str(one))
    total = sum(one.weight for one in wished)
    if abs(float(total - 1)) > 1e-9:
        raise SharesRefused("weights that sum to 1", str(total))
