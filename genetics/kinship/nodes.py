"""A pedigree as arrays, in the one form that every way of working out kinship takes.

numpy is needed; the module is loaded when kinship of animals is asked for.

Founders of one origin get that origin as both parents: a node whose kinship with itself is that of two of its founders,
so that the recursion through parents gives the rest. Twins and clones are read at the first of them.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from genetics.kinship.pedigree import Pedigree

Places = NDArray[np.int64]
Figures = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Nodes:
    """Nodes, each with two parents (-1: not known), parents in lower levels.

    dam, sire: places, shape (n,). fixed: kinship with itself where it is given, nan where it follows from the parents'.
    level: 0 or more, above those of both parents. ordered: whether parents stand before their young.
    """

    dam: Places
    sire: Places
    fixed: Figures
    level: Places
    ordered: bool

    def of(self, chosen: Places) -> "tuple[Nodes, Places]":
        """The chosen nodes with all their ancestors, and which nodes of this one those are, in the same order."""
        wanted = np.zeros(len(self.dam) + 1, dtype=bool)
        wanted[chosen] = True
        wanted[-1] = False
        fresh = np.unique(chosen)
        while fresh.size:
            above = np.unique(np.concatenate([self.dam[fresh], self.sire[fresh]]))
            fresh = above[(above >= 0) & ~wanted[above]]
            wanted[fresh] = True
        kept = np.flatnonzero(wanted[:-1])
        place = np.full(len(self.dam) + 1, -1)
        place[kept] = np.arange(len(kept))
        part = Nodes(place[self.dam[kept]], place[self.sire[kept]], self.fixed[kept], self.level[kept], self.ordered)
        return part, kept

    def with_young(self, dam: Places, sire: Places) -> "Nodes":
        """The same with one more node for each pair, after all others."""
        both = np.concatenate([self.level, np.array([-1])])
        level = 1 + np.maximum(both[dam], both[sire])
        return Nodes(
            np.concatenate([self.dam, dam]),
            np.concatenate([self.sire, sire]),
            np.concatenate([self.fixed, np.full(len(dam), np.nan)]),
            np.concatenate([self.level, level]),
            self.ordered,
        )


def nodes_of(pedigree: Pedigree) -> tuple[Nodes, Places]:
    """The nodes of a pedigree, and the node of each animal: with its twins, or the clone it is of."""
    origins = np.array(pedigree.origins, dtype=np.int64)
    own, number = origins.max(initial=-1) + 1, len(pedigree.names)
    same = np.array(pedigree.same_as, dtype=np.int64)
    node = np.append(own + same, -1)
    dam, sire = (node[np.array(side, dtype=np.int64)] for side in (pedigree.dams, pedigree.sires))
    founder = (dam < 0) & (sire < 0)
    fixed = np.where(founder, (1 + np.array(pedigree.inbred)) / 2, np.nan)
    dam, sire = (np.where(origins >= 0, origins, side) for side in (dam, sire))
    nobody = np.full(own, -1)
    level = np.array(pedigree.generations, dtype=np.int64)
    nodes = Nodes(
        np.concatenate([nobody, dam]),
        np.concatenate([nobody, sire]),
        np.concatenate([np.full(own, pedigree.origin_kinship), fixed]),
        np.concatenate([nobody + 1, level + 1]),
        ordered=bool(np.all(np.maximum(dam, sire) < np.arange(own, own + number))),
    )
    return nodes, node[:-1]
