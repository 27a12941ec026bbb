"""The explanations without genes: shares by bin and by brood, integrated out exactly.

A brood's likelihood is beta-binomial. As a function of its bin's rate it is a polynomial of degree n (the young scored),
so that Gauss-Jacobi quadrature with more than half as many points as young were scored in the bin is exact.

A founder that was looked at grew up in a bin and a brood of its own, which nothing else is known of: it shows with the
mean rate. (Odd ones are on record because they show, and tell nothing.)
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Explanation, Figure
from genetics.evidence.grids import Grid, beta_grid
from genetics.evidence.programme import Brood, Founders, Programme
from genetics.traits import Appearance

MOST_POINTS = 128


@dataclass(frozen=True, slots=True, eq=False)
class Rated:
    """An explanation without genes weighed: log P(records), and the same without each brood."""

    log_evidence: float
    dropped: Mapping[str, float]
    row: Explanation


def log_beta_binomial(shown: int, scored: int, held: "_Held") -> Table:
    """log P of one order of so many showing among the scored: no binomial coefficient."""
    from scipy.special import gammaln  # noqa: PLC0415 - loaded with the weighing only

    found = gammaln(held.first + shown) + gammaln(held.second + (scored - shown))
    # The two shapes sum to one figure for each node, whatever the point.
    return np.asarray(found - gammaln(held.both + scored)[:, None] + held.constant)


def rated(row: Explanation, programme: Programme, silent: frozenset[str] = frozenset()) -> Rated:
    """Weigh *not inherited*, or *none of these* (which has no rate of a bin); the young of silent broods are left out."""
    all_of = _AllOf(row, programme, silent)
    total = _log_sum(all_of.log_weights + all_of.total)
    dropped = {brood.name: total for brood in programme.broods}
    for brood in programme.broods:
        if brood.scored and brood.name not in silent:
            dropped[brood.name] = _log_sum(all_of.log_weights + all_of.without(brood))
    return Rated(total, dropped, row)


def predicted(row: Explanation, programme: Programme) -> dict[str, Table]:
    """For each brood (k,) P(k of its scored young show | all other broods, and that it was found if it was)."""
    all_of = _AllOf(row, programme)
    return {brood.name: all_of.predicted(brood) for brood in programme.broods if brood.scored}


class _AllOf:
    """The broods by bin, with the tables of each over nodes and points."""

    def __init__(self, row: Explanation, programme: Programme, silent: frozenset[str] = frozenset()) -> None:
        by_bin = Figure.BIN_SPREAD in row.grids
        self.bins: dict[str, list[Brood]] = {}
        self.bin_of = {brood.name: brood.bin if by_bin else brood.name for brood in programme.broods}
        for brood in programme.broods:
            if brood.scored and brood.name not in silent:
                self.bins.setdefault(self.bin_of[brood.name], []).append(brood)
        young = max((sum(brood.scored for brood in held) for held in self.bins.values()), default=1)
        weights, rates, self.held = _grid(row, young)
        self.log_weights = np.log(weights) + _log_looks(programme, rates)
        self.tables = {brood.name: _tables(brood, self.held) for held in self.bins.values() for brood in held}
        self.parts = {name: _bin(held, self.tables, self.held) for name, held in self.bins.items()}
        self.total = sum(self.parts.values(), np.zeros(len(weights)))

    def others(self, brood: Brood) -> list[Brood]:
        return [other for other in self.bins[self.bin_of[brood.name]] if other.name != brood.name]

    def elsewhere(self, brood: Brood) -> Table:
        return np.asarray(self.total - self.parts[self.bin_of[brood.name]])

    def without(self, brood: Brood) -> Table:
        return np.asarray(self.elsewhere(brood) + _bin(self.others(brood), self.tables, self.held))

    def predicted(self, brood: Brood) -> Table:
        elsewhere = self.log_weights + self.elsewhere(brood)
        return _predictive(brood, self.others(brood), self.tables, self.held, elsewhere)


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """(node, point) shapes of the broods' Betas, and log weights of a bin's points; (node,) the sum of the shapes.

    constant: (node, point) log of 1 / B(first, second).
    """

    first: Table
    second: Table
    log_points: Table
    both: Table
    constant: Table


def _log_looks(programme: Programme, rates: Table) -> Table:
    """(node,) log P(how founders looked | mean rate)."""
    looked = [g for g in programme.groups if isinstance(g, Founders) and g.look is not None and not g.odd]
    shown = sum(group.number or 0 for group in looked if group.look is not Appearance.WILD)
    wild = sum(group.number or 0 for group in looked if group.look is Appearance.WILD)
    return np.asarray(shown * np.log(rates) + wild * np.log1p(-rates))


def _grid(row: Explanation, young: int) -> tuple[Table, Table, _Held]:
    """(node,) prior weights and mean rates, and the shapes."""
    from scipy.special import gammaln  # noqa: PLC0415 - loaded with the weighing only

    points = 16
    while points <= young / 2 and points < MOST_POINTS:
        points *= 2
    weights, rates, sums, first, second, logs = [], [], [], [], [], []
    spreads = row.grids[Figure.BROOD_SPREAD]
    bins = row.grids.get(Figure.BIN_SPREAD)
    for rate, rate_weight in _pairs(row.grids[Figure.RATE]):
        for width, width_weight in _pairs(bins) if bins is not None else [(0.0, 1.0)]:
            nodes, point_weights = np.array([rate]), np.array([1.0])
            if bins is not None:
                grid = beta_grid(rate * width, (1 - rate) * width, points)
                nodes, point_weights = np.array(grid.nodes), np.array(grid.weights)
            # The outermost points may be 0 or 1 to rounding, where a Beta has no shape.
            nodes = np.clip(nodes, 1e-12, 1 - 1e-12)
            for spread, spread_weight in _pairs(spreads):
                weights.append(rate_weight * width_weight * spread_weight)
                rates.append(min(max(rate, 1e-12), 1 - 1e-12))
                sums.append(spread)
                first.append(_padded(nodes * spread, points, spread / 2))
                second.append(_padded((1 - nodes) * spread, points, spread / 2))
                logs.append(_padded(np.log(point_weights), points, -np.inf))
    one, two, both = np.array(first), np.array(second), np.array(sums)
    constant = gammaln(both)[:, None] - gammaln(one) - gammaln(two)
    return np.array(weights), np.array(rates), _Held(one, two, np.array(logs), both, constant)


def _padded(table: Table, size: int, filling: float) -> Table:
    return np.concatenate([table, np.full(size - len(table), filling)])


def _pairs(grid: Grid) -> list[tuple[float, float]]:
    return list(zip(grid.nodes, grid.weights, strict=True))


def _tables(brood: Brood, held: _Held) -> tuple[Table, Table | None]:
    seen = log_beta_binomial(brood.shown, brood.scored, held)
    if not brood.found:
        return seen, None
    none = log_beta_binomial(0, brood.scored, held)
    return seen, np.log(-np.expm1(np.minimum(none, -1e-300)))


def _bin(broods: Sequence[Brood], tables: Mapping[str, tuple[Table, Table | None]], held: _Held) -> Table:
    """(node,) log P(the broods of one bin | node), given that the found ones were found."""
    seen, found = held.log_points, held.log_points
    for brood in broods:
        told, turns_up = tables[brood.name]
        seen = seen + told
        if turns_up is not None:
            found = found + turns_up
    return _log_sum_points(seen) - _log_sum_points(found)


def _log_sum_points(table: Table) -> Table:
    top = table.max(axis=1, keepdims=True)
    return np.asarray(np.log(np.exp(table - top).sum(axis=1)) + top[:, 0])


def _log_sum(table: Table) -> float:
    top = float(table.max())
    return float(np.log(np.exp(table - top).sum()) + top)


def _predictive(
    brood: Brood,
    others: Sequence[Brood],
    tables: Mapping[str, tuple[Table, Table | None]],
    held: _Held,
    elsewhere: Table,
) -> Table:
    from scipy.special import gammaln  # noqa: PLC0415 - loaded with the weighing only

    weight, found = held.log_points, held.log_points
    for other in others:
        told, turns_up = tables[other.name]
        weight = weight + told
        if turns_up is not None:
            found = found + turns_up
    joint = weight + (elsewhere - _log_sum_points(found))[:, None]
    n = brood.scored
    coefficients = gammaln(n + 1) - gammaln(np.arange(n + 1) + 1) - gammaln(n - np.arange(n + 1) + 1)
    logs = [_log_sum(joint + log_beta_binomial(k, n, held)) for k in range(n + 1)]
    chances = np.exp(np.array(logs) - max(logs) + coefficients)
    if brood.found:
        chances[0] = 0.0
    return np.asarray(chances / chances.sum())
