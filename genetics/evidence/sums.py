"""One mode weighed: the sum over all unknown genotypes, at each node of the grid, with and without each brood."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Calibrated, Factor, Table, calibrate, planned
from genetics.evidence.founding import Setting
from genetics.evidence.laws import Law, compositions, number_of_compositions
from genetics.evidence.net import BroodPart, Net, Stands, net_of
from genetics.evidence.programme import Brood
from genetics.evidence.scoring import Scoring
from genetics.loci import Sex

STRATA: tuple[Sex | None, ...] = (Sex.FEMALE, Sex.MALE, None)
SMALLEST = 1e-250
"""Below this a brood's likelihood cannot be divided out of a posterior again, and the sum is done anew without it."""


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Logarithms by row of a law and node: P(what was seen), and P(a visual turns up that is real), for found broods."""

    seen: Table
    turns_up: Table | None


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """(row, stratum, look, node) of a law: shares of the scored young, and the part of them that is real."""

    log: Table
    log_unreal: Table
    real: Table


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """A mode weighed.

    log_evidence: (node,) log P(records | node). dropped: for each brood the same without it. groups: for each group
    (genotype, node) of a random member, and (node,) P(any member has a copy).
    """

    log_evidence: Table
    dropped: dict[str, Table]
    groups: Mapping[str, tuple[Table, Table]]
    cavities: Mapping[str, tuple[tuple[Law, Table], ...]]


def shares_of(law: Law, scoring: Scoring, daughters: float) -> Shares:
    """What the scored young of each row are: daughters, sons, and unsexed ones."""
    weight = np.einsum("rxe,elk->rxlk", law.expressed, scoring.seen)
    total = weight.sum(axis=2, keepdims=True)
    total = np.where(total > 0, total, 1.0)
    seen = _with_unsexed(weight / total, daughters)
    real = _with_unsexed(np.einsum("rxe,elk->rxlk", law.expressed, scoring.real) / total, daughters)
    with np.errstate(divide="ignore"):
        return Shares(np.log(seen), np.log(np.maximum(seen - real, 0.0)), real.sum(axis=2))


def _with_unsexed(table: Table, daughters: float) -> Table:
    mixed = daughters * table[:, :1] + (1 - daughters) * table[:, 1:]
    return np.concatenate([table, mixed], axis=1)


def counts_of(brood: Brood, scoring: Scoring) -> NDArray[np.intp]:
    """(stratum, look) young scored."""
    return np.array([[brood.count(looks, sex) for looks in scoring.looks] for sex in STRATA])


def rows_of(shares: Shares, brood: Brood, scoring: Scoring) -> Rows:
    """The likelihood of a brood for each row. Coefficients that are the same for all explanations are left out."""
    counts = counts_of(brood, scoring)
    seen = _weighted(shares.log, counts)
    if not brood.found:
        with np.errstate(divide="ignore"):
            kept, anything = np.log1p(-scoring.spoilt), np.log(scoring.spoilt) + log_anything(counts)
        return Rows(np.logaddexp(seen + kept, anything), None)
    unreal = _weighted(shares.log_unreal, counts)
    with np.errstate(divide="ignore", invalid="ignore"):
        gap = np.where(np.isneginf(unreal), -np.inf, unreal - seen)
        found = np.where(np.isneginf(seen), -np.inf, seen + np.log1p(-np.exp(np.minimum(gap, 0.0))))
        none = _weighted(np.log1p(-np.minimum(shares.real, 1.0))[:, :, None], counts.sum(axis=1, keepdims=True))
        return Rows(found, np.log(-np.expm1(none)))


def log_anything(counts: NDArray[np.intp]) -> float:
    """log P(counts of a spoilt brood, in one order): any share shows, and any share of those is partial."""
    wild, *shown = counts.sum(axis=0).tolist()
    log = math.lgamma(sum(shown) + 1) + math.lgamma(wild + 1) - math.lgamma(wild + sum(shown) + 2)
    if len(shown) > 1:
        log += sum(math.lgamma(number + 1) for number in shown) - math.lgamma(sum(shown) + 2)
    return log


def _weighted(logs: Table, counts: NDArray[np.intp]) -> Table:
    total: Table = np.zeros((logs.shape[0], logs.shape[3]))
    for stratum, look in zip(*np.nonzero(counts), strict=True):
        total = total + counts[stratum, look] * logs[:, stratum, look]
    return total


def weigh(setting: Setting, *, most: int, cells: int) -> Weighed:
    """Weigh one mode, in pieces of the grid that keep every table below `cells`.

    Raises EvidenceRefused (TOO_WIDE) where a table would have more than `most` cells over all nodes.
    """
    net = net_of(setting)
    wide, nodes = widest(net), setting.scoring.seen.shape[-1]
    if wide * nodes > most:
        biggest = max(setting.programme.groups, key=lambda group: group.number or 0)
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest.name, str(wide))
    step = max(1, cells // max(wide, 1))
    if step >= nodes:
        return _weigh_net(net, setting)
    pieces = [_piece(setting, slice(start, start + step)) for start in range(0, nodes, step)]
    return _together([_weigh_net(net_of(piece), piece) for piece in pieces])


def turned_up(setting: Setting, most: int) -> tuple[Table, dict[str, Table]]:
    """(node,) log P(every found brood has a real visual), and the ratio of it to the same without each of them.

    Summed over the found broods' ancestors alone. Raises EvidenceRefused (TOO_WIDE).
    """
    nodes = setting.scoring.seen.shape[-1]
    ancestors = setting.programme.of_found()
    if not any(brood.found for brood in ancestors.broods):
        return np.zeros(nodes), {}
    held = Setting(ancestors, setting.mode, setting.figures, setting.grids, setting.scoring, setting.fresh)
    net = net_of(held)
    if widest(net) * nodes > most:
        biggest = max(ancestors.groups, key=lambda group: group.number or 0)
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest.name, str(widest(net)))
    _, found = _told_broods(net, held)
    _, (log, without), _ = _summed(net, net.bare, found, nodes)
    return log, {name: _less(value, log) for name, value in without.items()}


def widest(net: Net) -> int:
    """Cells of the widest table of a net, for one node."""
    return planned(tuple(factor.scope for factor in (*net.known, *_blank(net))), net.sizes).widest


def _blank(net: Net) -> Iterable[Factor]:
    empty = np.empty(0)
    return (Factor(part.scope, empty) for parts in net.broods.values() for part in parts)


def _piece(setting: Setting, where: slice) -> Setting:
    figures = {figure: values[where] for figure, values in setting.figures.items()}
    held = setting.scoring
    scoring = Scoring(
        held.looks, held.seen[..., where], held.real[..., where], held.grown[..., where], held.spoilt[where]
    )
    return Setting(setting.programme, setting.mode, figures, setting.grids, scoring, setting.fresh)


def _together(pieces: list[Weighed]) -> Weighed:
    def glued(tables: list[Table]) -> Table:
        # A table that is the same at all nodes has one; it is spread over its piece's before they are put together.
        sizes = [len(piece.log_evidence) for piece in pieces]
        spread = [np.broadcast_to(t, (*t.shape[:-1], size)) for t, size in zip(tables, sizes, strict=True)]
        return np.concatenate(spread, axis=-1)

    first = pieces[0]
    return Weighed(
        glued([piece.log_evidence for piece in pieces]),
        {name: glued([piece.dropped[name] for piece in pieces]) for name in first.dropped},
        {
            name: (glued([p.groups[name][0] for p in pieces]), glued([p.groups[name][1] for p in pieces]))
            for name in first.groups
        },
        {
            name: tuple(
                (law, glued([piece.cavities[name][at][1] for piece in pieces])) for at, (law, _) in enumerate(held)
            )
            for name, held in first.cavities.items()
        },
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Told:
    """A brood's tables in the net: its parts, their scaled likelihoods by row, and the log of the scale."""

    parts: tuple[BroodPart, ...]
    values: tuple[Table, ...]
    scale: Table

    def factors(self) -> list[Factor]:
        return [
            Factor(part.scope, part.table(value[part.looks]))
            for part, value in zip(self.parts, self.values, strict=True)
        ]


