"""How far people who score the same animals agree, and how often each class is misread.

A table of readings has a row for each animal and a column for each scorer; an entry is the number of a class (from 0), or
None where that scorer did not read that animal.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean

from genetics.errors import OutOfRange
from genetics.intervals import Interval, share_interval
from genetics.limits import YOUNG

Reading = int | None
Readings = Sequence[Sequence[Reading]]
_NO_SPREAD = 1e-9


@dataclass(frozen=True, slots=True)
class Kappa:
    """Agreement beyond chance: 1 is perfect, 0 is what chance gives, below 0 is less than that.

    value: None where every reading is of one class: chance alone would agree then as well.
    interval: for `value`, within -1 to 1; None where it can't be told: without any spread among the readings, as where all
        agree, the approximations that it rests on would call a handful of animals certain.
    """

    value: float | None
    interval: Interval | None


@dataclass(frozen=True, slots=True)
class Misreading:
    """How often animals that truly are of one class were read as another.

    wrong, read: readings. interval: Wilson's for the share; readings of one animal by several scorers hang together,
        so that it is narrow rather than wide.
    """

    wrong: int
    read: int
    interval: Interval

    @property
    def share(self) -> float | None:
        """The share that was misread; None where nothing was read."""
        return self.wrong / self.read if self.read else None


def agreement(readings: Readings) -> tuple[float, int]:
    """The mean share of pairs of scorers that agree on an animal, and of how many animals: those with two readings at least.

    >>> agreement([(0, 0), (0, 1), (1, None)])
    (0.5, 2)

    Raises:
        OutOfRange: no animal was read twice.
    """
    shares = [_agreeing(row) for row in _twice_read(readings)]
    if not shares:
        raise OutOfRange("animals read by two", "0", "1", str(YOUNG))
    return fmean(shares), len(shares)


def cohen(readings: Readings, confidence: float = 0.95) -> Kappa:
    """Kappa of two scorers (Cohen 1960, Educ. Psychol. Meas. 20:37-46) over the animals that both have read.

    The interval rests on the large-sample variance of Fleiss, Cohen & Everitt 1969 (Psychol. Bull. 72:323-327).

    >>> cohen([(0, 0), (1, 1), (0, 1), (1, 1)]).value
    0.5

    Raises:
        OutOfRange: a row is not of two scorers, or nothing was read by both.
    """
    if any(len(row) != 2 for row in readings):
        raise OutOfRange("scorers", str(max(len(row) for row in readings)), "2", "2")
    pairs = [(a, b) for a, b in readings if a is not None and b is not None]
    if not pairs:
        raise OutOfRange("animals read by two", "0", "1", str(YOUNG))
    n = len(pairs)
    cells = {pair: count / n for pair, count in Counter(pairs).items()}
    classes = sorted({a for pair in pairs for a in pair})
    first = {c: sum(p for (a, _), p in cells.items() if a == c) for c in classes}
    second = {c: sum(p for (_, b), p in cells.items() if b == c) for c in classes}
    seen = sum(p for (a, b), p in cells.items() if a == b)
    chance = sum(first[c] * second[c] for c in classes)
    if chance >= 1:
        return Kappa(None, None)
    kappa = (seen - chance) / (1 - chance)
    # Their formula, its three terms in their order.
    on = sum(cells.get((c, c), 0.0) * (1 - (first[c] + second[c]) * (1 - kappa)) ** 2 for c in classes)
    off = sum(p * (second[a] + first[b]) ** 2 for (a, b), p in cells.items() if a != b) * (1 - kappa) ** 2
    spread = on + off - (kappa - chance * (1 - kappa)) ** 2
    error = math.sqrt(max(0.0, spread) / n) / (1 - chance) if spread > _NO_SPREAD else 0.0
    return Kappa(kappa, _around(kappa, error, confidence))


def fleiss(readings: Readings, confidence: float = 0.95) -> Kappa:
    """Kappa of several scorers (Fleiss 1971, Psychol. Bull. 76:378-382) over the animals with two readings at least.

    Animals need not have been read equally often: each counts once, whoever read it, which is Fleiss's own figure where
    they have. The interval leaves out each animal in turn (the jackknife; Efron & Stein 1981, Ann. Stat. 9:586-596).

    >>> fleiss([(0, 0, 0), (1, 1, 1)]).value
    1.0

    Raises:
        OutOfRange: no animal was read twice.
    """
    rows = _twice_read(readings)
    if not rows:
        raise OutOfRange("animals read by two", "0", "1", str(YOUNG))
    value = _fleiss(rows)
    if value is None:
        return Kappa(None, None)
    left_out = [_fleiss([*rows[:at], *rows[at + 1 :]]) if len(rows) > 1 else None for at in range(len(rows))]
    known = [each for each in left_out if each is not None]
    if len(known) < len(rows):
        return Kappa(value, None)
    middle, n = fmean(known), len(known)
    error = math.sqrt((n - 1) / n * sum((each - middle) ** 2 for each in known))
    return Kappa(value, _around(value, error, confidence))


def misreadings(readings: Readings, truth: Sequence[Reading], confidence: float = 0.95) -> dict[int, Misreading]:
    """Of each class that `truth` names, how often its animals were read as another, with Wilson's interval.

    An animal of unknown truth (None) is left out.

    >>> found = misreadings([(0, 1), (1, 1)], [0, 1])
    >>> (found[0].wrong, found[0].read, found[1].wrong)
    (1, 2, 0)

    Raises:
        OutOfRange: there are not as many truths as animals.
    """
    if len(truth) != len(readings):
        raise OutOfRange("truths", str(len(truth)), str(len(readings)), str(len(readings)))
    counts: dict[int, tuple[int, int]] = {}
    for row, true in zip(readings, truth, strict=True):
        if true is not None:
            read = [each for each in row if each is not None]
            wrong, all_ = counts.get(true, (0, 0))
            counts[true] = (wrong + sum(each != true for each in read), all_ + len(read))
    return {
        true: Misreading(wrong, read, share_interval(wrong, read, confidence=confidence))
        for true, (wrong, read) in sorted(counts.items())
    }


def majority(row: Sequence[Reading]) -> Reading:
    """The class that most scorers read; None where two are read equally often, or nobody read it.

    >>> majority((0, 1, 1)), majority((0, 1, None))
    (1, None)
    """
    ranked = Counter(each for each in row if each is not None).most_common(2)
    if not ranked or (len(ranked) == 2 and ranked[0][1] == ranked[1][1]):
        return None
    return ranked[0][0]


def compared(readings: Readings) -> tuple[int, int]:
    """How many animals two scorers read differently, and how many two scorers read, in whole numbers.

    Of an animal that more than two have read, as many pairs count as there are without anybody in two of them, and of
    those the share that differs among all pairs. So a pair says as much as two scorers of one animal do.

    >>> compared([(0, 0), (0, 1), (0, 0, 0, 1)])
    (2, 4)
    """
    pairs, differing = 0, 0.0
    for row in _twice_read(readings):
        apart = len(row) // 2
        pairs += apart
        differing += apart * (1 - _agreeing(row))
    return round(differing), pairs


def _twice_read(readings: Readings) -> list[tuple[int, ...]]:
    rows = [tuple(each for each in row if each is not None) for row in readings]
    return [row for row in rows if len(row) >= 2]


def _agreeing(row: Sequence[int | None]) -> float:
    n = len([each for each in row if each is not None])
    return sum(m * (m - 1) for m in Counter(each for each in row if each is not None).values()) / (n * (n - 1))


def _fleiss(rows: Sequence[tuple[int, ...]]) -> float | None:
    seen = fmean(_agreeing(row) for row in rows)
    classes = {each for row in rows for each in row}
    chance = sum(fmean(row.count(c) / len(row) for row in rows) ** 2 for c in classes)
    return None if chance >= 1 else (seen - chance) / (1 - chance)


def _around(value: float, error: float, confidence: float) -> Interval | None:
    if not 0.5 <= confidence < 1:
        raise OutOfRange("confidence", str(confidence), "0.5", "1")
    if error <= _NO_SPREAD:
        return None
    reach = NormalDist().inv_cdf((1 + confidence) / 2) * error
    return Interval(max(-1.0, value - reach), min(1.0, value + reach))
