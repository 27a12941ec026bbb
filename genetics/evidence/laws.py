"""What the young of one brood are, cell by cell of what is unknown about their parents.

The distribution of a young over genotypes depends on few different things: 81 pairs of parents at two loci give fewer
than 20 different broods to the eye. A law keeps the different rows once, and for each cell which row it has.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import comb, lgamma

import numpy as np
from numpy.typing import NDArray

from genetics.evidence.elimination import Table
from genetics.evidence.modes import FEMALE, MALE, Mode


@dataclass(frozen=True, slots=True)
class Kind:
    """A possible parent, or several that share a brood.

    members: 1: one animal, its genotype is the variable's state; more: that many, the state is their composition.
    frequency: of the allele in an uncounted stock, which has no variable; None: it has one. weight: among all of its
    side.
    """

    members: int = 1
    frequency: float | None = None
    weight: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Heaps:
    """Cells brought together by their row: cells in that order, where each heap begins, and the row of each heap."""

    order: NDArray[np.intp]
    first: NDArray[np.intp]
    rows: NDArray[np.intp]

    def summed(self, cells: Table, rows: int) -> Table:
        """(row, node) sums of (cell, node)."""
        found = np.zeros((rows, cells.shape[-1]))
        found[self.rows] = np.add.reduceat(cells.take(self.order, axis=0), self.first, axis=0)
        return found


def heaped(looks: NDArray[np.intp]) -> Heaps:
    """The heaps of a table of rows by cell."""
    index = looks.reshape(-1)
    order = np.argsort(index, kind="stable")
    rows, first = np.unique(index[order], return_index=True)
    return Heaps(order, first, rows)


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """Rows of distributions of a young, and which cell has which.

    genotypes: (row, sex, genotype) weights after early deaths. cells: axes dams, sires, then (share, stored sire) of
        each dam with stored sperm; the row of `genotypes` of each cell.
    expressed: (row, sex, class), looks, heaps: the same by classes of expression, and the cells of each row.
    """

    genotypes: Table
    cells: NDArray[np.intp]
    expressed: Table
    looks: NDArray[np.intp]
    heaps: Heaps


@lru_cache(maxsize=256)
def compositions(members: int, states: int) -> NDArray[np.intp]:
    """(composition, genotype): every way in which so many animals can be of so many genotypes.

    >>> compositions(2, 2).tolist()
    [[0, 2], [1, 1], [2, 0]]
    """
    if states == 1:
        return np.array([[members]], dtype=np.intp)
    parts = []
    for first in range(members + 1):
        rest = compositions(members - first, states - 1)
        parts.append(np.concatenate([np.full((len(rest), 1), first, dtype=np.intp), rest], axis=1))
    found = np.concatenate(parts)
    found.flags.writeable = False
    return found


def number_of_compositions(members: int, states: int) -> int:
    """How many rows `compositions` has.

    >>> number_of_compositions(5, 3)
    21
    """
    return comb(members + states - 1, states - 1)


@lru_cache(maxsize=256)
def log_ways(members: int, states: int) -> NDArray[np.float64]:
    """(composition,) log of the multinomial coefficient."""
    table = compositions(members, states)
    logs = np.array([lgamma(n + 1) for n in range(members + 1)])
    return np.asarray(logs[members] - logs[table].sum(axis=1))


def multinomial(chances: Table, members: int) -> Table:
    """P(composition) of so many independent draws: (…, genotype, node) to (…, composition, node).

    Chances that do not sum to 1 give the weights that belong to them.
    """
    states = chances.shape[-2]
    table = compositions(members, states).astype(float)
    with np.errstate(divide="ignore"):
        logs = np.maximum(np.log(chances), -1e4)
    summed = np.einsum("cg,...gk->...ck", table, logs) + log_ways(members, states)[:, None]
    return np.asarray(np.exp(summed))


def _draws(mode: Mode, kind: Kind, sex: int) -> Table:
    """(state, genotype): what a parent drawn from this kind is."""
    if kind.frequency is not None:
        return np.asarray(mode.stock(np.array([kind.frequency]))[sex].T)
    if kind.members == 1:
        return np.eye(mode.states)
    return compositions(kind.members, mode.states) / kind.members


def shape_of(
    mode: Mode, dams: tuple[Kind, ...], sires: tuple[Kind, ...], stored: tuple[tuple[float, ...], ...]
) -> tuple[int, ...]:
    """The axes of a law's cells: dams, sires, then share and stored sire; 1 for an uncounted stock.

    It tells how much work a law is before it is begun.
    """
    axes = [1 if kind.frequency is not None else _states(mode, kind) for kind in (*dams, *sires)]
    for shares in stored:
        axes += [len(shares), mode.states] if shares else []
    return tuple(axes)


@lru_cache(maxsize=512)
def law_of(mode: Mode, dams: tuple[Kind, ...], sires: tuple[Kind, ...], stored: tuple[tuple[float, ...], ...]) -> Law:
    """The law of a brood.

    stored: for each dam the shares that a stored sire may have of it; empty: no stored sperm.
    """
    shapes = shape_of(mode, dams, sires, stored)
    total = np.zeros((*shapes, 2, mode.states))
    extra = len(dams) + len(sires)
    for i, (dam, shares) in enumerate(zip(dams, stored, strict=True)):
        drawn = _draws(mode, dam, FEMALE)
        part = np.zeros_like(total)
        for j, sire in enumerate(sires):
            both = np.einsum("ag,bh,xghk->abxk", drawn, _draws(mode, sire, MALE), mode.moves)
            part = part + sire.weight * _at(both, (i, len(dams) + j), len(shapes))
        if shares:
            given = np.array(shares).reshape([-1 if axis == extra else 1 for axis in range(len(shapes) + 2)])
            from_stored = _at(np.einsum("ag,xghk->ahxk", drawn, mode.moves), (i, extra + 1), len(shapes))
            part = (1 - given) * part + given * from_stored
            extra += 2
        total = total + dam.weight * part
    keep = [
        size
        for size, kind in zip(shapes, [*dams, *sires, *[None] * len(shapes)], strict=False)
        if kind is None or kind.frequency is None
    ]
    flat = total.reshape(-1, 2, mode.states) * mode.lives
    genotypes, cells = _different(flat)
    expressed, looks = _different(np.einsum("rxg,xge->rxe", genotypes, mode.expression))
    cells = cells.reshape(keep)
    by_look = looks[cells]
    return Law(genotypes, cells, expressed, by_look, heaped(by_look))


def _states(mode: Mode, kind: Kind) -> int:
    return mode.states if kind.members == 1 else number_of_compositions(kind.members, mode.states)


def _at(table: Table, axes: tuple[int, int], width: int) -> Table:
    """The table (a, b, sex, genotype) with a and b at these of so many axes."""
    shape = [1] * (width + 2)
    shape[axes[0]], shape[axes[1]], shape[-2], shape[-1] = table.shape
    return table.reshape(shape)


def _different(rows: Table) -> tuple[Table, NDArray[np.intp]]:
    # Rounding only decides which rows are one; the kept row is not rounded.
    keys = np.round(rows.reshape(len(rows), -1), 11)
    _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    return rows[first], inverse.reshape(-1)
