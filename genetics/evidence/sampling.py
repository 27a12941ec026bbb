"""Programmes too wide for the exact sum: seeded Monte Carlo, its standard error shown; beyond that, a refusal.

Several runs of particles, side by side and drawn anew each by itself, estimate P(records | explanation) without bias; their scatter is
the standard error. That found broods turn up is conditioned on exactly, over their ancestors alone.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause
from genetics.evidence.founding import SEXES, Setting, founder_tables, odd_groups
from genetics.evidence.laws import Law, heaped
from genetics.evidence.particles import Particles
from genetics.evidence.programme import Brood, Founders, Group, Kept, Programme
from genetics.evidence.sums import Cavity, Weighed, turned_up
from genetics.evidence.telling import STRATA, log_anything
from genetics.loci import Sex

RUNS = 6
ANIMALS = 400
"""Animals of a programme that are still sampled one by one."""
WORST = 0.5
"""Standard error of the log evidence beyond which nothing is said. Where one run of six came through it is 1, the most that
it can be."""


def sampled(setting: Setting, log_weights: Table, *, most: int, particles: int, seed: int = 1) -> tuple[Weighed, float]:
    """The mode weighed by sampling, and the standard error of its log evidence.

    The tables of `Weighed` stand for the posterior over nodes that the particles give. Raises EvidenceRefused (TOO_WIDE)
    for more than `ANIMALS` animals, an error above `WORST`, or found broods whose ancestors are too wide themselves.
    """
    programme = setting.programme
    members = {group.name: group.number or 1 for group in programme.groups}
    biggest = max(members, key=lambda name: members[name])
    if sum(members.values()) > ANIMALS:
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest, str(sum(members.values())))
    given, given_without = turned_up(setting, most)
    start = _given(log_weights, given)
    log, weights, held = _runs(setting, start, particles, seed)
    if held is None or not np.isfinite(log):
        if _never(setting, start):
            return _impossible(setting, len(log_weights)), 0.0
        # That no particle came through does not mean that none can.
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest, "inf")
    # Runs that came to nothing count as estimates of 0.
    scaled = np.exp(held.totals - held.totals.max())
    error = float(scaled.std(ddof=1) / scaled.mean() / RUNS**0.5)
    if error > WORST:
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest, f"{error:.2f}")
    weighed = _summary(setting, held, weights, log, log_weights)
    dropped = dict(weighed.dropped)
    # A found brood rules worlds out, so that it cannot be divided out of those that are left: it is run without.
    for name, without in given_without.items():
        untold = replace(setting, silent=setting.silent | {name})
        left, shares, others = _runs(untold, _given(log_weights, without), particles, seed)
        dropped[name] = _at_nodes(others, shares, left, log_weights)
    return replace(weighed, dropped=dropped), error


def _given(log_weights: Table, given: Table) -> Table:
    return np.where(np.isfinite(given), log_weights - np.where(np.isfinite(given), given, 0.0), -np.inf)


def _never(setting: Setting, start: Table) -> bool:
    """Whether found broods or odd founders cannot be so at all under this mode."""
    odd = [founder_tables(setting, group)[0] for group in odd_groups(setting.programme)]
    return not np.isfinite(start.max()) or any(prior.sum() == 0 for prior in odd)


def _impossible(setting: Setting, size: int) -> Weighed:
    nothing = np.full(size, -np.inf)
    alike = np.full((setting.mode.states, 1), 1 / setting.mode.states)
    groups = {group.name: (alike, np.zeros(1)) for group in setting.programme.groups}
    dropped = {brood.name: nothing for brood in setting.programme.broods}
    return Weighed(nothing, dropped, groups, lambda _: ())


def _runs(setting: Setting, start: Table, particles: int, seed: int) -> tuple[float, Table, Particles | None]:
    """Log of the mean estimate, the weights of all particles (sum 1), and the particles; None: nothing came through."""
    if not np.isfinite(start.max()):
        return -np.inf, np.ones(0), None
    held = Particles(setting, start, particles, RUNS, np.random.default_rng([seed, RUNS]))
    _run(setting, held, start)
    top = held.totals.max()
    if not np.isfinite(top):
        return -np.inf, np.ones(0), None
    shares = np.exp(held.totals - top)
    weights = held.weights() * (shares / shares.sum())[:, None]
    return float(top + np.log(shares.sum() / RUNS)), weights.reshape(-1), held


def _steps(programme: Programme) -> Iterator[Group | Brood]:
    """Groups and broods, each after all that it needs, broods as early as can be."""
    done: set[str] = set()
    told: set[str] = set()
    needs = {b.name: programme.parents_of(Kept("", Sex.MALE, b.name)) | _uncles(programme, b) for b in programme.broods}
    for group in programme.eldest_first():
        for brood in programme.broods:
            if brood.name not in told and needs[brood.name] <= done:
                told.add(brood.name)
                yield brood
        yield group
        done.add(group.name)
    yield from (brood for brood in programme.broods if brood.name not in told)


def _uncles(programme: Programme, brood: Brood) -> set[str]:
    """Parents of the dams: a dam's brother may have sired, and he is drawn out of her own brood."""
    dams = [programme.group(dam.group) for dam in programme.mothers(brood)]
    return {name for dam in dams for name in programme.parents_of(dam)}


