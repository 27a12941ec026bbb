"""Counts per class and the shares expected of them: checked once, for every test of the one against the other."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from genetics.errors import OutOfRange, SharesRefused
from genetics.limits import YOUNG

Share = Fraction | float
"""A probability, 0 to 1: exact where it is a Fraction."""

CLASSES = 64
"""Classes of one test (judgement: more are a table, not a brood)."""


def shares_of(ratio: Sequence[int]) -> tuple[Fraction, ...]:
    """The shares that a ratio of whole numbers says. Raises OutOfRange for a negative term or a sum of 0.

    >>> [str(share) for share in shares_of((9, 3, 4))]
    ['9/16', '3/16', '1/4']
    """
    total = sum(ratio)
    for term in ratio:
        if term < 0:
            raise OutOfRange("term of a ratio", str(term), "0", "any")
    if total == 0:
        raise OutOfRange("sum of a ratio", "0", "1", "any")
    return tuple(Fraction(term, total) for term in ratio)


@dataclass(frozen=True, slots=True)
class Tally:
    """Observed counts beside expected shares, class by class.

    counts: young per class, whole numbers of 0 and more, at most 100,000 together.
    shares: as many probabilities, summing to 1 (exactly if all are fractions, within 1e-9 otherwise).
    Raises OutOfRange for a count that cannot be, SharesRefused for shares that are no distribution.

    >>> Tally((18, 6), shares_of((3, 1))).expectations
    (Fraction(18, 1), Fraction(6, 1))
    """

    counts: tuple[int, ...]
    shares: tuple[Share, ...]

    def __post_init__(self) -> None:
        check_counts(self.counts)
        if len(self.counts) != len(self.shares):
            raise SharesRefused("as many shares as counts", f"{len(self.shares)} for {len(self.counts)}")
        for share in self.shares:
            if not 0 <= share <= 1:
                raise SharesRefused("share within 0 and 1", str(share))
        total: Share = sum(self.shares, Fraction(0))
        if abs(float(total - 1)) > 1e-9 or (isinstance(total, Fraction) and total != 1):
            raise SharesRefused("shares that sum to 1", str(total))

    @property
    def total(self) -> int:
        """All young counted."""
        return sum(self.counts)

    @property
    def expectations(self) -> tuple[Share, ...]:
        """Young expected per class among as many as were counted."""
        return tuple(share * self.total for share in self.shares)

    @property
    def impossible(self) -> bool:
        """Whether a young was counted in a class that has no share."""
        return any(count and not share for count, share in zip(self.counts, self.shares, strict=True))

    def possible(self) -> "Tally":
        """The same without the classes that have neither share nor young."""
        kept = [pair for pair in zip(self.counts, self.shares, strict=True) if pair[0] or pair[1]]
        return Tally(tuple(count for count, _ in kept), tuple(share for _, share in kept))

    def log_likelihood(self) -> float:
        """ln P(these counts | these shares, as many young), with the number of orders; -inf if impossible.

        >>> round(math.exp(Tally((3, 1), shares_of((3, 1))).log_likelihood()), 6)  # 4·(3/4)³·(1/4)
        0.421875
        """
        if self.impossible:
            return -math.inf
        found = math.lgamma(self.total + 1)
        for count, share in zip(self.counts, self.shares, strict=True):
            if count:
                found += count * math.log(share) - math.lgamma(count + 1)
        return found


def tally(counts: Sequence[int], shares: Sequence[Share]) -> Tally:
    """A checked Tally from any sequences; see there."""
    return Tally(tuple(counts), tuple(shares))


def check_counts(counts: Sequence[int]) -> None:
    """Raises OutOfRange unless there are 1 to 64 classes, no count is below 0 and all are at most 100,000 together."""
    if not 1 <= len(counts) <= CLASSES:
        raise OutOfRange("classes", str(len(counts)), "1", str(CLASSES))
    for count in counts:
        if count < 0:
            raise OutOfRange("count", str(count), "0", str(YOUNG))
    if sum(counts) > YOUNG:
        raise OutOfRange("young", str(sum(counts)), "0", str(YOUNG))


def misread(shares: Sequence[Share], read_as: Sequence[Sequence[Share]]) -> tuple[Share, ...]:
    """The shares as they are *seen* by a scorer who takes one class for another.

    read_as: row i says how an animal of true class i is read: `read_as[i][j]` is P(read as j | is i); each row sums
        to 1. There may be more or fewer readings than classes. Raises SharesRefused where a row is no distribution.
    The law of total probability. That scorers differ: Pearl 1911, Biol. Bull. 21:339-366.

    >>> one_in_ten = ((Fraction(1), Fraction(0)), (Fraction(1, 10), Fraction(9, 10)))  # a visual taken for wild
    >>> [str(share) for share in misread(shares_of((3, 1)), one_in_ten)]
    ['31/40', '9/40']
    """
    if len(read_as) != len(shares):
        raise SharesRefused("a row of readings for each class", f"{len(read_as)} for {len(shares)}")
    width = len(read_as[0]) if read_as else 0
    for row in read_as:
        if len(row) != width:
            raise SharesRefused("rows of readings of one length", f"{len(row)} beside {width}")
        Tally((0,) * width, tuple(row))
    return tuple(
        sum((share * row[reading] for share, row in zip(shares, read_as, strict=True)), Fraction(0))
        for reading in range(width)
    )


def misreading(widths: Sequence[int], error: Share) -> tuple[tuple[Share, ...], ...]:
    """How joint classes are read by a scorer who takes a class for another with this chance, character by character.

    widths: how many classes each character has; joint classes in the order of their product, the last varies fastest.
    A row for `misread` each. Raises OutOfRange unless 0 ≤ error ≤ 1.

    >>> [[str(share) for share in row] for row in misreading((2,), Fraction(1, 20))]
    [['19/20', '1/20'], ['1/20', '19/20']]
    """
    if not 0 <= error <= 1:
        raise OutOfRange("scoring error", str(error), "0", "1")
    rows: list[list[Share]] = [[Fraction(1)]]
    for width in widths:
        kept, taken = (1 - error, error / (width - 1)) if width > 1 else (Fraction(1), Fraction(0))
        rows = [
            [share * (kept if read == true else taken) for share in row for read in range(width)]
            for row in rows
            for true in range(width)
        ]
    return tuple(tuple(row) for row in rows)
