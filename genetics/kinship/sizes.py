"""Effective numbers: how many equal breeders would lose as much."""

from collections.abc import Sequence
from fractions import Fraction

from genetics.errors import OutOfRange
from genetics.rates import Rate

MOST = 10**12


def effective_size(males: Rate, females: Rate) -> Fraction:
    """N_e = 4·N_m·N_f/(N_m + N_f) (Wright 1931): at most this, for unequal broods and overlapping generations make it smaller.

    males, females: that breed, above 0. Raises OutOfRange.

    >>> effective_size(1, 9)
    Fraction(18, 5)
    """
    one, other = _above_zero("males", males), _above_zero("females", females)
    return 4 * one * other / (one + other)


def effective_breeders(young: Sequence[Rate]) -> Fraction:
    """How many equal breeders would give young as alike: 1/Σc², with c the share of each one's young.

    young: of each breeder, 0 or more, not all 0. Raises OutOfRange.

    >>> effective_breeders([30, 30]), effective_breeders([40, 10, 10])
    (Fraction(2, 1), Fraction(2, 1))
    """
    each = [Fraction(number) for number in young]
    if not any(each) or min(each) < 0:
        raise OutOfRange("young", str(min(each, default=0)), "0", str(MOST))
    return sum(each, Fraction(0)) ** 2 / sum((number**2 for number in each), Fraction(0))


def harmonic_mean(sizes: Sequence[Rate]) -> Fraction:
    """The size that loses in each generation what these lose together: 1/N = mean of 1/N_i (Wright 1938).

    sizes: effective sizes of successive generations, above 0, at least one. Raises OutOfRange.

    >>> harmonic_mean([10, 100, 50, 10])
    Fraction(400, 23)
    """
    each = [_above_zero("size", size) for size in sizes] or [_above_zero("size", 0)]
    return len(each) / sum((1 / size for size in each), Fraction(0))


def loss_per_generation(size: Rate) -> Fraction:
    """The share of variation lost in a generation with separate sexes, as a rule of thumb: 1/(2·N_e + 1).

    The exact figures of a line are those of `closed_line`. Raises OutOfRange for a size not above 0.

    >>> loss_per_generation(2)
    Fraction(1, 5)
    """
    return 1 / (2 * _above_zero("size", size) + 1)


def inbreeding_after(size: Rate, generations: int) -> Fraction:
    """F(t) = 1 − (1 − 1/(2N))^t (Wright 1931): expected of an ideal population of N that starts with unrelated animals.

    size: N, at least 1/2. generations: 0 to 1,000. Raises OutOfRange.

    >>> inbreeding_after(2, 2)
    Fraction(7, 16)
    """
    number = Fraction(size)
    if number < Fraction(1, 2):
        raise OutOfRange("size", str(size), "1/2", str(MOST))
    if not 0 <= generations <= 1_000:
        raise OutOfRange("generations", str(generations), "0", "1000")
    return 1 - (1 - 1 / (2 * number)) ** generations


def _above_zero(name: str, number: Rate) -> Fraction:
    value = Fraction(number)
    if value <= 0:
        raise OutOfRange(name, str(number), "above 0", str(MOST))
    return value