def _run(setting: Setting, held: Particles, start: Table) -> None:
    """All runs, side by side; `totals` become the logs of their estimates."""
    top = start.max()
    held.totals += float(top + np.log(np.exp(start - top).sum()))
    both = setting.mode.cause is Cause.EITHER_LOCUS and not setting.given
    odd = {group.name for group in odd_groups(setting.programme)}
    waiting = {brood.name for brood in setting.programme.broods if brood.found} - setting.silent
    for step in _steps(setting.programme):
        if isinstance(step, Brood):
            held.breed(step)
            if step.scored and step.name not in setting.silent:
                held.told[step.name] = _log_seen(held, step)
                held.spoken = held.spoken + held.told[step.name]
        elif step.number is not None:
            held.join(step)
            odd.discard(step.name)
            if both and not odd:
                held.show_both_loci()
                both = False
        # Ancestors drawn as if the allele were common are worth something once their found broods are told.
        if waiting <= held.told.keys():
            _renew(held)
        if not np.isfinite(held.totals).any():
            return
    held.totals += np.log(np.exp(held.spoken).reshape(RUNS, -1).mean(axis=1))


def _renew(held: Particles) -> None:
    """Settle each run's largest weight in its total, and draw those runs anew in which few particles carry the weight."""
    spoken = held.spoken.reshape(RUNS, -1)
    top = spoken.max(axis=1)
    # A run in which nothing is possible stays at nothing, and its particles go on without weight of their own.
    held.totals += top
    spoken = np.where(np.isfinite(top)[:, None], spoken - np.where(np.isfinite(top), top, 0.0)[:, None], 0.0)
    weights = np.exp(spoken)
    size = spoken.shape[1]
    poor = np.flatnonzero(weights.sum(axis=1) ** 2 <= size / 2 * (weights**2).sum(axis=1))
    held.spoken = spoken.reshape(-1)
    if not len(poor):
        return
    chosen = np.arange(held.number).reshape(RUNS, -1)
    for run in poor:
        steps = (np.arange(size) + held.rng.random()) / size
        drawn = np.searchsorted(np.cumsum(weights[run] / weights[run].sum()), steps)
        chosen[run] = run * size + np.minimum(drawn, size - 1)
    held.totals[poor] += np.log(weights[poor].mean(axis=1))
    spoken[poor] = 0.0
    held.take(chosen.reshape(-1))
    held.spoken = spoken.reshape(-1)


def _expressed(young: Table, setting: Setting) -> Table:
    """(particle, sex, class) from (particle, sex, genotype)."""
    return np.asarray(np.matmul(young.transpose(1, 0, 2), setting.mode.expression).transpose(1, 0, 2))


def _shares(held: Particles, brood: Brood) -> tuple[Table, Table]:
    """(particle, stratum, look) shares of the scored young, and the part of them that is real."""
    setting = held.setting
    classes = _expressed(held.young[brood.name], setting)
    seen = np.einsum("nxe,nel->nxl", classes, held.at_node(setting.scoring.seen))
    real = np.einsum("nxe,nel->nxl", classes, held.at_node(setting.scoring.real))
    total = np.maximum(seen.sum(axis=2, keepdims=True), 1e-300)
    daughters = float(setting.programme.daughters)

    def with_unsexed(table: Table) -> Table:
        return np.concatenate([table, daughters * table[:, :1] + (1 - daughters) * table[:, 1:]], axis=1)

    return with_unsexed(seen / total), with_unsexed(real / total)


