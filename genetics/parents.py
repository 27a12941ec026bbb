"""Parents as they are known: a distribution over kinds of whole animals."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import NamedTuple, TypeAlias

from genetics.characters import Scored
from genetics.errors import CrossFault, CrossRefused, SharesRefused, TooLarge, TraitMissing
from genetics.genome import Genome
from genetics.genotypes import Genotype
from genetics.groups import Group
from genetics.layout import layout_of, trait_alleles
from genetics.limits import KINDS
from genetics.loci import Role
from genetics.rates import Rate, all_exact, over_one_total
from genetics.traits import Trait

LATER_MALE = Fraction(28, 100)
"""Share of a brood sired by a male that came later: 28 % ± 15 in A. vulgare (doi 10.1651/S-2752.1, read as an abstract)."""

STORED: tuple[tuple[Fraction, Fraction], ...] = (
    (Fraction(1, 2), Fraction(0)),
    (Fraction(1, 12), Fraction(46, 100)),
    (Fraction(1, 3), Fraction(72, 100)),
    (Fraction(1, 12), Fraction(98, 100)),
)
"""Prior for the share of a brood from stored sperm, as (probability, share), where nobody knows.

Half: none is left (judgement; of A. granulatum females mated once, a little under half had a second brood). Otherwise what
a later male does not take, 72 % ± 15: three points with that mean and that standard deviation.
"""

Genotypes: TypeAlias = tuple[Genotype, ...]
"""The genotype of an animal in each linkage group, in the order of the groups."""


class Block(NamedTuple):
    """Groups whose genotypes are associated: each kind's genotypes there, and its weight; weights sum to the total."""

    groups: tuple[int, ...]
    animals: tuple[Genotypes, ...]
    weights: tuple[int, ...]
    total: int


@dataclass(frozen=True, slots=True)
class Parent:
    """One parent: the kinds of animal it may be, with their probabilities, every trait jointly.

    Kinds are whole animals, so that what is associated between traits stays so; where parts of the genome are known to
    be independent of each other they stand in blocks of their own, and are multiplied out only when somebody asks.
    Build one with `parent` from a side, with `Parent.of` or `Parent.weighted` from weighted kinds, with `mixed` from
    the numbers in a bin, or take a young of a cross (`Offspring.one`).

    scored: which traits and characters are said. genome: where their loci lie. role: dam or sire, None where it makes
    no difference. groups: the linkage groups, the genotypes of a kind in this order. blocks: the distribution. exact:
    whether no probability came as a float. phase_unknown: traits whose linkage phase is averaged over.

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> Parent.of([ember], [(Fraction(2, 3), (1,)), (Fraction(1, 3), (0,))]).carries(ember, 1)
    Fraction(2, 3)
    """

    scored: tuple[Scored, ...]
    genome: Genome
    role: Role | None
    groups: tuple[Group, ...]
    blocks: tuple[Block, ...]
    exact: bool = True
    phase_unknown: tuple[str, ...] = ()

    @classmethod
    def of(cls, traits: Sequence[Trait], kinds: Iterable[tuple[Rate, Sequence[int]]]) -> "Parent":
        """A parent drawn from kinds: (probability, copies of each trait's allele in the order of `traits`).

        For unlinked traits on autosomes, each at a locus of its own. The probabilities sum to 1.
        Raises SharesRefused, TraitClash, TooLarge.

        >>> from genetics import Dominance
        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> frost = Trait("frost", "f", Dominance.RECESSIVE)
        >>> half = Fraction(1, 2)
        >>> mixed = Parent.of([ember, frost], [(half, (2, 0)), (half, (0, 2))])
        >>> [(str(share), "; ".join(map(str, animal))) for share, animal in mixed.kinds]
        [('1/2', 'e/e; +/+'), ('1/2', '+/+; f/f')]
        """
        animals: list[tuple[Rate, Genotypes]] = []
        for share, copies in kinds:
            if len(copies) != len(traits) or not all(number in (0, 1, 2) for number in copies):
                raise SharesRefused(f"copies of {len(traits)} alleles, each 0, 1 or 2", str(tuple(copies)))
            pairs = [trait_alleles(trait, number) for trait, number in zip(traits, copies, strict=True)]
            animals.append((share, tuple(Genotype((one,), (other,)) for one, other in pairs)))
        return cls.weighted(traits, animals)

    @classmethod
    def weighted(
        cls,
        scored: Sequence[Scored],
        kinds: Iterable[tuple[Rate, Sequence[Genotype]]],
        genome: Genome | None = None,
        role: Role | None = None,
    ) -> "Parent":
        """A parent drawn from kinds of whole animals: (probability, genotype in each group), for example a posterior.

        The groups are those of the loci asked for, in order of first mention; where chromosomes decide the sex their
        pair is among them, last if no locus lies there. Raises SharesRefused unless the probabilities are positive and
        sum to 1 (floats: within 1e-9, and are made to), CrossRefused for a genotype that this parent cannot have.

        >>> from genetics import Dominance
        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> Parent.weighted([ember], [(0.25, [Genotype(("e",), ("+",))]), (0.75, [Genotype(("+",), ("+",))])]).exact
        False
        """
        genome = Genome() if genome is None else genome
        layout = layout_of(scored, genome)
        merged: dict[Genotypes, Fraction] = {}
        rates: list[Rate] = []
        for share, animal in kinds:
            if not share > 0:
                raise SharesRefused("share not above 0", str(share))
            if len(animal) != len(layout.groups):
                raise SharesRefused(f"genotypes of {len(layout.groups)} groups", "; ".join(map(str, animal)))
            for group, genotype in zip(layout.groups, animal, strict=True):
                group.check(genotype, role, genome)
            rates.append(share)
            merged[tuple(animal)] = merged.get(tuple(animal), Fraction(0)) + Fraction(share)
        exact = all_exact(rates)
        block = block_of(tuple(range(len(layout.groups))), merged, exact)
        return cls(layout.scored, genome, role, layout.groups, (block,), exact)

    @property
    def kinds(self) -> tuple[tuple[Fraction, Genotypes], ...]:
        """The kinds of whole animals, each with its probability; they sum to exactly 1. Raises TooLarge."""
        joined = joined_block(self)
        return tuple(
            (Fraction(weight, joined.total), animal)
            for weight, animal in zip(joined.weights, joined.animals, strict=True)
        )

    def carries(self, trait: Trait, copies: int) -> Fraction:
        """The probability that this animal has exactly so many copies of the trait's allele. Raises TraitMissing."""
        group = self._group_of(trait)
        block = next(one for one in self.blocks if group in one.groups)
        at = block.groups.index(group)
        found = sum(
            weight
            for weight, animal in zip(block.weights, block.animals, strict=True)
            if animal[at].copies(trait.symbol) == copies
        )
        return Fraction(found, block.total)

    def _group_of(self, trait: Trait) -> int:
        for at, group in enumerate(self.groups):
            if trait.locus in group.loci:
                return at
        raise TraitMissing(trait.name)