def _told(parts: tuple[BroodPart, ...], logs: list[Table]) -> _Told:
    top = np.max([log.max(axis=0) for log in logs], axis=0)
    top = np.where(np.isfinite(top), top, 0.0)
    return _Told(parts, tuple(np.exp(log - top) for log in logs), top)


def _told_broods(net: Net, setting: Setting) -> tuple[dict[str, _Told], dict[str, _Told]]:
    """What was seen in each brood with scored young, and that found ones turned up."""
    scoring, daughters = setting.scoring, float(setting.programme.daughters)
    known: dict[int, Shares] = {}
    told: dict[str, _Told] = {}
    found: dict[str, _Told] = {}
    for brood in setting.programme.broods:
        if not brood.scored:
            continue
        parts = net.broods[brood.name]
        for part in parts:
            if id(part.law) not in known:
                known[id(part.law)] = shares_of(part.law, scoring, daughters)
        rows = [rows_of(known[id(part.law)], brood, scoring) for part in parts]
        told[brood.name] = _told(parts, [row.seen for row in rows])
        turns = [row.turns_up for row in rows if row.turns_up is not None]
        if turns:
            found[brood.name] = _told(parts, turns)
    return told, found


def _weigh_net(net: Net, setting: Setting) -> Weighed:
    nodes = setting.scoring.seen.shape[-1]
    told, found = _told_broods(net, setting)
    seen, log_seen, cavities = _summed(net, net.known, told, nodes)
    log_z, dropped = log_seen
    if found:
        _, (log_found, without), _ = _summed(net, net.bare, found, nodes)
        log_z = _less(log_z, log_found)
        dropped = {name: _less(value, without.get(name, log_found)) for name, value in dropped.items()}
    for brood in setting.programme.broods:
        dropped.setdefault(brood.name, log_z)
    return Weighed(log_z, dropped, _groups(net, setting, seen), cavities)


