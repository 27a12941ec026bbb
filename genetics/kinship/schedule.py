"""In which steps to work through a pedigree, so that few animals are held at a time.

numpy is needed; the module is loaded when kinship of animals is asked for.
"""

from dataclasses import dataclass

import numpy as np

from genetics.kinship.nodes import Nodes, Places

STEP_COST = 20_000
"""What one more step costs, in figures of a matrix moved (measured: tens of microseconds)."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """Nodes in steps: within a step nobody is a parent of another.

    order: the nodes, shape (n,). starts: where each step begins in `order`, and the end, shape (steps + 1,).
    step: of each node. last: the last step in which a node is a parent, -1 for never. width: the most parents-to-be held.
    cost: a measure for choosing between schedules, in figures moved.
    """

    order: Places
    starts: Places
    step: Places
    last: Places
    width: int
    cost: float


def by_generation(nodes: Nodes) -> Schedule:
    """Generation by generation, with founders as late as possible."""
    return _schedule(nodes, _late(nodes))


def as_given(nodes: Nodes) -> Schedule:
    """In the order of the nodes, parents first, in as few steps as that order allows."""
    return _schedule(nodes, runs(nodes))


def runs(nodes: Nodes) -> Places:
    """Steps as long as nobody in one has a parent in it, in the order given."""
    youngest = np.maximum(nodes.dam, nodes.sire).tolist()
    start, breaks = 0, []
    for place, parent in enumerate(youngest):
        if parent >= start:
            start = place
            breaks.append(place)
    step = np.zeros(len(youngest), dtype=np.int64)
    step[breaks] = 1
    return np.cumsum(step)


def _late(nodes: Nodes) -> Places:
    """The levels, with those who have no parents moved to just before their first young."""
    level = nodes.level.copy()
    first = np.full(len(level) + 1, np.iinfo(np.int64).max)
    # Founders of an origin move first, so that the origin can follow them.
    for alone in ((nodes.dam >= 0) & ~np.isnan(nodes.fixed), (nodes.dam < 0) & (nodes.sire < 0)):
        for side in (nodes.dam, nodes.sire):
            np.minimum.at(first, side, level)
        moved = np.flatnonzero(alone)
        moved = moved[first[moved] < np.iinfo(np.int64).max]
        level[moved] = np.maximum(level[moved], first[moved] - 1)
        first[:] = np.iinfo(np.int64).max
    _, step = np.unique(level, return_inverse=True)
    return step.astype(np.int64)


def _schedule(nodes: Nodes, step: Places) -> Schedule:
    steps = int(step.max(initial=-1)) + 1
    last = np.full(len(step) + 1, -1)
    for side in (nodes.dam, nodes.sire):
        np.maximum.at(last, side, step)
    last = last[:-1]
    enters = np.bincount(step[last >= 0], minlength=steps)
    leaves = np.bincount(last[last >= 0], minlength=steps)
    held = np.cumsum(enters - leaves)
    width = int(held.max(initial=0))
    starts = np.concatenate([[0], np.cumsum(np.bincount(step, minlength=steps))])
    cost = float(enters.sum()) * width + steps * STEP_COST
    return Schedule(np.argsort(step, kind="stable"), starts, step, last, width, cost)
