"""Who comes before whom: the order in which a pedigree can be worked through, and the proof that there is one."""

from collections.abc import Sequence

from genetics.errors import KinshipFault, KinshipRefused

UNKNOWN = -1
"""Stands where a parent is not known."""


def generations(names: Sequence[str], parents: Sequence[Sequence[int]]) -> tuple[int, ...]:
    """For each name the length of the longest line back to a founder; founders have 0.

    parents: for each name the places of what it comes from, `UNKNOWN` allowed.
    Raises KinshipRefused (OWN_ANCESTOR) for a loop, with the way around it.

    >>> generations("cab", [(1, 2), (-1, -1), (1, -1)])
    (2, 0, 1)
    """
    depths = [UNKNOWN] * len(names)
    waiting = [sum(parent >= 0 for parent in set(row)) for row in parents]
    young: list[list[int]] = [[] for _ in names]
    for place, row in enumerate(parents):
        for parent in set(row):
            if parent >= 0:
                young[parent].append(place)
    ready = [place for place, still in enumerate(waiting) if not still]
    for place in ready:
        depths[place] = 1 + max((depths[parent] for parent in parents[place] if parent >= 0), default=UNKNOWN)
        for child in young[place]:
            waiting[child] -= 1
            if not waiting[child]:
                ready.append(child)
    if len(ready) < len(names):
        raise _loop(names, parents, depths)
    return tuple(depths)


def in_order(dams: Sequence[int], sires: Sequence[int]) -> bool:
    """Whether both parents of each animal stand before it."""
    return all(dam < place and sire < place for place, (dam, sire) in enumerate(zip(dams, sires, strict=True)))


def _loop(names: Sequence[str], parents: Sequence[Sequence[int]], depths: Sequence[int]) -> KinshipRefused:
    """A loop among the animals whose generation could not be told: each of them has a parent of that kind."""
    here, seen = depths.index(UNKNOWN), dict[int, int]()
    way: list[int] = []
    while here not in seen:
        seen[here] = len(way)
        way.append(here)
        here = next(parent for parent in parents[here] if parent >= 0 and depths[parent] == UNKNOWN)
    around = [*way[seen[here] :], here]
    return KinshipRefused(KinshipFault.OWN_ANCESTOR, names[here], " ← ".join(names[place] for place in around))
