"""What a net is made of: tables that tie variables together, and the parents that a brood may have.

Tables are worked out when they are asked for, so that a net that is too wide is refused before anything large is made.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from genetics.evidence.elimination import Factor, Table
from genetics.evidence.explanations import Figure
from genetics.evidence.laws import Heaps, Kind, Law, heaped
from genetics.evidence.programme import Dam, Mated

Parent: TypeAlias = tuple[Kind, int | None]
"""A possible parent of a brood, and its variable; None: an uncounted stock has none."""


@dataclass(frozen=True, slots=True, eq=False)
class Link:
    """A table that ties variables together, worked out only when it is asked for: how wide a net is, shows before that.

    bare: the same without looks; None: looks do not come into it.
    """

    scope: tuple[int, ...]
    seen: Callable[[], Table]
    bare: Callable[[], Table] | None = None

    def factor(self, *, bare: bool = False) -> Factor:
        """The table."""
        return Factor(self.scope, self.bare() if bare and self.bare is not None else self.seen())


@dataclass(frozen=True, slots=True, eq=False)
class BroodPart:
    """One possibility for the parents of a brood.

    chosen: for each identity variable (its size, the state at which this part holds). scope: identity variables, then
    the variables of the cells. cells, looks: the law's rows for each cell. heaps: which cells share a row.
    """

    chosen: tuple[tuple[int, int], ...]
    scope: tuple[int, ...]
    law: Law
    cells: NDArray[np.intp]
    looks: NDArray[np.intp]
    heaps: Heaps

    def table(self, values: Table) -> Table:
        """Values of each cell, 1 wherever another possibility is meant; the cells' axes come first in `values`."""
        if not self.chosen:
            return values
        full = np.ones((*(size for size, _ in self.chosen), *values.shape))
        full[tuple(state for _, state in self.chosen)] = values
        return full


@dataclass(frozen=True, slots=True)
class Stands:
    """Where a group's genotypes stand: its variable, its members, and the variable that tells whether any carries."""

    variable: int
    members: int
    none_carries: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Variables and tables of a programme under one mode, without what was seen in the broods.

    sizes: states of each variable. domains: which of a genotype's or a composition's states they are. known: priors, looks
    of founders, descent. broods: the possibilities of each brood. groups: where each stands.
    """

    sizes: tuple[int, ...]
    domains: tuple[NDArray[np.intp], ...]
    known: tuple[Link, ...]
    broods: Mapping[str, tuple[BroodPart, ...]]
    groups: Mapping[str, Stands]


def stored_figure(dam: Dam) -> Figure | None:
    """Which figure says how much of a brood a stored sire has; None: no stored sperm."""
    if dam.mated is Mated.ISOLATED:
        return None
    return Figure.STORED_HAD_MALES if dam.mated is Mated.HAD_MALES else Figure.STORED_UNKNOWN


@lru_cache(maxsize=1024)
def some_cells(
    law: Law, axes: tuple[int, ...], domains: tuple[tuple[int, ...] | None, ...]
) -> tuple[tuple[int, ...], NDArray[np.intp], NDArray[np.intp], Heaps]:
    """The axes that are left, the cells, looks and heaps of a law where its variables have these states only.

    axes: the law's variables, by numbers of their own. domains: for each of them its states; None: all.
    """
    left, cells, looks = without_twins(list(axes), law.cells, law.looks)
    held = [domains[axes.index(axis)] for axis in left]
    if any(states is not None for states in held):
        there = np.ix_(*(range(size) if s is None else s for s, size in zip(held, looks.shape, strict=True)))
        cells, looks = cells[there], looks[there]
    return tuple(left), cells, looks, law.heaps if looks is law.looks else heaped(looks)


def sole(kind: Kind) -> Kind:
    """A possible parent that is the only one of its side."""
    return Kind(kind.members, kind.frequency)


def without_twins(
    axes: list[int], cells: NDArray[np.intp], looks: NDArray[np.intp]
) -> tuple[list[int], NDArray[np.intp], NDArray[np.intp]]:
    """One variable on two axes (a stored sire that is the sire) becomes one axis, the diagonal of the two."""
    for place in range(len(axes) - 1, 0, -1):
        first = axes.index(axes[place])
        if first < place:
            cells, looks = (np.moveaxis(np.diagonal(t, 0, first, place), -1, first) for t in (cells, looks))
            axes = axes[:place] + axes[place + 1 :]
    return axes, cells, looks
