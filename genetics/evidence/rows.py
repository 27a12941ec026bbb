"""One row of the table weighed: its modes, its grid, and what they come to together."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import product

import numpy as np

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause, Explanation, Figure
from genetics.evidence.founding import Setting, odd_groups
from genetics.evidence.grids import Grid, beta_grid, fixed
from genetics.evidence.modes import Mode, modes
from genetics.evidence.programme import Founders, Misread, Pairing, Programme, Sharing, Stock
from genetics.evidence.rates import Rated, rated
from genetics.evidence.sampling import sampled
from genetics.evidence.scoring import locus_scoring
from genetics.evidence.sums import Begun, Weighed, begin, finish, some_nodes
from genetics.evidence.threshold import threshold_mode, threshold_scoring

CELLS = 400_000
"""Cells of one table at a time (3 MB); wider ones are done in pieces of the grid."""
WIDEST = 3_000_000
"""Cells of the widest table over all nodes, up to which the sum is exact."""
FEW, MANY = 400, 1_600
"""Particles of a run: at first, and where the explanation turns out to matter."""
NEGLIGIBLE = 1e-12
"""A figure, or an explanation, whose weight among all others is below this with any brood left out is not looked at
more closely."""
LOST = frozenset({Cause.RECESSIVE, Cause.BOTH_LOCI})
"""Explanations under which an odd founder can have one genotype only, whatever its stock."""


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One mode of a row: its setting, log prior weight of each node, and what the weighing gave; nodes that do not
    matter are left out of all three."""

    setting: Setting
    log_weights: Table
    weighed: Weighed


@dataclass(frozen=True, slots=True, eq=False)
class RowWeighed:
    """A row of the table weighed: log P(records), the same without each brood, the pieces or the rates behind it.

    error: standard error of `log_evidence`; 0: exact but for the quadrature. A row that does not matter has no pieces,
    and the most that it can come to without each brood.
    """

    row: Explanation
    log_evidence: float
    dropped: Mapping[str, float]
    pieces: tuple[Piece, ...] = ()
    rates: Rated | None = None
    error: float = 0.0
    fresh: tuple[str, ...] = field(default=())


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """One mode of a row begun, or sampled; error: standard error of its log evidence."""

    setting: Setting
    log_weights: Table
    begun: Begun | Weighed
    error: float = 0.0

    def without(self, name: str) -> tuple[Table, Table]:
        """(node,) least and most that the log evidence without a brood can be."""
        held = self.begun
        return (held.least[name], held.most[name]) if isinstance(held, Begun) else (held.dropped[name],) * 2


@dataclass(frozen=True, slots=True, eq=False)
class RowBegun:
    """A row's log evidence, and for each brood between which figures it lies without it."""

    row: Explanation
    programme: Programme
    log_evidence: float
    least: Mapping[str, float]
    most: Mapping[str, float]
    opened: tuple[Opened, ...] = ()
    rates: Rated | None = None
    error: float = 0.0


def log_sum(table: Table) -> float:
    """log of a sum of exponentials; −inf for nothing but −inf.

    >>> round(log_sum(np.log([0.25, 0.5])), 12) == round(float(np.log(0.75)), 12)
    True
    """
    top = float(np.max(table))
    return top + float(np.log(np.exp(table - top).sum())) if np.isfinite(top) else -np.inf


def row_weighed(row: Explanation, programme: Programme, particles: int = FEW) -> RowWeighed:
    """Weigh one explanation; where it must be sampled, with so many particles in each run.

    Raises EvidenceRefused (TOO_WIDE) beyond what can be summed.
    """
    return finished(row_begun(row, programme, particles))


def row_begun(
    row: Explanation, programme: Programme, particles: int = FEW, silent: frozenset[str] = frozenset()
) -> RowBegun:
    """The evidence of one explanation, the young of silent broods left out. Raises EvidenceRefused as `row_weighed` does."""
    if not row.cause.inherited:
        rates = rated(row, programme, silent)
        return RowBegun(row, programme, rates.log_evidence, rates.dropped, rates.dropped, rates=rates)
    opened = tuple(
        _opened(replace(setting, silent=silent), log_weights, particles)
        for setting, log_weights in settings(row, programme)
    )
    log_evidence = _over(opened, [one.begun.log_evidence for one in opened])
    without = {brood.name: [one.without(brood.name) for one in opened] for brood in programme.broods}
    least = {name: _over(opened, [low for low, _ in bounds]) for name, bounds in without.items()}
    most = {name: _over(opened, [high for _, high in bounds]) for name, bounds in without.items()}
    return RowBegun(row, programme, log_evidence, least, most, opened, error=_error(opened, log_evidence))


