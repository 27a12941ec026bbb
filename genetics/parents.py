"""Parents as they are known: a distribution over kinds of whole animals."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from genetics.errors import BinUnresolved, SharesRefused, TooLarge, TraitMissing
from genetics.genotypes import Genotype
from genetics.inheritance import groups_of
from genetics.limits import KINDS
from genetics.sides import BinCode, Side, State, Stated
from genetics.traits import Trait, distinct

Genotypes = tuple[Genotype, ...]
"""The genotype of an animal in each linkage group, in the order of the groups."""


@dataclass(frozen=True, slots=True)
class Parent:
    """One parent: the kinds of animal it may be, each with its probability `weight / total`, every trait jointly.

    Kinds are whole animals, so that what is associated between traits stays so. Build one with `parent` from a side,
    or with `Parent.of` from weighted kinds.

    traits: which traits are said; one linkage group each, in this order. animals: the distinct kinds.
    weights: positive whole numbers that sum to `total`, one for each kind.

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> Parent.of([ember], [(Fraction(2, 3), (1,)), (Fraction(1, 3), (0,))]).carries(ember, 1)
    Fraction(2, 3)
    """

    traits: tuple[Trait, ...]
    animals: tuple[Genotypes, ...]
    weights: tuple[int, ...]
    total: int

    @classmethod
    def of(cls, traits: Sequence[Trait], kinds: Iterable[tuple[Fraction, Sequence[int]]]) -> "Parent":
        """A parent drawn from kinds: (probability, copies of each trait's allele in the order of `traits`).

        The probabilities sum to 1. Raises SharesRefused, TraitClash, TooLarge.

        >>> from genetics import Dominance
        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> frost = Trait("frost", "f", Dominance.RECESSIVE)
        >>> half = Fraction(1, 2)
        >>> mixed = Parent.of([ember, frost], [(half, (2, 0)), (half, (0, 2))])
        >>> [(str(share), "; ".join(map(str, animal))) for share, animal in mixed.kinds]
        [('1/2', 'e/e; +/+'), ('1/2', '+/+; f/f')]
        """
        known = distinct(traits)
        merged: dict[tuple[int, ...], Fraction] = {}
        for share, copies in kinds:
            if share <= 0:
                raise SharesRefused("share not above 0", str(share))
            if len(copies) != len(known) or not all(number in (0, 1, 2) for number in copies):
                raise SharesRefused(f"copies of {len(known)} alleles, each 0, 1 or 2", str(tuple(copies)))
            merged[tuple(copies)] = merged.get(tuple(copies), Fraction(0)) + share
        if sum(merged.values()) != 1:
            raise SharesRefused("shares that sum to 1", str(sum(merged.values())))
        if len(merged) > KINDS:
            raise TooLarge("kinds of one parent", len(merged), KINDS, KINDS, "kinds")
        total = math.lcm(*(share.denominator for share in merged.values()))
        groups = groups_of(known)
        return cls(
            known,
            tuple(
                tuple(group.genotype((number,)) for group, number in zip(groups, copies, strict=True))
                for copies in merged
            ),
            tuple(share.numerator * (total // share.denominator) for share in merged.values()),
            total,
        )

    @property
    def kinds(self) -> tuple[tuple[Fraction, Genotypes], ...]:
        """The kinds, each with its probability; the probabilities sum to exactly 1."""
        return tuple(
            (Fraction(weight, self.total), animal) for weight, animal in zip(self.weights, self.animals, strict=True)
        )

    def carries(self, trait: Trait, copies: int) -> Fraction:
        """The probability that this animal has exactly so many copies of the trait's allele. Raises TraitMissing."""
        group = index_of(self.traits, trait)
        found = sum(
            weight
            for weight, animal in zip(self.weights, self.animals, strict=True)
            if animal[group].copies(trait.symbol) == copies
        )
        return Fraction(found, self.total)


def index_of(traits: tuple[Trait, ...], trait: Trait) -> int:
    """Where the trait stands; raises TraitMissing."""
    try:
        return traits.index(trait)
    except ValueError:
        raise TraitMissing(trait.name) from None


def parent(side: Side, traits: Sequence[Trait]) -> Parent:
    """The parent that a side states, with respect to `traits`; what the side does not say is wild.

    The figures of several possible hets are taken as independent of each other. Raises BinUnresolved, TraitMissing for
    a stated trait that is not among `traits`, TraitClash, TooLarge.

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> maybe = parent(Side((Stated(ember, State.POSSIBLE_HET, Fraction(2, 3)),)), [ember])
    >>> maybe.carries(ember, 1)
    Fraction(2, 3)
    """
    known = distinct(traits)
    stated: dict[Trait, Stated] = {}
    for item in side.items:
        if isinstance(item, BinCode):
            raise BinUnresolved(item.code)
        if item.trait not in known:
            raise TraitMissing(item.trait.name)
        stated[item.trait] = item
    uncertain = sum(item.chance is not None for item in stated.values())
    if 2**uncertain > KINDS:
        raise TooLarge("kinds of one parent", 2**uncertain, KINDS, KINDS.bit_length() - 1, "uncertain traits")
    animals: list[Genotypes] = [()]
    weights = [1]
    total = 1
    for trait, group in zip(known, groups_of(known), strict=True):
        options, denominator = _options(stated.get(trait))
        genotypes = [(group.genotype((copies,)), weight) for copies, weight in options]
        animals = [(*animal, genotype) for animal in animals for genotype, _ in genotypes]
        weights = [weight * factor for weight in weights for _, factor in genotypes]
        total *= denominator
    return Parent(known, tuple(animals), tuple(weights), total)


def _options(item: Stated | None) -> tuple[tuple[tuple[int, int], ...], int]:
    """(copies, weight) of what a statement allows, and the sum of the weights."""
    if item is None or item.state is State.WILD:
        return ((0, 1),), 1
    if item.chance is not None:
        carrying, total = item.chance.numerator, item.chance.denominator
        return ((1, carrying), (0, total - carrying)), total
    return ((1 if item.state is State.HET else 2, 1),), 1
