"""What an animal has of each founder: its share of the genes, and its part of the inbreeding."""

from dataclasses import dataclass
from fractions import Fraction

from genetics.errors import TooLarge
from genetics.kinship.ancestry import UNKNOWN
from genetics.kinship.pedigree import Pedigree

FIGURES = 20_000_000
"""The most figures (ancestors² × founders) of one animal's partial inbreeding: 160 MB."""


@dataclass(frozen=True, slots=True)
class FounderShares:
    """The share of each founder in an animal's genes, with founders in the order of the pedigree, and what comes through parents not known.

    All of it sums to 1, exactly.

    >>> from genetics import Animal
    >>> founder_shares(Pedigree.of([Animal("A"), Animal("B", "A")]), "B").unknown
    Fraction(1, 2)
    """

    by_founder: tuple[tuple[str, Fraction], ...]
    unknown: Fraction


@dataclass(frozen=True, slots=True)
class PartialInbreeding:
    """F of an animal in parts: the chance that its two alleles are copies of one allele *of that founder*.

    before: the part through parents not known and through the common origin of founders. All sum to F.

    >>> from genetics import Animal
    >>> two = [Animal("A"), Animal("B"), Animal("C", "A", "B"), Animal("D", "A", "B"), Animal("E", "C", "D")]
    >>> partial_inbreeding(Pedigree.of(two), "E").by_founder
    (('A', 0.125), ('B', 0.125))
    """

    by_founder: tuple[tuple[str, float], ...]
    before: float


def founder_shares(pedigree: Pedigree, name: str) -> FounderShares:
    """How much of an animal's genes comes from each founder, on average.

    Raises KinshipRefused for a name that has no line in the pedigree.

    >>> from genetics import Animal
    >>> cross = Pedigree.of([Animal("A"), Animal("B"), Animal("C", "A", "B"), Animal("D", "C")])
    >>> [(founder, str(share)) for founder, share in founder_shares(cross, "D").by_founder]
    [('A', '1/4'), ('B', '1/4')]
    """
    start = pedigree.place(name)
    waiting: dict[int, dict[int, Fraction]] = {pedigree.generations[start]: {start: Fraction(1)}}
    found: dict[int, Fraction] = {}
    unknown = Fraction(0)
    # From the youngest generation upwards, so that each animal is met once, with all that came down through it.
    for generation in range(pedigree.generations[start], -1, -1):
        for place, share in waiting.pop(generation, {}).items():
            parents = (pedigree.dams[place], pedigree.sires[place])
            if parents == (UNKNOWN, UNKNOWN):
                found[place] = share
                continue
            clonal = pedigree.same_as[place] == pedigree.same_as[parents[0]] if parents[0] >= 0 else False
            for parent in parents[:1] if clonal else parents:
                part = share if clonal else share / 2
                if parent == UNKNOWN:
                    unknown += part
                else:
                    above = waiting.setdefault(pedigree.generations[parent], {})
                    above[parent] = above.get(parent, Fraction(0)) + part
    return FounderShares(tuple((pedigree.names[place], found[place]) for place in sorted(found)), unknown)


def partial_inbreeding(pedigree: Pedigree, name: str) -> PartialInbreeding:
    """The parts of an animal's F that go back to each founder (Lacy, Alaks & Walsh 1996, from memory), by the tabular method for each founder.

    A twin or a clone is told by the first of its kind. Raises KinshipRefused for a name that has no line in the pedigree;
    TooLarge for an animal with too many ancestors.

    >>> from genetics import Animal
    >>> back = [Animal("A"), Animal("B"), Animal("C", "B", "A"), Animal("D", "C", "A")]
    >>> partial_inbreeding(Pedigree.of(back), "D").by_founder
    (('A', 0.25), ('B', 0.0))
    """
    import numpy as np  # noqa: PLC0415 - a plain question of odds must not wait for numpy

    from genetics.kinship import nodes, partial  # noqa: PLC0415

    form, places = nodes.nodes_of(pedigree)
    start = places[pedigree.place(name)]
    part, kept = form.of(np.array([start]))
    first_animal = len(form.dam) - len(pedigree.names)
    founders = np.flatnonzero((kept >= first_animal) & ~np.isnan(part.fixed))
    cost = len(kept) ** 2 * (len(founders) + 1)
    if cost > FIGURES:
        fits = int((FIGURES / (len(founders) + 1)) ** 0.5)
        raise TooLarge("figures of partial inbreeding", cost, FIGURES, fits, "ancestors")
    figures = partial.parts(part, founders)[int(np.searchsorted(kept, start))].tolist()
    names = [pedigree.names[int(node) - first_animal] for node in kept[founders]]
    return PartialInbreeding(tuple(zip(names, figures[:-1], strict=True)), figures[-1])
