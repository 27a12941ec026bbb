"""How many young to see: at least k in n, through the parts of a mixture.

The young of one brood share one dam and one sire. Where those are uncertain, the number of wanted young is binomial
*within* each part and a mixture over the parts, never one binomial with the mean share. Exact in whole numbers;
floating point only proposes an answer that is then proved.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from genetics.errors import OutOfRange, TooLarge
from genetics.limits import DAMS, KINDS, WANTED, YOUNG
from genetics.rates import over_one_total


@dataclass(frozen=True, slots=True)
class Draws:
    """The parts of a mixture, as chances per young: with probability `weights[h] / total` a young is wanted with h/per.

    weights: positive whole numbers that sum to `total`, by hits h (0 to `per`).
    """

    weights: dict[int, int]
    total: int
    per: int


@dataclass(frozen=True, slots=True)
class HowMany:
    """The answer to "how many must I see to be so sure of at least k?".

    see: the smallest n with P(at least k of n) ≥ the confidence; None if no n reaches it.
    ceiling: the probability that these parents can give such young at all; no n does better.
    see_if_possible: the smallest n if they can: the same question put to those parts alone that can, each in proportion
        to its probability. None only if none can. Equal to `see` when the ceiling is 1.
    if_share: the mean share of wanted young in those parts; 0 if none can.

    >>> how_many(Draws({0: 1, 1: 2}, 3, 2), 1, Fraction(95, 100))  # a 2/3 het × visual
    HowMany(see=None, ceiling=Fraction(2, 3), see_if_possible=5, if_share=Fraction(1, 2))
    """

    see: int | None
    ceiling: Fraction
    see_if_possible: int | None
    if_share: Fraction


def of_several_dams(draws: Draws, dams: int) -> Draws:
    """The draws for young of several dams, each an independent pairing and each equally likely to be a young's mother.

    How many young each of them had is thereby integrated out. Raises OutOfRange unless 1 ≤ dams ≤ 100, TooLarge.

    >>> of_several_dams(Draws({0: 1, 1: 2}, 3, 2), 2)
    Draws(weights={0: 1, 1: 4, 2: 4}, total=9, per=4)
    """
    _check("dams", dams, 1, DAMS)
    found = {0: 1}
    for _ in range(dams):
        grown: dict[int, int] = {}
        for before, weight in found.items():
            for hits, other in draws.weights.items():
                grown[before + hits] = grown.get(before + hits, 0) + weight * other
        if len(grown) > KINDS:
            raise TooLarge("kinds of several dams together", len(grown), KINDS, 1, "dams")
        found = grown
    return Draws(found, draws.total**dams, draws.per * dams)


def of_dams_of_one_sire(by_sire: Sequence[Draws], dams: int) -> Draws:
    """As `of_several_dams`, but all dams have the same sire: one for each sire there may be, its total being his weight.

    The dams' broods are not independent then: what he is, he is for all of them. All draws have the same `per`.

    >>> of_dams_of_one_sire([Draws({1: 2}, 2, 2), Draws({0: 1}, 1, 2)], 2)  # a 2/3 het sire of visual dams
    Draws(weights={2: 2, 0: 1}, total=3, per=4)
    """
    whole = sum(one.total for one in by_sire)
    found: dict[int, Fraction] = {}
    per = 1
    for one in by_sire:
        together = of_several_dams(one, dams)
        per = together.per
        for hits, weight in together.weights.items():
            found[hits] = found.get(hits, Fraction(0)) + Fraction(weight * one.total, together.total * whole)
    weights, total = over_one_total(found.values())
    return Draws(dict(zip(found, weights, strict=True)), total, per)


def at_least_in_broods(draws: Draws, k: int, broods: Sequence[int]) -> Fraction:
    """P(at least k wanted in all) over broods of known sizes, each of an independent pairing.

    With m broods P(none) is the product over broods of 1 − π + π(1 − p)^n. Raises OutOfRange.

    >>> at_least_in_broods(Draws({0: 1, 1: 2}, 3, 2), 1, [1, 2])
    Fraction(2, 3)
    """
    _check("k", k, 0, WANTED)
    _check("young", sum(broods), 0, YOUNG)
    fewer = [Fraction(1)] + [Fraction(0)] * (k - 1)
    for size in broods:
        _check("young of a brood", size, 0, YOUNG)
        of_brood = [at_least(draws, i, size) for i in range(k + 1)]
        exactly = [of_brood[i] - of_brood[i + 1] for i in range(k)]
        fewer = [sum((fewer[i] * exactly[many - i] for i in range(many + 1)), Fraction(0)) for many in range(k)]
    return 1 - sum(fewer, Fraction(0)) if k else Fraction(1)


def at_least(draws: Draws, k: int, n: int) -> Fraction:
    """P(at least k of n are wanted). Raises OutOfRange unless 0 ≤ k ≤ 1,000 and 0 ≤ n ≤ 100,000.

    >>> at_least(Draws({0: 1, 1: 2}, 3, 2), 1, 4)  # 1 − (1/3 + 2/3·(1/2)^4)
    Fraction(5, 8)
    """
    _check("k", k, 0, WANTED)
    _check("n", n, 0, YOUNG)
    if k == 0:
        return Fraction(1)
    return Fraction(_reached(draws, k, n), draws.total * draws.per**n)


def ceiling(draws: Draws) -> Fraction:
    """The probability of the parts in which a wanted young is possible."""
    return Fraction(draws.total - draws.weights.get(0, 0), draws.total)


def how_many(draws: Draws, k: int, confidence: Fraction) -> HowMany:
    """The smallest numbers of young to see; see HowMany.

    Raises OutOfRange unless 1 ≤ k ≤ 1,000 and 0 < confidence < 1, and when more than 100,000 would have to be seen.

    >>> how_many(Draws({1: 1}, 1, 4), 1, Fraction(95, 100)).see
    11
    """
    _check("k", k, 1, WANTED)
    if not 0 < confidence < 1:
        raise OutOfRange("confidence", str(confidence), "above 0", "below 1")
    able = {hits: weight for hits, weight in draws.weights.items() if hits}
    if not able:
        return HowMany(None, Fraction(0), None, Fraction(0))
    possible = Draws(able, sum(able.values()), draws.per)
    top = Fraction(possible.total, draws.total)
    share = Fraction(sum(hits * weight for hits, weight in able.items()), possible.total * draws.per)
    if_possible = _smallest(possible, k, confidence)
    if top == 1:
        return HowMany(if_possible, top, if_possible, share)
    # Where every able part gives wanted young only, k young meet the ceiling itself; otherwise it is never met.
    reachable = confidence < top or (confidence == top and set(able) == {draws.per})
    return HowMany(_smallest(draws, k, confidence) if reachable else None, top, if_possible, share)


def _check(name: str, value: int, low: int, high: int) -> None:
    if not low <= value <= high:
        raise OutOfRange(name, str(value), str(low), str(high))


def _reached(draws: Draws, k: int, n: int) -> int:
    """P(at least k of n) over total·per^n: the sum of the tail's complement over the parts."""
    if n < k:
        return 0
    whole = int(draws.per**n)
    reached = 0
    for hits, weight in draws.weights.items():
        if hits:
            reached += weight * (whole - _fewer(hits, draws.per - hits, k, n))
    return reached


