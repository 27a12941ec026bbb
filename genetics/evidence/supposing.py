"""What an explanation needs to be true of founders that nobody took for carriers."""

from collections.abc import Iterator

import numpy as np

from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Supposed
from genetics.evidence.founding import founder_tables
from genetics.evidence.programme import Founders, Programme
from genetics.evidence.rows import RowWeighed

HALF = 0.5


def supposed(row: RowWeighed, programme: Programme) -> Iterator[Supposed]:
    """Founders with young that show which carry by all records, and would not by their stock and looks alone.

    Nothing for explanations without genes at a locus: everybody has a share of many genes.
    """
    if row.row.cause is Cause.THRESHOLD or not row.pieces:
        return
    for group in programme.groups:
        if not isinstance(group, Founders) or group.odd or group.number is None or group.carries is not None:
            continue
        broods = tuple(
            brood.name for brood in programme.broods if brood.shown and _parent(programme, group, brood.pairing)
        )
        if broods:
            before, after = _carries(row, group)
            if before < HALF <= after:
                yield Supposed(row.row.cause, group.name, before, after, broods)


def _parent(programme: Programme, group: Founders, name: str) -> bool:
    pairing = programme.pairing(name)
    return group.name in pairing.sires or any(dam.group == group.name for dam in pairing.dams)


def _carries(row: RowWeighed, group: Founders) -> tuple[float, float]:
    """P(a random member has a copy | the row's figures, stock and looks), and the same by all records."""
    before = after = 0.0
    for piece in row.pieces:
        weights = np.exp(piece.log_weights + piece.weighed.log_evidence - row.log_evidence)
        prior, look = founder_tables(piece.setting, group)
        chances = np.broadcast_to(prior * look, (len(prior), len(weights)))
        total = chances.sum(axis=0)
        has = np.array(piece.setting.mode.copies) > 0
        before += float((chances[has].sum(axis=0) / np.where(total > 0, total, 1.0) * weights).sum())
        table = piece.weighed.groups[group.name][0]
        after += float((np.broadcast_to(table[has].sum(axis=0), weights.shape) * weights).sum())
    return before, after
