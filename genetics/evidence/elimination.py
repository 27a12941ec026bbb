"""Variable elimination: sums over many unknown genotypes at once, exact, for a whole grid of parameters.

Factors are tables over discrete variables; the last axis runs over the nodes of the parameter grid (length 1 where a
table does not depend on them). Variables are eliminated in min-fill order (Lauritzen & Sheehan 2003; peeling of
pedigrees: Elston & Stewart 1971). Each elimination leaves a bucket; messages are brought to a maximum of 1 and their
logarithms kept, so that nothing underflows. A pass back through the tree of buckets gives every marginal.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Table: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """A table over the variables of `scope`, one axis each in that order, and the axis of the nodes last."""

    scope: tuple[int, ...]
    table: Table


@dataclass(frozen=True, slots=True)
class Plan:
    """In which order to eliminate, and what each bucket holds.

    order: the variables. scopes: of each bucket, its own variable first and the others in the order of their
    elimination. parents: place of the bucket that takes its message, or -1. widest: cells of the largest bucket. place: where each
    variable stands in the order.
    """

    order: tuple[int, ...]
    scopes: tuple[tuple[int, ...], ...]
    parents: tuple[int, ...]
    widest: int
    place: Mapping[int, int]


@lru_cache(maxsize=512)
def planned(scopes: tuple[tuple[int, ...], ...], sizes: tuple[int, ...]) -> Plan:
    """The elimination of all variables in min-fill order; ties go to the smaller bucket.

    scopes: of the factors. sizes: states of each variable, by number.

    >>> planned(((0,), (0, 1), (1, 2)), (3, 3, 3)).widest
    9
    """
    near: list[set[int]] = [set() for _ in sizes]
    for scope in scopes:
        for variable in scope:
            near[variable].update(scope)
    for variable, others in enumerate(near):
        others.discard(variable)
    alive = set(range(len(sizes)))
    order: list[int] = []
    cliques: list[set[int]] = []
    fills = {variable: _fill(near, variable) for variable in alive}
    while alive:
        best = min(alive, key=lambda v: (fills[v], _cells(near[v] | {v}, sizes), v))
        around = near[best]
        touched = set(around)
        for one in around:
            if not around - {one} <= near[one]:
                for other in near[one]:
                    touched.add(other)
                touched |= around
            near[one] |= around
            near[one] -= {one, best}
        alive.discard(best)
        order.append(best)
        cliques.append(set(around))
        for one in touched & alive:
            fills[one] = _fill(near, one)
    place = {variable: at for at, variable in enumerate(order)}
    ordered = tuple(
        (variable, *sorted(clique, key=place.__getitem__)) for variable, clique in zip(order, cliques, strict=True)
    )
    parents = tuple(place[scope[1]] if len(scope) > 1 else -1 for scope in ordered)
    widest = max((_cells(scope, sizes) for scope in ordered), default=1)
    return Plan(tuple(order), ordered, parents, widest, place)


def _fill(near: list[set[int]], variable: int) -> int:
    around = near[variable]
    return sum(len(around) - 1 - len(near[one] & around) for one in around) if len(around) > 1 else 0


def _cells(scope: set[int] | tuple[int, ...], sizes: tuple[int, ...]) -> int:
    cells = 1
    for variable in scope:
        cells *= sizes[variable]
    return cells


@dataclass(frozen=True, slots=True, eq=False)
class Calibrated:
    """All sums done: log Z for each node, and the joint posterior of each bucket's variables."""

    plan: Plan
    log_z: Table
    beliefs: tuple[Table, ...]

    def joint(self, scope: Sequence[int]) -> Table:
        """P(variables of `scope` | node), axes in that order, nodes last; they must stand together in one factor."""
        place = self.plan.place
        bucket = min(place[variable] for variable in scope)
        held = self.plan.scopes[bucket]
        belief = self.beliefs[bucket]
        drop = tuple(axis for axis, variable in enumerate(held) if variable not in scope)
        left = [variable for variable in held if variable in scope]
        summed = belief.sum(axis=drop) if drop else belief
        return summed.transpose([*(left.index(variable) for variable in scope), len(left)])


def potentials(factors: Sequence[Factor], plan: Plan, sizes: tuple[int, ...]) -> list[Table]:
    """For each bucket the product of the factors that it holds, shaped for its scope."""
    place = plan.place
    held: list[Table | None] = [None] * len(plan.order)
    for factor in factors:
        if not factor.scope:
            raise ValueError("a factor has at least one variable")
        order = sorted(range(len(factor.scope)), key=lambda axis: place[factor.scope[axis]])
        at = place[factor.scope[order[0]]]
        table = _spread(factor.table.transpose([*order, len(order)]), [factor.scope[a] for a in order], plan.scopes[at])
        mine = held[at]
        held[at] = table if mine is None else mine * table
    return [np.ones((1,) * (len(s) + 1)) if t is None else t for s, t in zip(plan.scopes, held, strict=True)]


def _spread(table: Table, scope: Sequence[int], wider: tuple[int, ...]) -> Table:
    shape = [1] * (len(wider) + 1)
    shape[-1] = table.shape[-1]
    for axis, variable in enumerate(scope):
        shape[wider.index(variable)] = table.shape[axis]
    return table.reshape(shape)


def calibrate(factors: Sequence[Factor], sizes: tuple[int, ...], nodes: int, *, plan: Plan | None = None) -> Calibrated:
    """Eliminate every variable, and pass back.

    A node at which the factors contradict each other has log Z = −inf, and its beliefs are 0.
    """
    plan = planned(tuple(factor.scope for factor in factors), sizes) if plan is None else plan
    held = potentials(factors, plan, sizes)
    log_z: Table = np.zeros(nodes)
    inward: list[Table] = []
    for at, scope in enumerate(plan.scopes):
        # A bucket that no factor spans is brought to its full width here, so that sums count every state.
        table = held[at]
        full = tuple(sizes[variable] for variable in scope)
        if table.shape[:-1] != full:
            table = held[at] = np.broadcast_to(table, (*full, table.shape[-1]))
        message = table.sum(axis=0)
        top = message.reshape(-1, message.shape[-1]).max(axis=0)
        with np.errstate(divide="ignore"):
            log_z = log_z + np.log(top)
        message = message / np.where(top > 0, top, 1.0)
        inward.append(message)
        parent = plan.parents[at]
        if parent >= 0:
            held[parent] = held[parent] * _spread(message, scope[1:], plan.scopes[parent])
    return Calibrated(plan, np.broadcast_to(log_z, (nodes,)), _outward(held, inward, plan))


def _outward(held: list[Table], inward: list[Table], plan: Plan) -> tuple[Table, ...]:
    beliefs: list[Table] = list(held)
    for at in range(len(held) - 1, -1, -1):
        table = held[at]
        parent = plan.parents[at]
        if parent >= 0:
            message = inward[at]
            scope = plan.scopes[at]
            above = plan.scopes[parent]
            drop = tuple(axis for axis, variable in enumerate(above) if variable not in scope)
            outer = beliefs[parent].sum(axis=drop) if drop else beliefs[parent]
            table = table * np.where(message > 0, outer / np.where(message > 0, message, 1.0), 0.0)
        total = table.sum(axis=tuple(range(table.ndim - 1)))
        beliefs[at] = table / np.where(total > 0, total, 1.0)
    return tuple(beliefs)
