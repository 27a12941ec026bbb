"""The weighing: a programme and a table of explanations in, findings out.

Everything numeric is loaded when this module is: import it where the work is done, not where a question is read.
"""

import math
from collections.abc import Mapping, Sequence

import numpy as np

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause, Explanation, Figure, checked_table, default_table, sceptic
from genetics.evidence.findings import BroodSays, Findings, LeftOut, Penetrance, Share, Standing, Word
from genetics.evidence.fitting import brood_fits
from genetics.evidence.modes import HOMOGAMETIC_FEMALES
from genetics.evidence.programme import Founders, Programme
from genetics.evidence.rows import MANY, NEGLIGIBLE, RowBegun, RowWeighed, bounded, finished, log_sum, row_begun
from genetics.evidence.supposing import supposed
from genetics.evidence.verdicts import STILL, bins_of, stands_beside, verdict
from genetics.traits import Appearance

WEAK = (1.0, 4.0)
"""Beta prior of the share of showing young that are partial, under all but the incompletely dominant (judgement)."""


MATTERS = 0.002
"""A sampled explanation whose posterior has a larger standard error than this is sampled again, four times as thoroughly."""


SAID = 0.01
"""An explanation with less of the posterior than this has nothing said of what it needs."""


def weigh(programme: Programme, table: Sequence[Explanation] | None = None) -> Findings:
    """Weigh every explanation of the table (the default one if None) over all records.

    Raises EvidenceRefused: no scored young, records that no explanation can give, or more unknown animals than can be
    summed over (TOO_WIDE: it names the bin to leave out).
    """
    rows = checked_table(tuple(default_table() if table is None else table))
    if not any(brood.scored for brood in programme.broods):
        raise EvidenceRefused(EvidenceFault.NO_SCORED, "programme")
    left = _left_out(rows, programme)
    begun = _closer([row_begun(row, programme) for row in rows if row.cause not in left and row.prior > 0])
    graded = [_graded(one.row, programme) for one in begun]
    doubts = dict(zip([row.cause for row in rows], sceptic(rows), strict=True))
    logs = np.array([one.log_evidence + split[None] for one, split in zip(begun, graded, strict=True)])
    if not np.isfinite(logs).any():
        raise EvidenceRefused(EvidenceFault.IMPOSSIBLE, "programme")
    priors = np.array([one.row.prior for one in begun])
    posterior = _posterior(logs, priors)
    doubting = _posterior(logs, np.array([doubts[one.row.cause] for one in begun]))
    order = sorted(range(len(begun)), key=lambda at: -posterior[at])
    matter = _that_matter(begun, graded, posterior) | set(order[:2])
    weighed = [finished(one) if at in matter else bounded(one) for at, one in enumerate(begun)]
    shares = tuple(
        Share(
            weighed[at].row.cause,
            float(priors[at] / priors.sum()),
            float(logs[at]),
            float(posterior[at]),
            float(doubting[at]),
            weighed[at].error,
        )
        for at in order
    )
    leader = weighed[order[0]]
    told = [at for at in order if posterior[at] >= SAID]
    says = _broods(programme, weighed, order, graded, logs)
    fit = min([1.0, *(len(says) * one.fit for one in says)])
    said = verdict(programme, shares, says, fit, {})
    if said.word is Word.ESTABLISHED and not stands_beside(programme, shares[0]):
        said = verdict(programme, shares, says, fit, _without_bins(begun, programme, shares[0].cause, says))
    return Findings(
        shares=shares,
        left_out=tuple(left.items()),
        bayes_factor=_factor(logs, order),
        standings=_standings(programme, weighed, posterior, order[0]),
        broods=says,
        penetrance=_penetrance(leader),
        fit=fit,
        verdict=said,
        sampled=tuple(one.row.cause for one in weighed if one.error > 0),
        fresh=tuple(dict.fromkeys(name for one in weighed for name in one.fresh)),
        supposed=tuple(one for at in told for one in supposed(weighed[at], programme)),
    )