def _log_seen(held: Particles, brood: Brood) -> Table:
    scoring = held.setting.scoring
    counts = np.array([[brood.count(looks, sex) for looks in scoring.looks] for sex in STRATA])
    seen, real = _shares(held, brood)
    with np.errstate(divide="ignore", invalid="ignore"):
        log = np.where(counts > 0, counts * np.log(seen), 0.0).sum(axis=(1, 2))
        if not brood.found:
            spoilt = held.at_node(scoring.spoilt[None])[:, 0]
            return np.asarray(np.logaddexp(log + np.log1p(-spoilt), np.log(spoilt) + log_anything(counts)))
        unreal = np.where(counts > 0, counts * np.log(np.maximum(seen - real, 0.0)), 0.0).sum(axis=(1, 2))
        gap = np.where(np.isneginf(unreal), -np.inf, unreal - log)
        return np.where(np.isneginf(log), -np.inf, log + np.log1p(-np.exp(np.minimum(gap, 0.0))))


def _at_nodes(held: Particles | None, weights: Table, log_evidence: float, log_weights: Table) -> Table:
    """(node,) log evidence such that with the nodes' prior weights it comes to the particles' posterior of the nodes."""
    if held is None:
        return np.full(len(log_weights), -np.inf)
    with np.errstate(divide="ignore"):
        return np.asarray(
            log_evidence + np.log(np.bincount(held.nodes, weights=weights, minlength=len(log_weights))) - log_weights
        )


def _summary(setting: Setting, held: Particles, weights: Table, log_evidence: float, log_weights: Table) -> Weighed:
    """The particles' weights as tables over nodes."""
    log = _at_nodes(held, weights, log_evidence, log_weights)
    dropped: dict[str, Table] = {}
    lefts: dict[str, Table] = {}
    for brood in setting.programme.broods:
        if not brood.scored or brood.name in setting.silent:
            dropped[brood.name] = log
            continue
        raw = np.where(weights > 0, np.log(np.maximum(weights, 1e-300)), -np.inf)
        told = held.told[brood.name]
        raw = np.where(weights > 0, raw - np.where(weights > 0, told, 0.0), -np.inf)
        left = np.exp(raw - raw.max())
        mean = log_evidence + float(raw.max() + np.log(left.sum()))
        left = left / left.sum()
        dropped[brood.name] = _at_nodes(held, left, mean, log_weights)
        lefts[brood.name] = left
    groups = {g.name: _group(setting, g, held, weights, len(log_weights)) for g in setting.programme.groups}

    def cavity(name: str) -> Cavity:
        return (_cavity(setting, held, name, lefts[name], len(log_weights)),)

    return Weighed(log, dropped, groups, cavity)


def _cavity(setting: Setting, held: Particles, name: str, weights: Table, size: int) -> tuple[Law, Table]:
    young = held.young[name]
    expressed = _expressed(young, setting)
    keys, first, row = np.unique(
        np.round(expressed.reshape(len(expressed), -1), 9), axis=0, return_index=True, return_inverse=True
    )
    table = np.zeros((len(keys), size))
    np.add.at(table, (row.reshape(-1), held.nodes), weights)
    total = table.sum(axis=0)
    row = row.reshape(-1)
    return Law(young[first], row, expressed[first], row, heaped(row)), table / np.where(total > 0, total, 1.0)


def _group(setting: Setting, group: Group, held: Particles, weights: Table, size: int) -> tuple[Table, Table]:
    """(genotype, node) of a random member, and (node,) P(any carries); an uncounted stock keeps what it was."""
    mode = setting.mode
    carries = np.array(mode.copies) > 0
    if group.number is None or group.name not in held.animals:
        table = setting.stock(group.stock)[SEXES[group.sex]] if isinstance(group, Founders) else None
        table = np.broadcast_to(table if table is not None else np.ones((mode.states, 1)), (mode.states, size))
        return table, table[carries].sum(axis=0)
    animals, nodes = held.animals[group.name], held.nodes
    total = np.bincount(nodes, weights=weights, minlength=size)
    total = np.where(total > 0, total, 1.0)
    table = np.zeros((mode.states, size))
    for member in animals:
        np.add.at(table, (member, nodes), weights / len(animals))
    anyone = np.bincount(nodes, weights=weights * carries[animals].any(axis=0), minlength=size)
    return table / total, anyone / total
