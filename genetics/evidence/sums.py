"""One mode weighed: the sum over all unknown genotypes, at each node of the grid, with and without each brood.

First the evidence alone (`begin`), with bounds of what it can become when a brood is left out; then, for the nodes that
matter, what each brood and animal comes to (`finish`). Most explanations and most figures are settled by the first.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Calibrated, Factor, Table, calibrate, planned
from genetics.evidence.founding import Setting, founder_tables, odd_groups
from genetics.evidence.laws import Law, compositions, number_of_compositions
from genetics.evidence.links import BroodPart, Net, Stands
from genetics.evidence.net import net_of
from genetics.evidence.scoring import Scoring
from genetics.evidence.telling import Told, told_broods

SMALLEST = 1e-250
"""Below this a brood's likelihood cannot be divided out of a posterior again, and the sum is done anew without it."""
HELD = 1_000_000
"""Cells of one mode's tables that are kept until it is known whether they are asked for (8 MB); more are made anew."""

Where: TypeAlias = NDArray[np.intp]
Cavity: TypeAlias = tuple[tuple[Law, Table], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """A mode weighed.

    log_evidence: (node,) log P(records | node). dropped: for each brood the same without it. groups: for each group
    (genotype, node) of a random member, and (node,) P(any member has a copy). cavity: for a brood with scored young, the
    (row, node) weights of each of its laws by all other broods.
    """

    log_evidence: Table
    dropped: Mapping[str, Table]
    groups: Mapping[str, tuple[Table, Table]]
    cavity: Callable[[str], Cavity]


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """The tables behind a sum.

    nodes: which of the net's nodes they hold. anew: (node,) log sums without the broods that cannot be divided out.
    """

    net: Net
    nodes: Where
    told: Mapping[str, Told]
    seen: Calibrated
    anew: Mapping[str, Table]

    def at(self, where: Where) -> "Tables":
        """The same at some of the nodes only."""
        told = {name: one.at(where) for name, one in self.told.items()}
        anew = {name: one[where] for name, one in self.anew.items()}
        return Tables(self.net, self.nodes[where], told, self.seen.at(where), anew)

    def known(self) -> list[Factor]:
        """Priors, looks of founders and descent at these nodes."""
        every = [link.factor() for link in self.net.known]
        return [one if one.table.shape[-1] == 1 else Factor(one.scope, one.table[..., self.nodes]) for one in every]


@dataclass(frozen=True, slots=True, eq=False)
class Begun:
    """The evidence of a mode.

    log_evidence: (node,) log P(records | node). least, most: for each brood (node,) between which the same without it
    lies. given, given_without: (node,) log P(the found broods turned up), and the same without each of them. held: the
    tables, unless they are too large to be kept.
    """

    setting: Setting
    log_evidence: Table
    least: Mapping[str, Table]
    most: Mapping[str, Table]
    given: Table
    given_without: Mapping[str, Table]
    held: Tables | None

    def left(self, name: str, log: Table) -> Table:
        """A log sum without a brood, given that the other found broods turned up."""
        return _less(log, self.given_without.get(name, self.given))


def weigh(setting: Setting, *, most: int, cells: int) -> Weighed:
    """Weigh one mode whole, in pieces of the grid that keep every table below `cells`.

    Raises EvidenceRefused (TOO_WIDE) where a table would have more than `most` cells over all nodes.
    """
    begun = begin(setting, most=most, cells=cells)
    return finish(begun, np.arange(len(begun.log_evidence)), cells=cells)


def begin(setting: Setting, *, most: int, cells: int) -> Begun:
    """The evidence of one mode. Raises EvidenceRefused (TOO_WIDE) as `weigh` does."""
    nodes = setting.scoring.seen.shape[-1]
    if not all(founder_tables(setting, group)[0].any() for group in odd_groups(setting.programme)):
        return _never(setting, np.full(nodes, -np.inf))
    net = net_of(setting)
    wide = widest(net)
    if wide * nodes > most:
        biggest = max(setting.programme.groups, key=lambda group: group.number or 0)
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest.name, str(wide))
    given, given_without = turned_up(setting, most)
    step = max(1, cells // max(wide, 1))
    if step >= nodes:
        return _begun(setting, net, given, given_without)
    pieces = []
    for where in _runs(np.arange(nodes), step):
        piece = some_nodes(setting, where)
        without = {name: one[where] for name, one in given_without.items()}
        pieces.append(replace(_begun(piece, net_of(piece), given[where], without), held=None))
    return Begun(
        setting,
        np.concatenate([piece.log_evidence for piece in pieces]),
        {name: np.concatenate([piece.least[name] for piece in pieces]) for name in pieces[0].least},
        {name: np.concatenate([piece.most[name] for piece in pieces]) for name in pieces[0].most},
        given,
        given_without,
        None,
    )


def _never(setting: Setting, nothing: Table) -> Begun:
    """A mode under which an odd founder cannot show, as a son where only daughters do."""
    without = {brood.name: nothing for brood in setting.programme.broods}
    return Begun(setting, nothing, without, without, np.zeros(len(nothing)), {}, None)


def finish(begun: Begun, where: Where, *, cells: int) -> Weighed:
    """What each brood and animal comes to, at these nodes, in their order."""
    if begun.held is not None:
        return _finished(begun, where, begun.held.at(where) if len(where) < len(begun.log_evidence) else begun.held)
    wide = widest(net_of(begun.setting))
    pieces = []
    for run in _runs(where, max(1, cells // max(wide, 1))):
        piece = some_nodes(begun.setting, run)
        pieces.append(_finished(begun, run, _tables(net_of(piece), piece)))
    return _together(pieces)


def _runs(where: Where, step: int) -> list[Where]:
    return [where[start : start + step] for start in range(0, len(where), step)]


def turned_up(setting: Setting, most: int) -> tuple[Table, dict[str, Table]]:
    """(node,) log P(every found brood has a real visual), and the same without each of them.

    Summed over the found broods' ancestors alone. Raises EvidenceRefused (TOO_WIDE).
    """
    nodes = setting.scoring.seen.shape[-1]
    if not any(brood.found for brood in setting.programme.broods):
        return np.zeros(nodes), {}
    held = replace(setting, programme=setting.programme.of_found())
    net = net_of(held)
    if widest(net) * nodes > most:
        biggest = max(held.programme.groups, key=lambda group: group.number or 0)
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest.name, str(widest(net)))
    told = told_broods(net, held, turning_up=True)
    base = [link.factor(bare=True) for link in net.known]
    return (
        _log_sum(base, told, net, nodes),
        {name: _log_sum(base, {other: told[other] for other in told if other != name}, net, nodes) for name in told},
    )


def _log_sum(base: Sequence[Factor], told: Mapping[str, Told], net: Net, nodes: int) -> Table:
    factors = [factor for one in told.values() for factor in one.factors()]
    log = calibrate([*base, *factors], net.sizes, nodes).log_z
    return np.asarray(log + sum((one.scale for one in told.values()), np.zeros(nodes)))


def widest(net: Net) -> int:
    """Cells of the widest table of a net, for one node."""
    broods = tuple(part.scope for parts in net.broods.values() for part in parts)
    return planned((*(link.scope for link in net.known), *broods), net.sizes).widest


def some_nodes(setting: Setting, where: Where) -> Setting:
    """The setting at some of its nodes only."""
    figures = {figure: values[where] for figure, values in setting.figures.items()}
    held = setting.scoring
    scoring = Scoring(
        held.looks, held.seen[..., where], held.real[..., where], held.grown[..., where], held.spoilt[where]
    )
    given = {name: table if table.shape[-1] == 1 else table[..., where] for name, table in setting.given.items()}
    return replace(setting, figures=figures, scoring=scoring, given=given)


def _tables(net: Net, setting: Setting) -> Tables:
    """All sums over the genotypes."""
    nodes = setting.scoring.seen.shape[-1]
    told = told_broods(net, setting)
    base = [link.factor() for link in net.known]
    factors = {name: one.factors() for name, one in told.items()}
    seen = calibrate([*base, *(factor for held in factors.values() for factor in held)], net.sizes, nodes)
    anew = {
        name: _log_sum(base, {other: told[other] for other in told if other != name}, net, nodes)
        for name, one in told.items()
        if float(one.lowest.min()) < SMALLEST
    }
    return Tables(net, np.arange(nodes), told, seen, anew)


def _scales(told: Mapping[str, Told], nodes: int) -> Table:
    return np.asarray(sum((one.scale for one in told.values()), np.zeros(nodes)))


def _begun(setting: Setting, net: Net, given: Table, given_without: Mapping[str, Table]) -> Begun:
    held = _tables(net, setting)
    log = held.seen.log_z + _scales(held.told, len(given))
    begun = Begun(setting, _less(log, given), {}, {}, given, given_without, held if held.seen.cells <= HELD else None)
    least, most = {}, {}
    for brood in setting.programme.broods:
        one = held.told.get(brood.name)
        low = high = held.anew.get(brood.name, log)
        if one is not None and brood.name not in held.anew:
            # A scaled likelihood is never above 1, nor below its smallest.
            low, high = log - one.scale, log - one.scale - np.log(one.lowest)
        least[brood.name], most[brood.name] = begun.left(brood.name, low), begun.left(brood.name, high)
    return replace(begun, least=least, most=most)


def _less(log: Table, given: Table) -> Table:
    """log of a ratio, −inf where the condition itself cannot be."""
    return np.where(np.isfinite(given), log - np.where(np.isfinite(given), given, 0.0), -np.inf)


def _finished(begun: Begun, where: Where, held: Tables) -> Weighed:
    """The tables of some nodes, read."""
    scale = _scales(held.told, len(where))
    dropped: dict[str, Table] = {}
    for brood in begun.setting.programme.broods:
        one = held.told.get(brood.name)
        log = held.anew.get(brood.name, held.seen.log_z + scale)
        if one is not None and brood.name not in held.anew:
            _, total = _cavity(one, held.seen, divide=True)
            with np.errstate(divide="ignore"):
                log = log + np.log(total) - one.scale
        dropped[brood.name] = _less(log, begun.given_without.get(brood.name, begun.given)[where])
    groups = _groups(held.net, begun.setting, held.seen)
    return Weighed(begun.log_evidence[where], dropped, groups, partial(_cavity_of, held))


def _cavity_of(held: Tables, name: str) -> Cavity:
    """The weights of a brood's rows by all other broods."""
    one, source, anew = held.told[name], held.seen, name in held.anew
    if anew:
        others = [factor for other, told in held.told.items() if other != name for factor in told.factors()]
        # Ones in its place keep its variables together, so that its parents' joint posterior can be read.
        blank = [Factor(part.scope, np.ones((*_shape(part, held.net), 1))) for part in one.parts]
        source = calibrate([*held.known(), *others, *blank], held.net.sizes, len(held.nodes))
    parts, total = _cavity(one, source, divide=not anew)
    return tuple(
        (part.law, table / np.where(total > 0, total, 1.0)) for part, table in zip(one.parts, parts, strict=True)
    )


def _shape(part: BroodPart, net: Net) -> tuple[int, ...]:
    return tuple(net.sizes[variable] for variable in part.scope)


def _cavity(one: Told, source: Calibrated, *, divide: bool) -> tuple[list[Table], Table]:
    """(row, node) posterior weight of each row of each part by all other broods, and their sum (node,)."""
    parts = []
    for part, value in zip(one.parts, one.values, strict=True):
        joint = source.joint(part.scope)[tuple(state for _, state in part.chosen)]
        rows = part.heaps.summed(joint.reshape(-1, joint.shape[-1]), len(value))
        parts.append(rows / value if divide else rows)
    return parts, np.sum([rows.sum(axis=0) for rows in parts], axis=0)


def _together(pieces: list[Weighed]) -> Weighed:
    def glued(tables: list[Table]) -> Table:
        # A table that is the same at all nodes has one; it is spread over its piece's before they are put together.
        sizes = [len(piece.log_evidence) for piece in pieces]
        spread = [np.broadcast_to(t, (*t.shape[:-1], size)) for t, size in zip(tables, sizes, strict=True)]
        return np.concatenate(spread, axis=-1)

    def cavity(name: str) -> Cavity:
        held = [piece.cavity(name) for piece in pieces]
        return tuple((law, glued([one[at][1] for one in held])) for at, (law, _) in enumerate(held[0]))

    first = pieces[0]
    return Weighed(
        glued([piece.log_evidence for piece in pieces]),
        {name: glued([piece.dropped[name] for piece in pieces]) for name in first.dropped},
        {
            name: (glued([p.groups[name][0] for p in pieces]), glued([p.groups[name][1] for p in pieces]))
            for name in first.groups
        },
        cavity,
    )


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
