"""A line that nothing new enters: what each generation costs it."""

from dataclasses import dataclass
from fractions import Fraction

from genetics.errors import OutOfRange
from genetics.rates import Rate, exactly

GENERATIONS = 100
"""The most generations of one question; exact fractions grow with each."""


@dataclass(frozen=True, slots=True)
class LineGeneration:
    """One generation of young of a closed line, each figure a mean over the animals.

    number: 1 for the founders' young. inbreeding: F. kinship: of two different young. loss: the share of the variation
    within animals, 1 − F, that was lost since the generation before; 0 in the first.

    >>> closed_line(1, 1, 2)[1].loss
    Fraction(1, 4)
    """

    number: int
    inbreeding: Fraction
    kinship: Fraction
    loss: Fraction


def closed_line(dams: Rate, sires: Rate, count: int, founders: Rate = 0) -> tuple[LineGeneration, ...]:
    """`count` generations (1 to 100) in each of which so many dams and sires breed, drawn at random from the young before.

    dams, sires: effective breeders, at least 1. founders: the kinship of two founders, 0 to 1/2.
    With one pair a generation this is full-sib mating. Raises OutOfRange.

    >>> [str(young.inbreeding) for young in closed_line(1, 1, 5)]
    ['0', '1/4', '3/8', '1/2', '19/32']
    """
    if not 1 <= count <= GENERATIONS:
        raise OutOfRange("generations", str(count), "1", str(GENERATIONS))
    parts = [Fraction(1) / _breeders("dams", dams), Fraction(1) / _breeders("sires", sires)]
    kinship, inbreeding = exactly("founders", founders, Fraction(1, 2)), Fraction(0)
    found: list[LineGeneration] = []
    for number in range(1, count + 1):
        itself = (1 + inbreeding) / 2
        means = [part * itself + (1 - part) * kinship for part in parts]
        before, inbreeding = inbreeding, kinship
        kinship = (sum(means) + 2 * kinship) / 4
        loss = (inbreeding - before) / (1 - before) if number > 1 else Fraction(0)
        found.append(LineGeneration(number, inbreeding, kinship, loss))
    return tuple(found)


def _breeders(name: str, number: Rate) -> Fraction:
    value = Fraction(number)
    if value < 1:
        raise OutOfRange(name, str(number), "1", "1000000000")
    return value
