"""Genotypes of one linkage group, and how they are written."""

from dataclasses import dataclass
from typing import TypeAlias

from genetics.words import WILD_ALLELE

Homologue: TypeAlias = tuple[str, ...]
"""The alleles along one chromosome of a pair, in map order, by symbol; "+" is the wild one."""


@dataclass(frozen=True, slots=True)
class Genotype:
    """A pair of homologues, order meaning nothing: the one with more wild alleles in front is put first.

    >>> str(Genotype(("e",), ("+",)))
    '+/e'
    >>> Genotype(("e",), ("+",)) == Genotype(("+",), ("e",))
    True
    """

    first: Homologue
    second: Homologue

    def __post_init__(self) -> None:
        # "+" comes before every letter and digit, so that plain order puts the wild alleles first.
        if self.second < self.first:
            first = self.first
            object.__setattr__(self, "first", self.second)
            object.__setattr__(self, "second", first)

    def copies(self, symbol: str) -> int:
        """How many homologues carry the allele: 0, 1 or 2."""
        return (symbol in self.first) + (symbol in self.second)

    def __str__(self) -> str:
        return f"{' '.join(self.first)}/{' '.join(self.second)}"


def one_locus(symbol: str, copies: int) -> Genotype:
    """The genotype at a locus with two alleles that holds so many copies (0, 1 or 2) of `symbol`.

    >>> [str(one_locus("e", copies)) for copies in (0, 1, 2)]
    ['+/+', '+/e', 'e/e']
    """
    return Genotype((symbol if copies == 2 else WILD_ALLELE,), (symbol if copies else WILD_ALLELE,))
