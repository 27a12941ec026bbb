"""Genotypes of one linkage group, and how they are written."""

from dataclasses import dataclass
from typing import TypeAlias

from genetics.words import WILD_ALLELE

Homologue: TypeAlias = tuple[str, ...]
"""The alleles along one chromosome of a pair, in map order, by symbol; "+" is the wild one.

A sex chromosome has its letter in front (("Z", "e"); ("W",); "0" is the missing partner of an X), what the cytoplasm
carries has `CYTOPLASM` there. () is no chromosome at all: the second set of a haploid male.
"""

CYTOPLASM = "[]"
ABSENT = "-"
_RANKS = {"X": 1, "Y": 2, "Z": 1, "W": 2, "0": 2}


@dataclass(frozen=True, slots=True)
class Genotype:
    """A pair of homologues, order meaning nothing: the one with more wild alleles in front is put first.

    Of two sex chromosomes the one that both sexes carry is first.

    >>> str(Genotype(("e",), ("+",)))
    '+/e'
    >>> Genotype(("e",), ("+",)) == Genotype(("+",), ("e",))
    True
    >>> [str(Genotype(*pair)) for pair in ((("W",), ("Z", "e")), (("e",), ()), (("[]", "e"), ()), (("+", "f"), ("e", "+")))]
    ['Z^e/W', 'e/-', '[e]', '+ f/e +']
    """

    first: Homologue
    second: Homologue

    def __post_init__(self) -> None:
        if _rank(self.second) < _rank(self.first):
            first = self.first
            object.__setattr__(self, "first", self.second)
            object.__setattr__(self, "second", first)

    def copies(self, symbol: str) -> int:
        """How many homologues carry the allele: 0, 1 or 2."""
        return (symbol in self.first) + (symbol in self.second)

    def __str__(self) -> str:
        if self.first[:1] == (CYTOPLASM,):
            return f"[{' '.join(self.first[1:])}]"
        return f"{written(self.first)}/{written(self.second)}"


def _rank(homologue: Homologue) -> tuple[int, Homologue]:
    # "+" comes before every letter and digit, so that plain order puts the wild alleles first.
    return (9 if not homologue else _RANKS.get(homologue[0], 0), homologue)


def written(homologue: Homologue) -> str:
    """One homologue in gene notation.

    >>> written(("Z", "e")), written(("+", "f")), written(())
    ('Z^e', '+ f', '-')
    """
    if not homologue:
        return ABSENT
    if homologue[0] in _RANKS:
        return homologue[0] + ("^" + " ".join(homologue[1:]) if len(homologue) > 1 else "")
    return " ".join(homologue)


def one_locus(symbol: str, copies: int) -> Genotype:
    """The genotype at a locus with two alleles that holds so many copies (0, 1 or 2) of `symbol`.

    >>> [str(one_locus("e", copies)) for copies in (0, 1, 2)]
    ['+/+', '+/e', 'e/e']
    """
    return Genotype((symbol if copies == 2 else WILD_ALLELE,), (symbol if copies else WILD_ALLELE,))
