"""Loci, the alleles there, and how loci hang together along a chromosome."""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from genetics.errors import ModelFault, ModelRefused, OutOfRange
from genetics.rates import Rate, exactly
from genetics.words import WILD_ALLELE, reserved_in_name

HALF = Fraction(1, 2)
CHROMOSOMES = frozenset({"x", "X", "Y", "Z", "W"})
"""Letters that stand for chromosomes (and for the x between two sides), so that no allele is called so."""

_SYMBOL = re.compile(r"[A-Za-z][A-Za-z0-9]{0,3}")


class Where(StrEnum):
    """Where a locus lies.

    SHARED: on the sex chromosome that both sexes carry, X or Z. LIMITED: on the one that only one sex carries, Y or W.
    CYTOPLASM: passed on by the dam alone; every young has what she has.

    >>> Where("X or Z") is Where.SHARED
    True
    """

    AUTOSOME = "autosome"
    SHARED = "X or Z"
    LIMITED = "Y or W"
    CYTOPLASM = "cytoplasm"


class Role(StrEnum):
    """Which parent. Recombination, sex chromosomes and the cytoplasm know the difference.

    >>> [role.value for role in Role]
    ['dam', 'sire']
    """

    DAM = "dam"
    SIRE = "sire"


class Sex(StrEnum):
    """The sex of a young.

    >>> [sex.value for sex in Sex]
    ['female', 'male']
    """

    FEMALE = "female"
    MALE = "male"


def is_symbol(text: str) -> bool:
    """Whether an allele may be written so: a letter and up to three letters or digits.

    >>> is_symbol("bm"), is_symbol("+"), is_symbol("toolong")
    (True, False, False)
    """
    return bool(_SYMBOL.fullmatch(text))


def is_taken(symbol: str) -> bool:
    """Whether a symbol is already a chromosome or a word of the notation.

    >>> is_taken("Z"), is_taken("e")
    (True, False)
    """
    return symbol in CHROMOSOMES or reserved_in_name((symbol.casefold(),)) is not None


@dataclass(frozen=True, slots=True)
class Locus:
    """A place on a chromosome with the alleles that stand there.

    name: unique among the loci of one question. alleles: their symbols, the wild one, "+", first; at least two.
    where: on which chromosome. order: the dominance order of an allelic series, the most dominant first, every allele
    once; left out where it is not known.

    Raises ModelRefused.

    >>> Locus("shade", ("+", "e", "ep"), order=("+", "e", "ep")).dominant("ep", "e")
    'e'
    """

    name: str
    alleles: tuple[str, ...]
    where: Where = Where.AUTOSOME
    order: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.alleles) < 2 or self.alleles[0] != WILD_ALLELE:
            raise ModelRefused(self.name, ModelFault.WILD_FIRST, " ".join(self.alleles))
        for symbol in self.alleles[1:]:
            if not is_symbol(symbol) or is_taken(symbol):
                raise ModelRefused(self.name, ModelFault.SYMBOL, symbol)
        if len(set(self.alleles)) < len(self.alleles):
            twice = next(one for one in self.alleles if self.alleles.count(one) > 1)
            raise ModelRefused(self.name, ModelFault.ALLELE_TWICE, twice)
        if self.order and sorted(self.order) != sorted(self.alleles):
            strange = [one for one in self.order if one not in self.alleles]
            fault = ModelFault.NOT_IN_SERIES if strange else ModelFault.ORDER
            raise ModelRefused(self.name, fault, " ".join(strange or self.order))

    def __hash__(self) -> int:
        return hash(self.name)

    def check(self, allele: str) -> None:
        """Raise ModelRefused for an allele that is not in the series of this locus."""
        if allele not in self.alleles:
            raise ModelRefused(self.name, ModelFault.NOT_IN_SERIES, allele)

    def dominant(self, one: str, other: str) -> str:
        """Which of two alleles shows, by the dominance order. Raises ModelRefused where there is none."""
        self.check(one)
        self.check(other)
        if not self.order:
            raise ModelRefused(self.name, ModelFault.NO_ORDER, f"{one}/{other}")
        return min(one, other, key=self.order.index)

    def pair(self, alleles: Iterable[str]) -> tuple[str, ...]:
        """Alleles at this locus in the order of the series, the wild one first. Raises ModelRefused.

        >>> Locus("ember", ("+", "e")).pair(["e", "+"])
        ('+', 'e')
        """
        known = tuple(alleles)
        for allele in known:
            self.check(allele)
        return tuple(sorted(known, key=self.alleles.index))


