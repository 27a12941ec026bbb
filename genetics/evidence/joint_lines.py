"""The accounts of `complementation` as tables, summed over all unknown genotypes. Loads numpy."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.complementation import HIDDEN, Line, Loci, Said, copies_at, together, with_stored_males
from genetics.evidence.elimination import Table
from genetics.evidence.explanations import PREDICTS, Cause, Explanation, Figure, default_grids
from genetics.evidence.founding import Setting
from genetics.evidence.grids import Grid, beta_grid, fixed, weighted
from genetics.evidence.modes import modes
from genetics.evidence.programme import Founders, Programme
from genetics.evidence.rates import rated
from genetics.evidence.rows import CELLS, MANY, WIDEST, log_sum, measured
from genetics.evidence.sampling import sampled
from genetics.evidence.scoring import locus_scoring
from genetics.evidence.sums import begin
from genetics.genome import SexSystem


def default_line_grids() -> dict[Figure, Grid]:
    """What the accounts do not fix: as for a recessive, with one frequency for each stock, and stored sperm up to a whole brood.

    A dam that was with other males may have a whole brood of them (half of the dams in the published trial had one from
    stored sperm alone, isopods.md §1.4; the shares are a judgement).
    """
    return {
        **default_grids(Cause.RECESSIVE),
        Figure.PENETRANCE: beta_grid(3, 1, 6),
        Figure.HOME: fixed(0.05),
        Figure.STORED_HAD_MALES: weighted([(0.0, 0.5), (0.28, 0.2), (0.8, 0.1), (1.0, 0.2)]),
        Figure.STORED_UNKNOWN: weighted([(0.0, 0.8), (0.28, 0.08), (0.8, 0.04), (1.0, 0.08)]),
    }


_NODES = (Figure.PENETRANCE, Figure.PHENOCOPIES, Figure.SURVIVAL, Figure.MISREAD, Figure.SPOILT)


def log_evidence(
    loci: Loci,
    programme: Programme,
    said: Mapping[str, Said],
    grids: Mapping[Figure, Grid] | None = None,
    hidden: Grid | None = None,
) -> tuple[float, float]:
    """log P(all records | account), and its standard error where it was sampled (else 0).

    grids: of every figure of a recessive; those of a stock's frequencies have one figure. hidden: of `HIDDEN`.
    Raises EvidenceRefused (TOO_WIDE; GRID for a frequency of several figures).
    """
    if loci is Loci.NEITHER:
        row = Explanation(Cause.NONE, 1.0, default_grids(Cause.NONE), PREDICTS[Cause.NONE])
        return rated(row, programme).log_evidence, 0.0
    setting, log_weights = _setting(
        loci,
        programme,
        said,
        dict(default_line_grids() if grids is None else grids),
        weighted(HIDDEN) if hidden is None else hidden,
    )
    try:
        return log_sum(log_weights + begin(setting, most=WIDEST, cells=CELLS).log_evidence), 0.0
    except EvidenceRefused as refused:
        if refused.fault is not EvidenceFault.TOO_WIDE:
            raise
    weighed, error = sampled(setting, log_weights, most=WIDEST, particles=MANY)
    return log_sum(log_weights + weighed.log_evidence), error


def _setting(
    loci: Loci, programme: Programme, said: Mapping[str, Said], grids: dict[Figure, Grid], hidden: Grid
) -> tuple[Setting, Table]:
    if programme.misread is not None:
        grids[Figure.MISREAD] = measured(programme.misread)
    for figure in (Figure.HOME, Figure.AWAY):
        if len(grids[figure].nodes) > 1:
            raise EvidenceRefused(EvidenceFault.GRID, figure, str(len(grids[figure].nodes)))
    axes = [*(grids[figure] for figure in _NODES), hidden if loci is Loci.TWO else fixed(0.0)]
    values = [table.ravel() for table in np.meshgrid(*(np.array(axis.nodes) for axis in axes), indexing="ij")]
    weights = np.prod(
        [table.ravel() for table in np.meshgrid(*(np.array(axis.weights) for axis in axes), indexing="ij")], axis=0
    )
    figures = dict(zip(_NODES, values, strict=False))
    for figure in (Figure.HOME, Figure.AWAY):
        figures[figure] = np.full(len(weights), grids[figure].nodes[0])
    mode = modes(Cause.EITHER_LOCUS if loci is Loci.TWO else Cause.RECESSIVE, SexSystem.UNKNOWN)[0]
    held, males = with_stored_males(programme, said)
    known = {**{name: (one, False) for name, one in said.items()}, **{name: (one, True) for name, one in males.items()}}
    given = {
        group.name: _genotypes(loci, *known[group.name], values[-1])
        for group in held.groups
        if isinstance(group, Founders) and group.name in known
    }
    setting = Setting(held, mode, figures, grids, locus_scoring(figures, mode.classes), given=MappingProxyType(given))
    return setting, np.log(weights)


def _genotypes(loci: Loci, said: Said, stored: bool, hidden: Table) -> Table:
    """(genotype, node) of a founder."""
    first, second = (copies_at(line, said, stored=stored) for line in Line)
    if loci is Loci.SAME:
        nothing = (1.0, 0.0, 0.0)
        return np.array(together(first or nothing, second or nothing))[:, None]
    unseen = np.stack([(1 - hidden) ** 2, 2 * hidden * (1 - hidden), hidden**2])
    sides = [
        unseen if known is None else np.repeat(np.array(known)[:, None], len(hidden), 1) for known in (first, second)
    ]
    return np.asarray((sides[0][:, None] * sides[1][None, :]).reshape(9, -1))