def block_of(groups: tuple[int, ...], kinds: Mapping[Genotypes, Fraction], exact: bool) -> Block:
    """Kinds as whole numbers over one total; of floats the sum is made 1."""
    if len(kinds) > KINDS:
        raise TooLarge("kinds of one parent", len(kinds), KINDS, KINDS, "kinds")
    whole = sum(kinds.values(), Fraction(0))
    if whole != 1 and (exact or abs(whole - 1) > Fraction(1, 10**9)):
        raise SharesRefused("shares that sum to 1", str(whole))
    weights, _ = over_one_total(kinds.values())
    divisor = math.gcd(*weights)
    weights = tuple(weight // divisor for weight in weights)
    return Block(groups, tuple(kinds), weights, sum(weights))


def joined_block(parent: Parent) -> Block:
    """All blocks of a parent multiplied out, over all its groups in order. Raises TooLarge."""
    cost = math.prod(len(block.animals) for block in parent.blocks)
    if cost > KINDS:
        fits = KINDS.bit_length() - 1
        raise TooLarge("kinds of one parent", cost, KINDS, fits, "uncertain traits")
    if len(parent.blocks) == 1:
        return parent.blocks[0]
    where = {group: (at, place) for at, block in enumerate(parent.blocks) for place, group in enumerate(block.groups)}
    order = [where[group] for group in range(len(parent.groups))]
    animals, weights = [], []
    for chosen in product(*(range(len(block.animals)) for block in parent.blocks)):
        picked = [block.animals[at] for block, at in zip(parent.blocks, chosen, strict=True)]
        animals.append(tuple([picked[at][place] for at, place in order]))
        weights.append(math.prod(block.weights[at] for block, at in zip(parent.blocks, chosen, strict=True)))
    total = math.prod(block.total for block in parent.blocks)
    return Block(tuple(range(len(parent.groups))), tuple(animals), tuple(weights), total)


def mixed(kinds: Iterable[tuple[Rate, Parent]]) -> Parent:
    """A breeder drawn from a bin by the numbers of each kind: 20 e/e F/F and 20 +/+ f/f.

    kinds: (how many, or any weight; what is known of one of these). Whole animals are drawn, so that traits are
    associated as they are in the bin. Raises SharesRefused for weights that are not above 0, CrossRefused if the kinds
    speak of different genomes or parents, TooLarge.

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> visual, wild = (Parent.of([ember], [(1, (copies,))]) for copies in (2, 0))
    >>> mixed([(5, visual), (15, wild)]).carries(ember, 2)
    Fraction(1, 4)
    """
    known = list(kinds)
    if not known:
        raise SharesRefused("kinds of a bin", "none")
    first = known[0][1]
    for weight, one in known:
        if not weight > 0:
            raise SharesRefused("number not above 0", str(weight))
        if (one.scored, one.genome, one.role) != (first.scored, first.genome, first.role):
            raise CrossRefused(CrossFault.OTHER_GENOME, ", ".join(each.name for each in one.scored))
    whole = sum((Fraction(weight) for weight, _ in known), Fraction(0))
    merged: dict[Genotypes, Fraction] = {}
    for weight, one in known:
        for share, animal in one.kinds:
            merged[animal] = merged.get(animal, Fraction(0)) + share * Fraction(weight) / whole
    exact = all_exact(weight for weight, _ in known) and all(one.exact for _, one in known)
    unknown = tuple(dict.fromkeys(name for _, one in known for name in one.phase_unknown))
    block = block_of(tuple(range(len(first.groups))), merged, True)
    return Parent(first.scored, first.genome, first.role, first.groups, (block,), exact, unknown)


@dataclass(frozen=True, slots=True)
class Sires:
    """The fathers of one brood: several males, each drawn once for the brood, and how the young are shared out.

    males: what is known of each. shares: the possible ways to share, each with its probability and the share of every
    male; one way if the shares are known. exact: whether no figure came as a float. Made by `several` and
    `stored_sperm`. Raises SharesRefused unless each adds up to 1.

    >>> from genetics import Dominance
    >>> wild = Parent.of([Trait("ember", "e", Dominance.RECESSIVE)], [(1, (0,))])
    >>> Sires((wild, wild), ((1, (0.75, 0.25)),)).exact
    False
    """

    males: tuple[Parent, ...]
    shares: tuple[tuple[Rate, tuple[Rate, ...]], ...]
    exact: bool = True

    def __post_init__(self) -> None:
        for _, split in self.shares:
            if len(split) != len(self.males):
                raise SharesRefused(f"shares of {len(self.males)} sires", str(len(split)))
        figures = [figure for chance, split in self.shares for figure in (chance, *split)]
        exact = self.exact and all_exact(figures) and all(male.exact for male in self.males)
        chances = made_whole([chance for chance, _ in self.shares])
        splits = [made_whole(split) for _, split in self.shares]
        object.__setattr__(self, "shares", tuple(zip(chances, splits, strict=True)))
        object.__setattr__(self, "exact", exact)


def made_whole(shares: Sequence[Rate]) -> tuple[Fraction, ...]:
    """Shares, none below 0, as fractions that sum to exactly 1; floats may be off by 1e-9. Raises SharesRefused.

    >>> made_whole([Fraction(2, 3), Fraction(1, 3)])
    (Fraction(2, 3), Fraction(1, 3))
    """
    if not shares or not all(0 <= share <= 1 for share in shares):
        raise SharesRefused("shares between 0 and 1", str([str(share) for share in shares]))
    known = [Fraction(share) for share in shares]
    whole = sum(known, Fraction(0))
    if whole != 1 and (all_exact(shares) or abs(whole - 1) > Fraction(1, 10**9)):
        raise SharesRefused("shares that sum to 1", str(whole))
    return tuple(share / whole for share in known)


def several(males: Iterable[tuple[Rate, Parent]]) -> Sires:
    """Several sires of one brood, each with his share of the young (which sum to 1).

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> visual, wild = (Parent.of([ember], [(1, (copies,))]) for copies in (2, 0))
    >>> len(several([(Fraction(72, 100), wild), (Fraction(28, 100), visual)]).males)
    2
    """
    known = list(males)
    return Sires(tuple(male for _, male in known), ((1, tuple(share for share, _ in known)),))


def stored_sperm(mate: Parent, stored: Parent, share: Rate | Iterable[tuple[Rate, Rate]]) -> Sires:
    """The sires of a dam that may carry sperm from where she came from.

    mate: the male she is with. stored: a male of her bin of origin. share: the share of the young that is sired from
    the store; if it is not known, the possible shares as (probability, share), a small prior.

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> visual, wild = (Parent.of([ember], [(1, (copies,))]) for copies in (2, 0))
    >>> half = Fraction(1, 2)
    >>> [str(chance) for chance, _ in stored_sperm(visual, wild, [(half, 0), (half, Fraction(28, 100))]).shares]
    ['1/2', '1/2']
    """
    ways = [(1, share)] if isinstance(share, Fraction | float | int) else list(share)
    return Sires((mate, stored), tuple((chance, (1 - Fraction(one), one)) for chance, one in ways))
