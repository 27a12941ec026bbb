"""The whole matrix of kinship, a step of animals at a time.

numpy is needed; the module is loaded when a matrix is asked for.
"""

from itertools import pairwise

import numpy as np

from genetics.kinship.fronts import selves
from genetics.kinship.nodes import Figures, Nodes
from genetics.kinship.schedule import runs

_TILE = 64
"""Rows worked on at a time: they and what they are made from stay in the processor's cache."""


def matrix(nodes: Nodes) -> Figures:
    """The kinship of every two nodes, shape (n, n), in their order; of a young and an older animal it is the mean over its parents."""
    if nodes.ordered:
        return _in_order(nodes)
    order = np.argsort(nodes.level, kind="stable")
    place = np.full(len(order) + 1, -1)
    place[order] = np.arange(len(order))
    whole = _in_order(Nodes(place[nodes.dam[order]], place[nodes.sire[order]], nodes.fixed[order], nodes.level, True))
    again: Figures = whole[np.ix_(place[:-1], place[:-1])]
    return again


def _in_order(nodes: Nodes) -> Figures:
    count = len(nodes.dam)
    # One row and column more, of zeros: the unknown parent.
    table = np.zeros((count + 1, count + 1))
    step = runs(nodes)
    bounds = np.append(np.flatnonzero(np.diff(step, prepend=-1)), count)
    for start, end in pairwise(bounds.tolist()):
        for first in range(start, end, _TILE):
            last = min(first + _TILE, end)
            dams, sires = nodes.dam[first:last], nodes.sire[first:last]
            rows = table[dams, :start]
            rows += table[sires, :start]
            rows *= 0.5
            table[first:last, :start] = rows
            table[:start, first:last] = rows.T
        _among(table, nodes, start, end)
    return table[:count, :count]


def _among(table: Figures, nodes: Nodes, start: int, end: int) -> None:
    """Fill in the kinship within a step, whose parents stand before it."""
    dams, sires = nodes.dam[start:end], nodes.sire[start:end]
    for first in range(start, end, _TILE):
        last = min(first + _TILE, end)
        rows = table[nodes.dam[first:last], start:end]
        rows += table[nodes.sire[first:last], start:end]
        rows *= 0.5
        table[first:last, start:end] = rows
    here = np.arange(start, end)
    table[here, here] = selves(nodes.fixed[start:end], table[dams, sires])