@dataclass(frozen=True, slots=True)
class LinkageGroup:
    """Loci in map order with the recombination fraction between neighbours, in dams and in sires; no interference.

    dam, sire: one fraction for each gap, 0 to 1/2, exact (a Fraction) or a float; one figure stands for every gap, and
    `sire` left out means the same as in dams. A sex without recombination has 0. All loci lie on the same kind of
    chromosome, and no symbol is used at two of them.

    Raises ModelRefused.

    >>> ember, frost = Locus("ember", ("+", "e")), Locus("frost", ("+", "f"))
    >>> LinkageGroup((ember, frost), Fraction(1, 10), 0).sire
    (Fraction(0, 1),)
    """

    loci: tuple[Locus, ...]
    dam: tuple[Rate, ...] | Rate = HALF
    sire: tuple[Rate, ...] | Rate | None = None

    def __post_init__(self) -> None:
        if not self.loci:
            raise ModelRefused("linkage group", ModelFault.EMPTY, "")
        for at, locus in enumerate(self.loci):
            if locus in self.loci[:at]:
                raise ModelRefused(locus.name, ModelFault.LOCUS_TWICE, locus.name)
            if locus.where is not self.loci[0].where:
                raise ModelRefused(locus.name, ModelFault.OTHER_CHROMOSOME, locus.where)
        symbols = [symbol for locus in self.loci for symbol in locus.alleles[1:]]
        for symbol in symbols:
            if symbols.count(symbol) > 1:
                raise ModelRefused(self.loci[0].name, ModelFault.SYMBOL_TWICE, symbol)
        object.__setattr__(self, "dam", self._gaps(self.dam))
        object.__setattr__(self, "sire", self.dam if self.sire is None else self._gaps(self.sire))

    def _gaps(self, given: tuple[Rate, ...] | Rate) -> tuple[Rate, ...]:
        gaps = given if isinstance(given, tuple) else (given,) * (len(self.loci) - 1)
        if len(gaps) != len(self.loci) - 1:
            raise ModelRefused(self.loci[0].name, ModelFault.GAPS, str(len(gaps)))
        for gap in gaps:
            if not 0 <= gap <= HALF:
                raise ModelRefused(self.loci[0].name, ModelFault.RECOMBINATION, str(gap))
        return tuple(gap if isinstance(gap, float) else Fraction(gap) for gap in gaps)

    def gaps(self, role: Role) -> tuple[Rate, ...]:
        """The recombination fractions between neighbours in one of the parents."""
        return self._gaps(self.dam if role is Role.DAM or self.sire is None else self.sire)

    def between(self, one: Locus, other: Locus, role: Role) -> Fraction:
        """The recombination fraction between any two loci of the group. Raises ModelRefused for a stranger.

        >>> loci = tuple(Locus(name, ("+", name)) for name in "abc")
        >>> LinkageGroup(loci, Fraction(1, 10)).between(loci[0], loci[2], Role.DAM)
        Fraction(9, 50)
        """
        for locus in (one, other):
            if locus not in self.loci:
                raise ModelRefused(locus.name, ModelFault.NOT_IN_GROUP, locus.name)
        low, high = sorted((self.loci.index(one), self.loci.index(other)))
        return composed(self.gaps(role)[low:high])


def composed(gaps: Sequence[Rate]) -> Fraction:
    """The recombination fraction over several gaps without interference: r = r1 + r2 − 2·r1·r2, gap by gap.

    >>> composed([Fraction(1, 10), Fraction(1, 5)])
    Fraction(13, 50)
    """
    together = Fraction(0)
    for gap in gaps:
        each = Fraction(gap)
        together += each - 2 * together * each
    return together


def haldane(morgans: float) -> float:
    """The recombination fraction of a map distance in Morgans without interference (Haldane 1919).

    Raises OutOfRange below 0.

    >>> round(haldane(0.10), 6)
    0.090635
    """
    return -math.expm1(-2 * _distance(morgans)) / 2


def kosambi(morgans: float) -> float:
    """The recombination fraction of a map distance in Morgans under Kosambi's interference (Kosambi 1944).

    It holds for one gap; over several gaps the group still takes crossovers as independent. Raises OutOfRange below 0.

    >>> round(kosambi(0.10), 6)
    0.098688
    """
    return math.tanh(2 * _distance(morgans)) / 2


def _distance(morgans: float) -> float:
    if not math.isfinite(morgans) or morgans < 0:
        raise OutOfRange("map distance", str(morgans), "0", "any length")
    return morgans


def checked_share(name: str, share: Rate) -> Rate:
    """The share as given, if it lies between 0 and 1. Raises OutOfRange.

    >>> checked_share("daughters", 0.8)
    0.8
    """
    exactly(name, share)
    return share
