"""How a linkage group passes from two parents to their young.

The rest of the engine knows a group only by the protocol `Group`: which traits stand in it, and what young a pair of
genotypes gives. A further kind of inheritance is a further class here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, NamedTuple, Protocol, TypeVar

from genetics.genotypes import Genotype, Homologue
from genetics.traits import Trait

T_co = TypeVar("T_co", covariant=True)


class Spread(NamedTuple, Generic[T_co]):
    """A distribution in whole numbers: each thing has the probability weight/total; the weights sum to the total."""

    weights: tuple[tuple[T_co, int], ...]
    total: int


class Group(Protocol):
    """Loci that are inherited together, independently of every other group once both parents' genotypes are known."""

    @property
    def traits(self) -> tuple[Trait, ...]:
        """The traits whose loci stand in this group, in map order."""

    def genotype(self, copies: tuple[int, ...]) -> Genotype:
        """The genotype that holds so many copies of each trait's allele."""

    def young(self, dam: Genotype, sire: Genotype) -> Spread[Genotype]:
        """What genotypes the young of such a pair have."""


@dataclass(frozen=True, slots=True)
class AutosomalLocus:
    """One locus on an autosome: each parent passes on either of its two alleles, equally often (Mendel 1866).

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> locus = AutosomalLocus(ember)
    >>> het = locus.genotype((1,))
    >>> [(str(genotype), weight) for genotype, weight in locus.young(het, het).weights]
    [('+/+', 1), ('+/e', 2), ('e/e', 1)]
    """

    trait: Trait

    @property
    def traits(self) -> tuple[Trait, ...]:
        """The one trait of this locus."""
        return (self.trait,)

    def genotype(self, copies: tuple[int, ...]) -> Genotype:
        """The genotype with so many copies (0, 1 or 2) of the trait's allele."""
        (number,) = copies
        wild, own = ("+",), (self.trait.symbol,)
        return Genotype(own if number == 2 else wild, own if number else wild)

    def gametes(self, parent: Genotype) -> Spread[Homologue]:
        """What a parent passes on."""
        if parent.first == parent.second:
            return Spread(((parent.first, 2),), 2)
        return Spread(((parent.first, 1), (parent.second, 1)), 2)

    def young(self, dam: Genotype, sire: Genotype) -> Spread[Genotype]:
        """What genotypes the young of such a pair have; in the order of Mendel's 1:2:1."""
        found: dict[Genotype, int] = {}
        for egg, eggs in self.gametes(dam).weights:
            for sperm, sperms in self.gametes(sire).weights:
                genotype = Genotype(egg, sperm)
                found[genotype] = found.get(genotype, 0) + eggs * sperms
        return Spread(tuple(found.items()), 4)


def groups_of(traits: Sequence[Trait]) -> tuple[Group, ...]:
    """The linkage groups of these traits: each is unlinked to all others, so one group a trait, in the same order.

    The traits are distinct.
    """
    return tuple(AutosomalLocus(trait) for trait in traits)
