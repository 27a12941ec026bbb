"""Crossing two parents: what they are made into before any question is asked of their young, and what that costs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from genetics.characters import Scored
from genetics.errors import CrossFault, CrossRefused, TraitMissing
from genetics.genome import Genome, SexSystem
from genetics.genotypes import Genotype
from genetics.groups import Group
from genetics.layout import Layout, layout_of
from genetics.loci import Role
from genetics.pairings import Component, Pairing, classes_of, refuse_pairs
from genetics.parents import Block, Parent, Sires
from genetics.parts import Parts
from genetics.rates import fraction, over_one_total
from genetics.walking import Genotypes
from genetics.young import Offspring


@dataclass(frozen=True, slots=True)
class Cost:
    """What a cross costs before it runs.

    pairs: pairs of parent kinds to go through, over all components. classes: joint classes of all characters asked for,
    times the pairs of the component that they are most for.

    >>> Cost(pairs=4, classes=16).pairs
    4
    """

    pairs: int
    classes: int


def offspring(dam: Parent, sire: Parent | Sires | None, traits: Sequence[Scored]) -> Offspring:
    """The young of a dam and a sire with respect to `traits`, in that order.

    Both parents must say something of every locus of the traits (`parent(side, traits)` does), in the same genome. The
    two are taken as independent of each other. sire: several of one brood as Sires; None in a clonal species.
    Raises TraitMissing, TraitClash, TooLarge, CrossRefused.

    >>> from genetics import Dominance, Trait
    >>> ember, frost = Trait("ember", "e", Dominance.RECESSIVE), Trait("frost", "f", Dominance.RECESSIVE)
    >>> double_het = Parent.of([ember, frost], [(1, (1, 1))])
    >>> offspring(double_het, double_het, [ember, frost]).ratio()
    (9, 3, 3, 1)
    """
    return Offspring(_parts(dam, sire, traits), _unphased(dam, sire))


def cost(dam: Parent, sire: Parent | Sires | None, traits: Sequence[Scored]) -> Cost:
    """What a cross would cost; raises as `offspring` does, TooLarge included, and does no more than lay it out.

    >>> from genetics import Dominance, Trait
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> het = Parent.of([ember], [(1, (1,))])
    >>> cost(het, het, [ember])
    Cost(pairs=1, classes=2)
    """
    parts = _parts(dam, sire, traits)
    pairs = sum(len(one.pairings) for one in parts.components)
    return Cost(pairs, classes_of(parts.layout, parts.components, tuple(range(len(traits)))))


def _unphased(dam: Parent, sire: Parent | Sires | None) -> tuple[str, ...]:
    fathers = () if sire is None else sire.males if isinstance(sire, Sires) else (sire,)
    return tuple(dict.fromkeys(name for one in (dam, *fathers) for name in one.phase_unknown))


def _parts(dam: Parent, sire: Parent | Sires | None, traits: Sequence[Scored]) -> Parts:
    genome = dam.genome
    layout = layout_of(traits, genome)
    fathers = _checked(dam, sire, genome)
    exact = layout.exact and dam.exact and (sire is None or sire.exact)
    mother = _projected(dam, layout)
    males = [_projected(one, layout) for one in fathers]
    selects = layout.selects or (
        genome.system is SexSystem.ZZ_ZW
        and not genome.ww_lives
        and _bears(mother, "W")
        and any(_bears(one, "W") for one in males)
    )
    several = sire if isinstance(sire, Sires) else None
    together = (selects and len(layout.sexes) > 1) or (several is not None)
    components = []
    for groups in _components(layout, [mother, *males], together=together):
        clusters = tuple(at for at, cluster in enumerate(layout.clusters) if cluster[0] in groups)
        dams = _narrowed(mother, groups)
        sires = [_narrowed(one, groups) for one in males]
        refuse_pairs(len(dams.animals) * math.prod(len(one.animals) for one in sires), len(groups))
        components.append(_paired(groups, clusters, dams, sires, several))
    return Parts(layout, tuple(components), exact, selects)


def _checked(dam: Parent, sire: Parent | Sires | None, genome: Genome) -> tuple[Parent, ...]:
    """The fathers, if these can be parents of one brood."""
    if dam.role is Role.SIRE:
        raise CrossRefused(CrossFault.WRONG_ROLE, "dam")
    if genome.system is SexSystem.THELYTOKOUS:
        if sire is not None:
            raise CrossRefused(CrossFault.CLONAL_MALE, "sire")
        return ()
    if sire is None:
        raise CrossRefused(CrossFault.SIRE_MISSING, genome.system)
    fathers = sire.males if isinstance(sire, Sires) else (sire,)
    for one in fathers:
        if one.role is Role.DAM:
            raise CrossRefused(CrossFault.WRONG_ROLE, "sire")
        if one.genome != genome:
            raise CrossRefused(CrossFault.OTHER_GENOME, "sire")
    return fathers


def _projected(parent: Parent, layout: Layout) -> tuple[Block, ...]:
    """What is known of a parent in the groups of the question; raises TraitMissing for a locus it says nothing of."""
    if parent.groups == layout.groups:
        return parent.blocks
    where: dict[int, tuple[int, Group]] = {}
    for at, group in enumerate(layout.groups):
        source = next((each for each, own in enumerate(parent.groups) if _holds(own, group)), None)
        if source is None:
            missing = next(x for x in group.loci if not any(x in own.loci for own in parent.groups))
            raise TraitMissing(missing.name)
        where[at] = (source, group)
    blocks = []
    for block in parent.blocks:
        kept = [
            (at, block.groups.index(source), group) for at, (source, group) in where.items() if source in block.groups
        ]
        if not kept:
            continue
        found: dict[Genotypes, int] = {}
        for animal, weight in zip(block.animals, block.weights, strict=True):
            own = tuple([_part(parent.groups[block.groups[place]], group, animal[place]) for _, place, group in kept])
            found[own] = found.get(own, 0) + weight
        blocks.append(Block(tuple(at for at, _, _ in kept), tuple(found), tuple(found.values()), block.total))
    return tuple(blocks)


def _holds(group: Group, wanted: Group) -> bool:
    """Whether one group has all the loci of another, or is the same pair of chromosomes."""
    return group.kind is wanted.kind and all(locus in group.loci for locus in wanted.loci)


def _part(group: Group, wanted: Group, genotype: Genotype) -> Genotype:
    return Genotype(group.part_of(genotype.first, wanted), group.part_of(genotype.second, wanted))


def _bears(blocks: Sequence[Block], letter: str) -> bool:
    """Whether a parent may have a sex chromosome."""
    return any(
        letter in (genotype.first[:1] + genotype.second[:1])
        for block in blocks
        for animal in block.animals
        for genotype in animal
    )


def _components(layout: Layout, parents: Sequence[tuple[Block, ...]], *, together: bool) -> list[tuple[int, ...]]:
    """Groups that must be gone through together: associated in a parent, or read by one character."""
    home = list(range(len(layout.groups)))
    ties = [block.groups for blocks in parents for block in blocks] + list(layout.clusters)
    if together:
        ties.append(tuple(home))
    for tie in ties:
        joined = {home[group] for group in tie}
        home = [min(joined) if at in joined else at for at in home]
    return [tuple(group for group, at in enumerate(home) if at == low) for low in sorted(set(home))]


def _narrowed(blocks: Sequence[Block], groups: tuple[int, ...]) -> Block:
    """The blocks that lie within some groups, multiplied out."""
    inside = [block for block in blocks if block.groups[0] in groups]
    order = [group for block in inside for group in block.groups]
    places = [order.index(group) for group in groups]
    animals: list[Genotypes] = [()]
    weights = [1]
    refuse_pairs(math.prod(len(block.animals) for block in inside), len(groups))
    for block in inside:
        animals = [before + own for before in animals for own in block.animals]
        weights = [before * own for before in weights for own in block.weights]
    total = math.prod(block.total for block in inside)
    return Block(groups, tuple([tuple([animal[at] for at in places]) for animal in animals]), tuple(weights), total)


def _paired(
    groups: tuple[int, ...], clusters: tuple[int, ...], dams: Block, sires: Sequence[Block], several: Sires | None
) -> Component:
    """Every dam with every sire, or with every choice of her sires and of how they share the young."""
    ways: list[tuple[int, tuple[int, ...]]] = [(1, (1,))]
    total, whole = dams.total * math.prod(one.total for one in sires), 1
    if several is not None:
        shares, whole = over_one_total(share for _, split in several.shares for share in map(fraction, split))
        chances, chance_total = over_one_total(fraction(chance) for chance, _ in several.shares)
        many = len(sires)
        ways = [(chance, shares[at * many : (at + 1) * many]) for at, chance in enumerate(chances) if chance]
        total *= chance_total
    pairings = []
    males = [list(zip(one.animals, one.weights, strict=True)) for one in sires]
    for mother, eggs in zip(dams.animals, dams.weights, strict=True):
        for fathers in product(*males):
            weight = eggs * math.prod([one for _, one in fathers])
            mates = tuple([animal for animal, _ in fathers]) or (None,)
            pairings += [Pairing(weight * chance, mother, mates, split) for chance, split in ways]
    return Component(groups, clusters, tuple(pairings), total, whole)