def _less(log: Table, given: Table) -> Table:
    """log of a ratio, −inf where the condition itself cannot be."""
    return np.where(np.isfinite(given), log - np.where(np.isfinite(given), given, 0.0), -np.inf)


_Cavities = dict[str, tuple[tuple[Law, Table], ...]]


def _summed(
    net: Net, base: tuple[Factor, ...], told: Mapping[str, _Told], nodes: int
) -> tuple[Calibrated, tuple[Table, dict[str, Table]], _Cavities]:
    """The sum with all broods told, the sum without each of them, and what each is expected to be by all others."""
    factors = {name: one.factors() for name, one in told.items()}
    solved = calibrate([*base, *(f for held in factors.values() for f in held)], net.sizes, nodes)
    scale = sum((one.scale for one in told.values()), np.zeros(nodes))
    dropped: dict[str, Table] = {}
    cavities: _Cavities = {}
    for name, one in told.items():
        source = solved
        if min(float(value.min()) for value in one.values) < SMALLEST:
            others = [f for other, held in factors.items() if other != name for f in held]
            # Ones in its place keep its variables together, so that its parents' joint posterior can be read.
            blank = [Factor(part.scope, np.ones((*_shape(part, net), 1))) for part in one.parts]
            source = calibrate([*base, *others, *blank], net.sizes, nodes)
        parts, total = _cavity(one, source, divide=source is solved)
        with np.errstate(divide="ignore"):
            back = np.log(total) if source is solved else np.zeros(nodes)
        dropped[name] = source.log_z + back + scale - one.scale
        cavities[name] = tuple(
            (part.law, table / np.where(total > 0, total, 1.0)) for part, table in zip(one.parts, parts, strict=True)
        )
    return solved, (solved.log_z + scale, dropped), cavities


def _shape(part: BroodPart, net: Net) -> tuple[int, ...]:
    return tuple(net.sizes[variable] for variable in part.scope)


def _cavity(one: _Told, source: Calibrated, *, divide: bool) -> tuple[list[Table], Table]:
    """(row, node) posterior weight of each row of each part by all other broods, and their sum (node,)."""
    parts = []
    for part, value in zip(one.parts, one.values, strict=True):
        joint = source.joint(part.scope)[tuple(state for _, state in part.chosen)]
        rows = part.heaps.summed(joint.reshape(-1, joint.shape[-1]), len(value))
        parts.append(rows / value if divide else rows)
    return parts, np.sum([rows.sum(axis=0) for rows in parts], axis=0)


def _whole(table: Table, net: Net, stands: Stands, states: int) -> Table:
    """The table of a variable with the states that it cannot have."""
    full = np.zeros((number_of_compositions(stands.members, states), table.shape[-1]))
    full[net.domains[stands.variable]] = table
    return full


def _groups(net: Net, setting: Setting, seen: Calibrated) -> dict[str, tuple[Table, Table]]:
    mode = setting.mode
    clean = np.array(mode.copies) == 0
    found = {}
    for name, stands in net.groups.items():
        table = _whole(seen.joint((stands.variable,)), net, stands, mode.states)
        if stands.members > 1:
            held = compositions(stands.members, mode.states)
            none = table[(held[:, ~clean] == 0).all(axis=1)].sum(axis=0)
            table = np.einsum("cg,ck->gk", held / stands.members, table)
        elif stands.none_carries is not None:
            none = seen.joint((stands.none_carries,))[1]
        else:
            none = table[clean].sum(axis=0)
        found[name] = (table, 1 - none)
    return found