def _fewer(hits: int, misses: int, k: int, n: int) -> int:
    """Sum over i < k of C(n, i)·hits^i·misses^(n − i): each term from the one before it, backwards from the last."""
    if misses == 0:
        return 0
    # Ascending terms share the factor misses^(n − k + 1), which is taken out so that the loop works on small numbers.
    inner = 0
    for i in range(k):
        inner += math.comb(n, i) * hits**i * misses ** (k - 1 - i)
    return inner * int(misses ** (n - k + 1))


def _smallest(draws: Draws, k: int, confidence: Fraction) -> int:
    """The smallest n with P(at least k of n) ≥ confidence, which the caller knows to exist."""

    def enough(n: int) -> bool:
        reached = _reached(draws, k, n) * confidence.denominator
        return reached >= confidence.numerator * draws.total * int(draws.per**n)

    n = max(k, min(_proposal(draws, k, confidence), YOUNG))
    if enough(n):
        return _first(enough, k, n)
    if n == YOUNG:
        raise OutOfRange("young to see", f"more than {YOUNG}", str(k), str(YOUNG))
    step = 1
    while not enough(min(n + step, YOUNG)):
        if n + step >= YOUNG:
            raise OutOfRange("young to see", f"more than {YOUNG}", str(k), str(YOUNG))
        n, step = n + step, step * 2
    return _first(enough, n + 1, min(n + step, YOUNG))


def _first(enough: Callable[[int], bool], low: int, high: int) -> int:
    """The first n of low..high that is enough, given that `high` is: looks just below `high` first, then halves."""
    step = 1
    while high > low:
        probe = max(low, high - step)
        if not enough(probe):
            low = probe + 1
            break
        high, step = probe, step * 2
    while low < high:
        middle = (low + high) // 2
        if enough(middle):
            high = middle
        else:
            low = middle + 1
    return high


def _proposal(draws: Draws, k: int, confidence: Fraction) -> int:
    """A number near the answer, in floating point; right or wrong, the caller proves it."""
    goal = float(confidence)
    parts = [(hits / draws.per, weight / draws.total) for hits, weight in draws.weights.items() if hits]
    if k == 1 and len(parts) == 1:
        share, weight = parts[0]
        miss = 1 - goal / weight
        return 1 if share == 1 else math.ceil(math.log(miss) / math.log1p(-share)) if miss > 0 else YOUNG
    high = k
    while high < YOUNG and _roughly(parts, k, high) < goal:
        high *= 2
    low, high = high // 2, min(high, YOUNG)
    while high - low > 1:
        middle = (low + high) // 2
        if _roughly(parts, k, middle) < goal:
            low = middle
        else:
            high = middle
    return high


def _roughly(parts: list[tuple[float, float]], k: int, n: int) -> float:
    """P(at least k of n) in floating point."""
    reached = 0.0
    for share, weight in parts:
        if share == 1:
            reached += weight
            continue
        odds = share / (1 - share)
        logarithm = n * math.log1p(-share)
        term, fewer = 1.0, 0.0
        for i in range(min(k, n + 1)):
            fewer += term
            term *= odds * (n - i) / (i + 1)
        reached += weight * (1 - math.exp(logarithm) * fewer if fewer < math.inf else 0)
    return reached
