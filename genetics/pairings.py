"""The pairs that uncertain parents may be, no larger than they need to be.

Independent linkage groups multiply only given the genotypes of both parents. So what is known of the parents is kept in
components: groups whose genotypes are associated in one of the parents, or that one character is read from, stand
together with every pair of kinds there; components are independent of each other.
"""

import math
from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

from genetics.errors import NeverHappens, TooLarge
from genetics.layout import Layout
from genetics.limits import CLASSES, PART_GROUPS
from genetics.rates import ROUNDING_BITS
from genetics.walking import Genotypes


class Pairing(NamedTuple):
    """One pair that the parents may be, in the groups of a component: its weight, the dam, her mates and their shares.

    There is one sire, with the whole share, unless a brood has several; none in a clonal species.
    """

    weight: int
    dam: Genotypes
    sires: tuple[Genotypes | None, ...]
    shares: tuple[int, ...]


class Component(NamedTuple):
    """Groups whose parental genotypes are associated, the clusters they form, and the pairs there may be.

    Weights of the pairings sum to `total`, the shares of each pairing's sires to `whole`.
    """

    groups: tuple[int, ...]
    clusters: tuple[int, ...]
    pairings: tuple[Pairing, ...]
    total: int
    whole: int


def multiplied_out(components: Sequence[Component], layout: Layout) -> Component:
    """All components as one, with every pair of whole animals. Raises TooLarge."""
    if len(components) == 1:
        return components[0]
    refuse_pairs(math.prod(len(one.pairings) for one in components), len(layout.groups))
    groups = [group for one in components for group in one.groups]
    order = sorted(range(len(groups)), key=lambda at: groups[at])
    pairings = []
    for chosen in product(*(one.pairings for one in components)):
        dam = [genotype for one in chosen for genotype in one.dam]
        # More than one component means one sire: several are always kept in one.
        sire = [genotype for one in chosen for genotype in one.sires[0] or ()]
        pairings.append(
            Pairing(
                math.prod([one.weight for one in chosen]),
                tuple([dam[at] for at in order]),
                (tuple([sire[at] for at in order]) if sire else None,),
                (1,),
            )
        )
    total = math.prod(one.total for one in components)
    return Component(tuple(sorted(groups)), tuple(range(len(layout.clusters))), tuple(pairings), total, 1)


def reweighted(joined: Component, weights: Sequence[int], *, exact: bool) -> Component:
    """A component with other weights of its pairings, in lowest terms; pairings without any are left out.

    Weights that rest on floats are kept to so many places only. Raises NeverHappens if none is left.
    """
    if not any(weights):
        raise NeverHappens("these counts")
    if not exact:
        largest = max(weights)
        weights = [max((weight << ROUNDING_BITS) // largest, 1) if weight else 0 for weight in weights]
    divisor = math.gcd(*weights)
    kept = tuple(
        one._replace(weight=weight // divisor) for weight, one in zip(weights, joined.pairings, strict=True) if weight
    )
    return joined._replace(pairings=kept, total=sum(weights) // divisor)


# ---- what a question may cost


def refuse_pairs(pairs: int, groups: int) -> None:
    """Raise TooLarge for more pairs of parent kinds than can be gone through."""
    cost = pairs * max(groups, 1)
    if cost > PART_GROUPS:
        fits = PART_GROUPS // max(groups, 1)
        raise TooLarge("pairs of parent kinds × linkage groups", cost, PART_GROUPS, fits, "pairs")


def classes_of(layout: Layout, components: Sequence[Component], which: Sequence[int]) -> int:
    """How many joint classes of these characters must be gone through, over all pairs of each component."""
    widths = [len(layout.characters[at].labels) for at in which]
    cost = math.prod(widths)
    for one in components:
        inside = [width for at, width in zip(which, widths, strict=True) if layout.cluster_of(at) in one.clusters]
        if inside:
            cost = max(cost, distinct_pairs(layout, one, which) * math.prod(inside))
    return cost


def distinct_pairs(layout: Layout, component: Component, which: Sequence[int]) -> int:
    """How many pairs of a component differ in the groups that these characters are read from."""
    read = {group for at in which for group in layout.clusters[layout.cluster_of(at)]}
    places = [place for place, group in enumerate(component.groups) if group in read]
    return len(
        {
            (
                tuple([one.dam[at] for at in places]),
                tuple([None if sire is None else tuple([sire[at] for at in places]) for sire in one.sires]),
                one.shares,
            )
            for one in component.pairings
        }
    )


def refuse_classes(layout: Layout, components: Sequence[Component], which: Sequence[int]) -> None:
    """Raise TooLarge for more joint classes than can be gone through, saying how many characters at once could be."""
    if math.prod(len(layout.characters[at].labels) for at in which) <= CLASSES // _pairs(components):
        return
    cost = classes_of(layout, components, which)
    if cost > CLASSES:
        fits = next(
            many for many in range(len(which) - 1, -1, -1) if classes_of(layout, components, which[:many]) <= CLASSES
        )
        raise TooLarge("joint classes over all pairs of parents", cost, CLASSES, fits, "traits at once")


def refuse_genotypes(components: Sequence[Component], which: Sequence[int]) -> None:
    """Raise TooLarge for more joint genotypes than can be gone through, saying how many groups at once could be."""
    costs = []
    for many in range(1, len(which) + 1):
        cost = 1
        for one in components:
            inside = [one.groups.index(group) for group in which[:many] if group in one.groups]
            cost *= max((_genotypes(pairing, inside) for pairing in one.pairings), default=1)
        costs.append(cost * max(len(one.pairings) for one in components))
    if costs and costs[-1] > CLASSES:
        fits = sum(cost <= CLASSES for cost in costs)
        raise TooLarge("joint genotypes over all pairs of parents", costs[-1], CLASSES, fits, "linkage groups at once")


def _genotypes(pairing: Pairing, places: Sequence[int]) -> int:
    """At most so many genotypes the young of a pairing have in these groups: every egg with every sperm."""
    cost = 1
    for place in places:
        mates = [sire[place] for sire in pairing.sires if sire is not None]
        gametes = []
        for genotype in (pairing.dam[place], *mates):
            differing = sum(one != other for one, other in zip(genotype.first, genotype.second, strict=False))
            gametes.append(2**differing)
        cost *= gametes[0] * max(sum(gametes[1:]), 1)
    return cost


def _pairs(components: Sequence[Component]) -> int:
    return max((len(one.pairings) for one in components), default=1)
