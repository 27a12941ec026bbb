"""Variable elimination: sums over many unknown genotypes at once, exact, for a whole grid of parameters.

Factors are tables over discrete variables; the last axis runs over the nodes of the parameter grid (length 1 where a
table does not depend on them). Variables are eliminated in min-fill order (Lauritzen & Sheehan 2003; peeling of
pedigrees: Elston & Stewart 1971). Each elimination leaves a bucket; messages are brought to a maximum of 1 and their
logarithms kept, so that nothing underflows. A pass back through the tree of buckets gives the marginals that are asked
for, at the nodes that matter.
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


class Calibrated:
    """All sums done: log Z for each node, and on demand the joint posterior of a bucket's variables.

    What is asked for is worked out once, from the last bucket back; nothing that was given before changes.
    """

    def __init__(self, plan: Plan, log_z: Table, held: Sequence[Table], messages: Sequence[Table]) -> None:
        self.plan, self.log_z = plan, log_z
        self._held, self._messages = held, messages
        self._beliefs: dict[int, Table] = {}

    @property
    def cells(self) -> int:
        """Cells of all tables that are held."""
        return sum(table.size for table in self._held)

    def at(self, where: NDArray[np.intp]) -> "Calibrated":
        """The same at some of the nodes only."""

        def some(tables: Sequence[Table]) -> list[Table]:
            return [table if table.shape[-1] == 1 else table[..., where] for table in tables]

        return Calibrated(self.plan, self.log_z[where], some(self._held), some(self._messages))

    def belief(self, bucket: int) -> Table:
        """P(the bucket's variables | node); 0 at a node at which the factors contradict each other."""
        waiting = [bucket]
        while waiting:
            at = waiting[-1]
            parent = self.plan.parents[at]
            if at in self._beliefs:
                waiting.pop()
            elif parent < 0 or parent in self._beliefs:
                self._beliefs[at] = self._outward(at)
            else:
                waiting.append(parent)
        return self._beliefs[bucket]

    def _outward(self, at: int) -> Table:
        """A bucket's belief from its parent's; its own message is divided out of that, and 0/0 is 0."""
        table, message, parent = self._held[at], self._messages[at], self.plan.parents[at]
        outer = np.ones(1)
        if parent >= 0:
            scope, above, belief = self.plan.scopes[at], self.plan.scopes[parent], self._beliefs[parent]
            drop = tuple([axis for axis, variable in enumerate(above) if variable not in scope])
            outer = np.add.reduce(belief, axis=drop) if drop else belief
        shape = outer.shape if outer.shape[-1] >= message.shape[-1] else message.shape
        return np.asarray(table * np.divide(outer, message, out=np.zeros(shape), where=message > 0))

    def joint(self, scope: Sequence[int]) -> Table:
        """P(variables of `scope` | node), axes in that order, nodes last; they must stand together in one factor."""
        if not scope:
            return np.isfinite(self.log_z).astype(float)
        place = self.plan.place
        bucket = min([place[variable] for variable in scope])
        held = self.plan.scopes[bucket]
        belief = self.belief(bucket)
        drop = tuple([axis for axis, variable in enumerate(held) if variable not in scope])
        left = [variable for variable in held if variable in scope]
        summed = np.add.reduce(belief, axis=drop) if drop else belief
        return summed.transpose([*(left.index(variable) for variable in scope), len(left)])


def potentials(factors: Sequence[Factor], plan: Plan) -> list[list[Table]]:
    """For each bucket the factors that it holds, shaped for its scope."""
    place = plan.place
    held: list[list[Table]] = [[] for _ in plan.order]
    for factor in factors:
        places = [place[variable] for variable in factor.scope]
        order = sorted(range(len(places)), key=places.__getitem__)
        at = places[order[0]]
        table = factor.table.transpose([*order, len(order)])
        held[at].append(_spread(table, [factor.scope[axis] for axis in order], plan.scopes[at]))
    return held


def _spread(table: Table, scope: Sequence[int], wider: tuple[int, ...]) -> Table:
    shape = [1] * (len(wider) + 1)
    shape[-1] = table.shape[-1]
    for axis, variable in enumerate(scope):
        shape[wider.index(variable)] = table.shape[axis]
    return table.reshape(shape)


def _product(tables: list[Table], full: tuple[int, ...]) -> Table:
    """Of tables that broadcast, the small ones first, brought to the full width so that sums count every state."""
    tables.sort(key=_size)
    table = np.ones((1,) * (len(full) + 1)) if not tables else tables[0]
    for at, other in enumerate(tables[1:]):
        # The product is this function's own from the second factor on, and is then multiplied where it stands.
        fits = at > 0 and np.broadcast_shapes(table.shape, other.shape) == table.shape
        table = np.multiply(table, other, out=table) if fits else table * other
    return table if table.shape[:-1] == full else np.broadcast_to(table, (*full, table.shape[-1]))


def _size(table: Table) -> int:
    return table.size


def calibrate(factors: Sequence[Factor], sizes: tuple[int, ...], nodes: int, *, plan: Plan | None = None) -> Calibrated:
    """Eliminate every variable; `plan` is an order worked out before.

    A node at which the factors contradict each other has log Z = −inf, and its beliefs are 0.
    """
    # What hangs on no variable, as the young of fresh draws from a stock, is a number for each node.
    constants = [factor.table for factor in factors if not factor.scope]
    factors = [factor for factor in factors if factor.scope]
    plan = planned(tuple([factor.scope for factor in factors]), sizes) if plan is None else plan
    waiting = potentials(factors, plan)
    held: list[Table] = []
    messages: list[Table] = []
    tops: list[Table] = []
    for at, scope in enumerate(plan.scopes):
        table = _product(waiting[at], tuple([sizes[variable] for variable in scope]))
        message = np.add.reduce(table, axis=0)
        top = np.maximum.reduce(message.reshape(-1, message.shape[-1]))
        held.append(table)
        messages.append(message)
        tops.append(top)
        parent = plan.parents[at]
        if parent >= 0:
            waiting[parent].append(_spread(message / np.where(top > 0, top, 1.0), scope[1:], plan.scopes[parent]))
    with np.errstate(divide="ignore"):
        log_z = sum((np.log(top) for top in tops if len(top) > 1), np.zeros(nodes))
        log_z = log_z + np.log(np.array([top[0] for top in tops if len(top) == 1])).sum()
        log_z = log_z + sum((np.log(constant) for constant in constants), np.zeros(nodes))
    return Calibrated(plan, log_z, held, messages)
