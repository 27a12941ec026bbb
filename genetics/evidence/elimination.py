"""Variable elimination: sums over many unknown genotypes at once, exact, for a whole grid of parameters.

Factors are tables over discrete variables; the last axis runs over the nodes of the parameter grid (length 1 where a
table does not depend on them). Variables are eliminated in min-fill order (Lauritzen & Sheehan 2003; peeling of
pedigrees: Elston & Stewart 1971). Each elimination leaves a bucket; messages are brought to a maximum of 1 and their
logarithms kept, so that nothing underflows. A pass back through the tree of buckets gives every marginal.
"""

import math
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
    # Neighbours as bits of whole numbers: a family of a hundred is planned in the time that sets take to be built.
    near = [0] * len(sizes)
    for scope in scopes:
        bits = 0
        for variable in scope:
            bits |= 1 << variable
        for variable in scope:
            near[variable] |= bits
    near = [bits & ~(1 << variable) for variable, bits in enumerate(near)]
    alive = set(range(len(sizes)))
    score = [_score(near, variable, sizes) for variable in range(len(sizes))]
    order: list[int] = []
    cliques: list[list[int]] = []
    while alive:
        best = min(alive, key=score.__getitem__)
        bits = near[best]
        around = _members(bits)
        touched = bits
        for one in around:
            missing = bits & ~near[one] & ~(1 << one)
            if missing:
                # A new edge changes the fill of every common neighbour.
                touched |= near[one]
                near[one] |= missing
            near[one] &= ~(1 << best)
        alive.discard(best)
        order.append(best)
        cliques.append(around)
        for one in _members(touched & ~(1 << best)):
            if one in alive:
                score[one] = _score(near, one, sizes)
    place = {variable: at for at, variable in enumerate(order)}
    held = tuple(
        (variable, *sorted(clique, key=place.__getitem__)) for variable, clique in zip(order, cliques, strict=True)
    )
    parents = tuple(place[scope[1]] if len(scope) > 1 else -1 for scope in held)
    cells = max((math.prod([sizes[variable] for variable in scope]) for scope in held), default=1)
    return Plan(tuple(order), held, parents, cells, place)


def _members(bits: int) -> list[int]:
    found = []
    while bits:
        low = bits & -bits
        found.append(low.bit_length() - 1)
        bits ^= low
    return found


def _score(near: list[int], variable: int, sizes: tuple[int, ...]) -> int:
    """Edges that eliminating it would add, twice, and below that the cells of its bucket."""
    bits = near[variable]
    missing, cells = 0, sizes[variable]
    for one in _members(bits):
        missing += (bits & ~near[one]).bit_count() - 1
        cells *= sizes[one]
    return (missing << 40) | min(cells, (1 << 40) - 1)


@dataclass(frozen=True, slots=True, eq=False)
class Calibrated:
    """All sums done: log Z for each node, and the joint posterior of each bucket's variables."""

    plan: Plan
    log_z: Table
    beliefs: tuple[Table, ...]

    def joint(self, scope: Sequence[int]) -> Table:
        """P(variables of `scope` | node), axes in that order, nodes last; they must stand together in one factor."""
        if not scope:
            return np.isfinite(self.log_z).astype(float)
        place = self.plan.place
        bucket = min([place[variable] for variable in scope])
        held = self.plan.scopes[bucket]
        belief = self.beliefs[bucket]
        drop = tuple([axis for axis, variable in enumerate(held) if variable not in scope])
        left = [variable for variable in held if variable in scope]
        summed = np.add.reduce(belief, axis=drop) if drop else belief
        return summed.transpose([*(left.index(variable) for variable in scope), len(left)])


def potentials(factors: Sequence[Factor], plan: Plan) -> list[Table]:
    """For each bucket the product of the factors that it holds, shaped for its scope."""
    place = plan.place
    held: list[Table | None] = [None] * len(plan.order)
    for factor in factors:
        places = [place[variable] for variable in factor.scope]
        order = sorted(range(len(places)), key=places.__getitem__)
        at = places[order[0]]
        table = factor.table.transpose([*order, len(order)])
        table = _spread(table, [factor.scope[axis] for axis in order], plan.scopes[at])
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
    """Eliminate every variable, and pass back; `plan` is an order worked out before.

    A node at which the factors contradict each other has log Z = −inf, and its beliefs are 0.
    """
    # What hangs on no variable, as the young of fresh draws from a stock, is a number for each node.
    constants = [factor.table for factor in factors if not factor.scope]
    factors = [factor for factor in factors if factor.scope]
    plan = planned(tuple([factor.scope for factor in factors]), sizes) if plan is None else plan
    held = potentials(factors, plan)
    inward: list[Table] = []
    tops: list[Table] = []
    for at, scope in enumerate(plan.scopes):
        # A bucket that no factor spans is brought to its full width here, so that sums count every state.
        table = held[at]
        full = tuple([sizes[variable] for variable in scope])
        if table.shape[:-1] != full:
            table = held[at] = np.broadcast_to(table, (*full, table.shape[-1]))
        message = np.add.reduce(table, axis=0)
        top = np.maximum.reduce(message.reshape(-1, message.shape[-1]))
        tops.append(top)
        message = message / np.where(top > 0, top, 1.0)
        inward.append(message)
        parent = plan.parents[at]
        if parent >= 0:
            held[parent] = held[parent] * _spread(message, scope[1:], plan.scopes[parent])
    with np.errstate(divide="ignore"):
        log_z = sum((np.log(top) for top in tops if len(top) > 1), np.zeros(nodes))
        log_z = log_z + np.log(np.array([top[0] for top in tops if len(top) == 1])).sum()
        log_z = log_z + sum((np.log(constant) for constant in constants), np.zeros(nodes))
    return Calibrated(plan, log_z, _outward(held, inward, plan))


def _outward(held: list[Table], inward: list[Table], plan: Plan) -> tuple[Table, ...]:
    """Beliefs from the last bucket back; a message is divided out of its parent's belief, and 0/0 is 0."""
    beliefs: list[Table] = list(held)
    for at in range(len(held) - 1, -1, -1):
        table = held[at]
        parent = plan.parents[at]
        if parent >= 0:
            message, scope, above = inward[at], plan.scopes[at], plan.scopes[parent]
            belief = beliefs[parent]
            drop = tuple([axis for axis, variable in enumerate(above) if variable not in scope])
            outer = np.add.reduce(belief, axis=drop) if drop else belief
            shape = outer.shape if outer.shape[-1] >= message.shape[-1] else message.shape
            table = table * np.divide(outer, message, out=np.zeros(shape), where=message > 0)
        total = np.add.reduce(table.reshape(-1, table.shape[-1]))
        beliefs[at] = table / np.where(total > 0, total, 1.0)
    return tuple(beliefs)
