"""Probabilities as they are given: whole numbers and fractions are exact, a float stands for the binary fraction it is.

Everything is computed in whole numbers. A result that rests on a float is still a `Fraction`, so that shares always sum
to exactly 1; whoever shows it is told by `exact` that its digits mean no ratio.
"""

import math
from collections.abc import Iterable
from fractions import Fraction
from typing import TypeAlias

from genetics.errors import OutOfRange

Rate: TypeAlias = Fraction | float | int
"""A probability, 0 to 1, or another figure that may be exact or not."""

ROUNDING_BITS = 96
"""Figures that rest on floats are rounded to this many binary places before they are raised to high powers."""


def exactly(name: str, rate: Rate, high: Fraction | int = 1) -> Fraction:
    """The rate as a fraction. Raises OutOfRange unless 0 ≤ rate ≤ high; `name` says what it is.

    >>> exactly("penetrance", 0.5), exactly("penetrance", Fraction(2, 3))
    (Fraction(1, 2), Fraction(2, 3))
    """
    if isinstance(rate, float) and not math.isfinite(rate):
        raise OutOfRange(name, str(rate), "0", str(high))
    value = Fraction(rate)
    if not 0 <= value <= high:
        raise OutOfRange(name, str(rate), "0", str(high))
    return value


def fraction(rate: Rate) -> Fraction:
    """The rate as a fraction; a float as the binary fraction it is.

    >>> fraction(0.25)
    Fraction(1, 4)
    """
    return Fraction(rate)


def all_exact(rates: Iterable[Rate]) -> bool:
    """Whether none of the rates is a float.

    >>> all_exact([1, Fraction(1, 3)]), all_exact([0.25])
    (True, False)
    """
    return not any(isinstance(rate, float) for rate in rates)


def over_one_total(shares: Iterable[Fraction]) -> tuple[tuple[int, ...], int]:
    """Fractions as whole numbers over one common denominator.

    >>> over_one_total([Fraction(1, 2), Fraction(1, 3)])
    ((3, 2), 6)
    """
    known = tuple(shares)
    total = math.lcm(*(share.denominator for share in known))
    return tuple(share.numerator * (total // share.denominator) for share in known), total


def rounded(share: Fraction) -> Fraction:
    """A figure that rests on floats, to `ROUNDING_BITS` binary places; 0 stays 0, and nothing else becomes it.

    >>> rounded(Fraction(1, 3)) - Fraction(1, 3) < Fraction(1, 2**96)
    True
    """
    scaled = share.numerator * 2**ROUNDING_BITS // share.denominator
    return Fraction(max(scaled, 1), 2**ROUNDING_BITS) if share else share