def finished(begun: RowBegun) -> RowWeighed:
    """What each brood and animal comes to under the row."""
    if begun.rates is not None:
        return RowWeighed(begun.row, begun.log_evidence, begun.rates.dropped, rates=begun.rates)
    pieces = tuple(piece for one in begun.opened if (piece := _piece(one, begun)) is not None)
    dropped = {
        name: log_sum(np.concatenate([[-np.inf], *(p.log_weights + p.weighed.dropped[name] for p in pieces)]))
        for name in begun.least
    }
    groups = begun.programme.groups
    fresh = tuple(group.name for group in groups if group.number is not None and group.number > 1)
    return RowWeighed(
        begun.row,
        begun.log_evidence,
        dropped,
        pieces,
        error=begun.error,
        fresh=fresh if begun.row.cause is Cause.THRESHOLD and not begun.error else (),
    )


def bounded(begun: RowBegun) -> RowWeighed:
    """A row that does not matter, whatever brood is left out."""
    return RowWeighed(begun.row, begun.log_evidence, begun.most, rates=begun.rates, error=begun.error)


def _over(opened: tuple[Opened, ...], logs: list[Table]) -> float:
    return log_sum(np.concatenate([one.log_weights + log for one, log in zip(opened, logs, strict=True)]))


def _opened(setting: Setting, log_weights: Table, particles: int) -> Opened:
    """A mode begun exactly, or sampled where it is too wide."""
    try:
        return Opened(setting, log_weights, begin(setting, most=WIDEST, cells=CELLS))
    except EvidenceRefused as refused:
        if refused.fault is not EvidenceFault.TOO_WIDE:
            raise
    try:
        weighed, error = sampled(setting, log_weights, most=WIDEST, particles=particles)
    except EvidenceRefused as refused:
        if refused.fault is not EvidenceFault.TOO_WIDE or particles >= MANY:
            raise
        weighed, error = sampled(setting, log_weights, most=WIDEST, particles=MANY)
    return Opened(setting, log_weights, weighed, error)


def _piece(one: Opened, row: RowBegun) -> Piece | None:
    """The mode at the nodes that matter with all broods or without one of them; None if none does."""
    if isinstance(one.begun, Weighed):
        return Piece(one.setting, one.log_weights, one.begun)
    limit = float(np.log(NEGLIGIBLE))
    matters = one.log_weights + one.begun.log_evidence > row.log_evidence + limit
    for name, least in row.least.items():
        matters |= one.log_weights + one.begun.most[name] > least + limit
    where = np.flatnonzero(matters)
    if not len(where):
        return None
    weighed = finish(one.begun, where, cells=CELLS)
    return Piece(some_nodes(one.setting, where), one.log_weights[where], weighed)


def _error(opened: tuple[Opened, ...], log_evidence: float) -> float:
    """Standard error of a row's log evidence from those of its modes, each by its part in it."""
    if not np.isfinite(log_evidence):
        return 0.0
    parts = [np.exp(log_sum(one.log_weights + one.begun.log_evidence) - log_evidence) for one in opened]
    return float(sum((part * one.error) ** 2 for part, one in zip(parts, opened, strict=True)) ** 0.5)