def _left_out(rows: Sequence[Explanation], programme: Programme) -> dict[Cause, LeftOut]:
    left: dict[Cause, LeftOut] = {}
    for row in rows:
        if row.cause is Cause.INCOMPLETE and not programme.partial:
            left[row.cause] = LeftOut.NO_PARTIAL
        if row.cause is Cause.EITHER_LOCUS and not any(isinstance(g, Founders) and g.odd for g in programme.groups):
            left[row.cause] = LeftOut.NO_ODD
        if row.cause is Cause.SEX_LINKED and programme.system not in HOMOGAMETIC_FEMALES:
            left[row.cause] = LeftOut.NO_CHROMOSOME
    return left


def _closer(begun: Sequence[RowBegun]) -> list[RowBegun]:
    """The rows, those sampled with few particles done again with many where they may matter."""
    logs = np.array([one.log_evidence for one in begun])
    priors = np.array([one.row.prior for one in begun])
    shares = _posterior(logs, priors) if np.isfinite(logs).any() else np.zeros(len(begun))
    return [
        row_begun(one.row, one.programme, MANY) if one.error * share * (1 - share) > MATTERS else one
        for one, share in zip(begun, shares, strict=True)
    ]


def _that_matter(begun: Sequence[RowBegun], graded: Sequence[Mapping[str | None, float]], posterior: Table) -> set[int]:
    """The rows that may have more than a negligible share with all broods or without one of them."""
    matter = set(np.flatnonzero(posterior > NEGLIGIBLE).tolist())
    for name in begun[0].least:
        split = np.array([held[name] for held in graded]) + np.log([one.row.prior for one in begun])
        least = max(split + [one.least[name] for one in begun])
        most = split + [one.most[name] for one in begun]
        matter |= set(np.flatnonzero(most > least + math.log(NEGLIGIBLE)).tolist())
    return matter


def _posterior(logs: Table, priors: Table) -> Table:
    with np.errstate(divide="ignore"):
        raw = logs + np.log(priors)
    return np.asarray(np.exp(raw - log_sum(raw)))


def _factor(logs: Table, order: Sequence[int]) -> float:
    if len(order) < 2:
        return math.inf
    gap = float(logs[order[0]] - logs[order[1]])
    return math.exp(gap) if gap < 700 else math.inf


def _without_bins(
    begun: Sequence[RowBegun], programme: Programme, leader: Cause, says: Sequence[BroodSays]
) -> dict[str, float]:
    """The leader's posterior without each bin, up to the first that costs it the word.

    Each costs nearly as much as the whole weighing; the bin with the most visuals, which is asked first, decides mostly.
    """
    shown = {name: sum(b.shown for b in programme.broods if b.bin == name) for name in bins_of(programme)}
    found: dict[str, float] = {}
    for name in sorted(shown, key=lambda one: -shown[one]):
        found[name] = _without_bin(begun, programme, name, leader, says)
        if not found[name] >= STILL:
            break
    return found


def _without_bin(
    begun: Sequence[RowBegun], programme: Programme, name: str, leader: Cause, says: Sequence[BroodSays]
) -> float:
    """The leader's posterior without the young of one bin; NaN where that cannot be weighed."""
    silent = frozenset(brood.name for brood in programme.broods if brood.bin == name and brood.scored)
    if len(silent) == 1:
        return next(one.dropped for one in says if one.brood in silent)
    try:
        left = [row_begun(one.row, programme, silent=silent) for one in begun]
    except EvidenceRefused:
        return math.nan
    plain = _split(programme, silent)
    logs = np.array([one.log_evidence + (plain if _graded_apart(one.row, programme) else 0.0) for one in left])
    if not np.isfinite(logs).any():
        return math.nan
    shares = _posterior(logs, np.array([one.row.prior for one in left]))
    return float(shares[[one.row.cause for one in left].index(leader)])


def _graded_apart(row: Explanation, programme: Programme) -> bool:
    """Whether partial or full says nothing of the genes."""
    return row.cause is not Cause.INCOMPLETE and programme.partial


def _graded(row: Explanation, programme: Programme) -> dict[str | None, float]:
    """What the split into partial and full adds to the log evidence, with all broods (None) and without each."""
    plain = _graded_apart(row, programme)
    return {
        left: _split(programme, frozenset({left})) if plain else 0.0
        for left in (None, *(brood.name for brood in programme.broods))
    }


