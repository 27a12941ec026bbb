"""Answers about young and their parents: shares of a whole, each exact."""

from dataclasses import dataclass
from fractions import Fraction

from genetics.parents import Genotypes
from genetics.traits import Appearance


@dataclass(frozen=True, slots=True)
class Part:
    """One pair that the parents may be: its probability, the dam's and the sire's genotype in each group.

    sire: empty in a clonal species. others: further sires of the same brood, each with his share of the young; the
    sire named first has the rest.

    >>> from genetics import Genotype
    >>> str(Part(Fraction(1), (Genotype(("e",), ("e",)),), (Genotype(("+",), ("+",)),)).dam[0])
    'e/e'
    """

    share: Fraction
    dam: Genotypes
    sire: Genotypes
    others: tuple[tuple[Fraction, Genotypes], ...] = ()


@dataclass(frozen=True, slots=True)
class ClassShare:
    """A class of young: how it looks in each character (in the order of those asked for), and its share.

    >>> ClassShare((Appearance.WILD, Appearance.FULL), Fraction(3, 16)).share
    Fraction(3, 16)
    """

    looks: tuple[str, ...]
    share: Fraction

    @property
    def appearance(self) -> tuple[Appearance, ...]:
        """The looks of plain traits. Raises ValueError for classes that a keeper named.

        >>> ClassShare((Appearance.WILD,), Fraction(1)).appearance
        (<Appearance.WILD: 'wild'>,)
        """
        return tuple([Appearance(look) for look in self.looks])


@dataclass(frozen=True, slots=True)
class GenotypeShare:
    """Young of one genotype: in each group asked for, and their share. `str()` is gene notation.

    >>> from genetics import Genotype
    >>> str(GenotypeShare((Genotype(("+",), ("e",)), Genotype(("f",), ("f",))), Fraction(1, 8)))
    '+/e; f/f'
    """

    genotypes: Genotypes
    share: Fraction

    def __str__(self) -> str:
        return "; ".join(map(str, self.genotypes))
