"""Groups of animals that nobody tells apart, and how each came to be.

A single animal is a group of one, so that any mixture of bins and marked animals is one list. The animals that bred are a
group of their own: who was not recorded is `Drawn` from the bin they stood in.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from genetics.errors import KinshipFault, KinshipRefused, OutOfRange
from genetics.loci import Role
from genetics.rates import Rate, exactly

MOST = 10**9
ANYWHERE = "*"
"""The origin of founders of whom it is not known."""


@dataclass(frozen=True, slots=True)
class Founded:
    """Founders. number: how many, at least 1; None for many. inbreeding: their F.

    origin: where they come from; founders of one origin, in one group or in several, have the `origin_kinship` of the
    question. None: they are unrelated, to each other and to all others. `ANYWHERE`: it is not known, so that they may be
    of one origin with each other and with any others that have one. Raises KinshipRefused, OutOfRange.

    >>> Founded("B-1", 12, origin="old quarry").number
    12
    """

    name: str
    number: Rate | None = None
    origin: str | None = None
    inbreeding: Rate = 0

    def __post_init__(self) -> None:
        _check(self.name, self.number)
        exactly("inbreeding", self.inbreeding)


@dataclass(frozen=True, slots=True)
class Drawn:
    """Animals taken at random from a group: its breeders, say. number: how many, or effective breeders (1/Σc²); None for many.

    role: dams and sires are never the same animals, though both are drawn from one group.
    Raises KinshipRefused, OutOfRange.

    >>> Drawn("dams of B-2", "B-1", 4, Role.DAM).of
    'B-1'
    """

    name: str
    of: str
    number: Rate | None = None
    role: Role | None = None

    def __post_init__(self) -> None:
        _check(self.name, self.number, self.of)


@dataclass(frozen=True, slots=True)
class Bred:
    """Young of a group of dams and a group of sires, each young of any dam and any sire. number: of young; None for many.

    Raises KinshipRefused, OutOfRange.

    >>> Bred("B-2", "dams of B-2", "sires of B-2", 30).dams
    'dams of B-2'
    """

    name: str
    dams: str
    sires: str
    number: Rate | None = None

    def __post_init__(self) -> None:
        _check(self.name, self.number, self.dams, self.sires)


@dataclass(frozen=True, slots=True)
class Cloned:
    """Young of clonal females (thelytoky): each has its mother's genotype. number: of young; None for many.

    Raises KinshipRefused, OutOfRange.

    >>> Cloned("B-7", "B-6").dams
    'B-6'
    """

    name: str
    dams: str
    number: Rate | None = None

    def __post_init__(self) -> None:
        _check(self.name, self.number, self.dams)


@dataclass(frozen=True, slots=True)
class Merged:
    """Groups poured together. parts: each group with how many animals came from it, at least 1.

    Raises KinshipRefused, OutOfRange.

    >>> Merged("B-9", (("B-1", 10), ("B-2", 5))).number
    Fraction(15, 1)
    """

    name: str
    parts: tuple[tuple[str, Rate], ...]

    def __post_init__(self) -> None:
        _check(self.name, None, *(name for name, _ in self.parts))
        if len({name for name, _ in self.parts}) < len(self.parts):
            raise KinshipRefused(KinshipFault.PARTS_OVERLAP, self.name)
        if not self.parts:
            raise KinshipRefused(KinshipFault.EMPTY, self.name)
        for name, number in self.parts:
            _check(name, number)

    @property
    def number(self) -> Fraction:
        """How many there are together."""
        return sum((Fraction(number) for _, number in self.parts), Fraction(0))


AnyGroup: TypeAlias = Founded | Drawn | Bred | Cloned | Merged
"""A group, told by how it came to be."""


def comes_from(group: AnyGroup) -> tuple[str, ...]:
    """The groups that a group was made from.

    >>> comes_from(Bred("B-2", "dams", "sires"))
    ('dams', 'sires')
    """
    match group:
        case Founded():
            return ()
        case Drawn():
            return (group.of,)
        case Bred():
            return (group.dams, group.sires)
        case Cloned():
            return (group.dams,)
        case Merged():
            return tuple(name for name, _ in group.parts)


def _check(name: str, number: Rate | None, *others: str) -> None:
    if not name or "" in others:
        raise KinshipRefused(KinshipFault.EMPTY, name)
    if number is not None and not 1 <= number <= MOST:
        raise OutOfRange("number", str(number), "1", str(MOST))