def settings(row: Explanation, programme: Programme) -> Iterator[tuple[Setting, Table]]:
    """Each mode of a row with its figures at each node, and the log of the nodes' prior weights (the mode's included)."""
    grids = dict(row.grids)
    if programme.misread is not None:
        grids[Figure.MISREAD] = measured(programme.misread)
    if row.cause is Cause.THRESHOLD:
        yield from _threshold_settings(row, programme, grids)
        return
    if not _home_matters(row.cause, programme):
        grids[Figure.HOME] = fixed(grids[Figure.HOME].mean)
    split = (Figure.HOME, Figure.AWAY) if _fresh_for_each(programme) else ()
    nodes = [f for f in grids if f not in split and f not in _NOT_NODES]
    for mode in _modes(row, programme):
        for apart in product(*(_pairs(grids[figure]) for figure in split)):
            figures, weights = _grid(grids, nodes)
            size = len(weights)
            for figure, (value, weight) in zip(split, apart, strict=True):
                figures[figure] = np.full(size, value)
                weights = weights * weight
            scoring = locus_scoring(figures, mode.classes)
            yield Setting(programme, mode, figures, grids, scoring), np.log(weights * mode.share)


_NOT_NODES = frozenset({Figure.STORED_HAD_MALES, Figure.STORED_UNKNOWN, Figure.HOMOZYGOTE, Figure.HERITABILITY})


def _threshold_settings(
    row: Explanation, programme: Programme, grids: Mapping[Figure, Grid]
) -> Iterator[tuple[Setting, Table]]:
    nodes = [figure for figure in grids if figure not in _NOT_NODES]
    for heritability, share in _pairs(grids[Figure.HERITABILITY]):
        figures, weights = _grid(grids, nodes)
        mode = threshold_mode(heritability, share)
        scoring = threshold_scoring(heritability, figures)
        yield Setting(programme, mode, figures, grids, scoring, fresh=True), np.log(weights * share)


def _modes(row: Explanation, programme: Programme) -> tuple[Mode, ...]:
    weak = tuple(_pairs(row.grids[Figure.HOMOZYGOTE])) if row.cause is Cause.LETHAL else ()
    return modes(row.cause, programme.system, weak)


def _pairs(grid: Grid) -> list[tuple[float, float]]:
    return list(zip(grid.nodes, grid.weights, strict=True))


def _grid(grids: Mapping[Figure, Grid], nodes: list[Figure]) -> tuple[dict[Figure, Table], Table]:
    """Every combination of the grids' figures, each as a table (node,), and the product of their weights."""
    values = np.meshgrid(*(np.array(grids[figure].nodes) for figure in nodes), indexing="ij")
    weights = np.meshgrid(*(np.array(grids[figure].weights) for figure in nodes), indexing="ij")
    return (
        {figure: value.ravel() for figure, value in zip(nodes, values, strict=True)},
        np.prod([weight.ravel() for weight in weights], axis=0),
    )


def measured(misread: Misread) -> Grid:
    """The scoring error's grid once two keepers have scored the same animals.

    Two who err with chance e each differ with about 2e; half of what they differed in counts as errors, on a prior of
    half an error in twenty animals (judgement).
    """
    wrong = misread.wrong / 2
    return beta_grid(0.5 + wrong, 20.0 + misread.compared - wrong, 3)


def _home_matters(cause: Cause, programme: Programme) -> bool:
    home = [g for g in programme.groups if isinstance(g, Founders) and g.stock is Stock.HOME and g.carries is None]
    odd = sum(g.number or 0 for g in home if g.odd)
    # A single odd animal under "either suffices" has two copies at both loci.
    certain = cause in LOST or (cause is Cause.EITHER_LOCUS and sum(g.number or 0 for g in odd_groups(programme)) == 1)
    return any(not g.odd for g in home) or (odd > 0 and not certain) or _stored_from_home(programme)


def _stored_from_home(programme: Programme) -> bool:
    dams = [programme.group(dam.group) for pairing in programme.pairings for dam in pairing.dams]
    return any(isinstance(dam, Founders) and dam.stock is Stock.HOME for dam in dams)


def _fresh_for_each(programme: Programme) -> bool:
    """Whether young draw each their own parent out of an uncounted stock, so that its frequency must be one figure."""

    def side(names: list[str], sharing: Sharing) -> bool:
        return sharing is Sharing.EACH and any(programme.group(name).number is None for name in names)

    def either(pairing: Pairing) -> bool:
        dams = [dam.group for dam in pairing.dams]
        return side(dams, pairing.mothers) or side(list(pairing.sires), pairing.fathers)

    return any(either(pairing) for pairing in programme.pairings)