def _split(programme: Programme, left: frozenset[str | None] | frozenset[str]) -> float:
    seen = [(one.look, one.number) for brood in programme.broods if brood.name not in left for one in brood.seen]
    seen += [(g.look, g.number or 0) for g in programme.groups if isinstance(g, Founders) and g.look and not g.odd]
    partial = sum(number for look, number in seen if look is Appearance.PARTIAL)
    full = sum(number for look, number in seen if look is Appearance.FULL)
    first, second = WEAK
    top = math.lgamma(first + partial) + math.lgamma(second + full) - math.lgamma(first + second + partial + full)
    return top - math.lgamma(first) - math.lgamma(second) + math.lgamma(first + second)


def _broods(
    programme: Programme,
    weighed: Sequence[RowWeighed],
    order: Sequence[int],
    graded: Sequence[Mapping[str | None, float]],
    logs: Table,
) -> tuple[BroodSays, ...]:
    priors = np.array([one.row.prior for one in weighed])
    fits = brood_fits(programme, weighed[order[0]])
    says = []
    for brood in programme.broods:
        without = np.array(
            [one.dropped[brood.name] + split[brood.name] for one, split in zip(weighed, graded, strict=True)]
        )
        dropped = float(_posterior(without, priors)[order[0]]) if np.isfinite(without).any() else math.nan
        weight = 0.0
        if len(order) > 1:
            first, second = order[0], order[1]
            weight = float((logs[first] - without[first]) - (logs[second] - without[second])) / math.log(10)
        says.append(BroodSays(brood.name, dropped, weight, fits.get(brood.name, 1.0)))
    return tuple(says)


def _standings(
    programme: Programme, weighed: Sequence[RowWeighed], posterior: Table, leader: int
) -> tuple[Standing, ...]:
    found = []
    for group in programme.groups:
        overall = 0.0
        mine: tuple[tuple[tuple[str, float], ...], float, float] = ((), 0.0, 0.0)
        for at, one in enumerate(weighed):
            if not one.pieces or one.log_evidence == -math.inf:
                continue
            here = _standing(one, group.name)
            if one.row.cause is not Cause.THRESHOLD:
                overall += float(posterior[at]) * here[1]
            if at == leader:
                mine = here
        found.append(Standing(group.name, mine[0], mine[1], mine[2], overall))
    return tuple(found)


def _standing(one: RowWeighed, name: str) -> tuple[tuple[tuple[str, float], ...], float, float]:
    """Genotypes of a random member, P(it carries), P(any carries), over the modes and nodes of a row."""
    genotypes: dict[str, float] = {}
    carries = anybody = 0.0
    for piece in one.pieces:
        weights = np.exp(piece.log_weights + piece.weighed.log_evidence - one.log_evidence)
        table, anyone = piece.weighed.groups[name]
        shares = table @ weights if table.shape[-1] > 1 else table[:, 0] * weights.sum()
        for label, copies, share in zip(piece.setting.mode.names, piece.setting.mode.copies, shares, strict=True):
            genotypes[label] = genotypes.get(label, 0.0) + float(share)
            carries += float(share) if copies else 0.0
        anybody += float((np.broadcast_to(anyone, weights.shape) * weights).sum())
    return tuple(genotypes.items()), carries, anybody


def _penetrance(leader: RowWeighed) -> Penetrance | None:
    chances: dict[float, float] = {}
    for piece in leader.pieces:
        held = piece.setting.figures.get(Figure.PENETRANCE)
        if held is None:
            return None
        weights = np.exp(piece.log_weights + piece.weighed.log_evidence - leader.log_evidence)
        for value, weight in zip(held.tolist(), weights.tolist(), strict=True):
            chances[value] = chances.get(value, 0.0) + weight
    if not chances:
        return None
    grid = tuple(sorted(chances.items()))
    below = np.cumsum([weight for _, weight in grid])
    low, high = (grid[min(int(np.searchsorted(below, share)), len(grid) - 1)][0] for share in (0.05, 0.95))
    return Penetrance(math.fsum(value * weight for value, weight in grid), low, high, grid)
