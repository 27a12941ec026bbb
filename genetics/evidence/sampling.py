"""Programmes too wide for the exact sum: seeded Monte Carlo, its standard error shown; beyond that, a refusal.

Several runs of particles, each with a seed of its own, estimate P(records | explanation) without bias; their scatter is
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
from genetics.evidence.particles import Particles, Whole
from genetics.evidence.programme import Brood, Founders, Group, Kept, Programme
from genetics.evidence.sums import Cavity, Weighed, turned_up
from genetics.evidence.telling import STRATA, log_anything
from genetics.loci import Sex

RUNS = 6
ANIMALS = 400
"""Animals of a programme that are still sampled one by one."""
WORST = 1.0
"""Standard error of the log evidence beyond which nothing is said (a factor of e)."""


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
    log, weights, runs = _runs(setting, start, particles, seed)
    if not np.isfinite(log):
        if _never(setting, start):
            return _impossible(setting, len(log_weights)), 0.0
        # That no particle came through does not mean that none can.
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest, "inf")
    logs = np.array([one.total for one in runs])
    scaled = np.exp(logs - logs.max())
    # Runs that came to nothing count as estimates of 0.
    scaled = np.concatenate([scaled, np.zeros(RUNS - len(scaled))])
    error = float(scaled.std(ddof=1) / scaled.mean() / RUNS**0.5)
    if error > WORST:
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest, f"{error:.2f}")
    weighed = _summary(setting, runs, weights, log, log_weights)
    dropped = dict(weighed.dropped)
    # A found brood rules worlds out, so that it cannot be divided out of those that are left: it is run without.
    for name, without in given_without.items():
        untold = replace(setting, silent=setting.silent | {name})
        left, held, others = _runs(untold, _given(log_weights, without), particles, seed)
        dropped[name] = _at_nodes(others, held, left, log_weights)
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


def _runs(setting: Setting, start: Table, particles: int, seed: int) -> tuple[float, Table, list[Particles]]:
    """Log of the mean estimate, the weights of all particles (sum 1), and the runs that came to something."""
    runs = []
    if np.isfinite(start.max()):
        steps = tuple(_steps(setting.programme))
        rngs = [np.random.default_rng([seed, run]) for run in range(RUNS)]
        every = [_run(setting, steps, Particles(setting, start, particles, rng), start) for rng in rngs]
        runs = [one for one in every if np.isfinite(one.total)]
    if not runs:
        return -np.inf, np.ones(0), []
    logs = np.array([one.total for one in runs])
    shares = np.exp(logs - logs.max())
    weights = np.concatenate([one.weights() * share for one, share in zip(runs, shares / shares.sum(), strict=True)])
    return float(logs.max() + np.log(shares.sum() / RUNS)), weights, runs


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


def _run(setting: Setting, steps: tuple[Group | Brood, ...], held: Particles, start: Table) -> Particles:
    """One run; `total` becomes the log of its estimate."""
    top = start.max()
    held.total = float(top + np.log(np.exp(start - top).sum()))
    both = setting.mode.cause is Cause.EITHER_LOCUS and not setting.given
    odd = {group.name for group in odd_groups(setting.programme)}
    for step in steps:
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
        held.total += _renewed(held)
        if not np.isfinite(held.total):
            return held
    held.total += float(held.spoken.max() + np.log(np.exp(held.spoken - held.spoken.max()).mean()))
    return held


def _renewed(held: Particles) -> float:
    """Draw the particles anew where few of them carry the weight; the log of the mean weight that is thereby settled."""
    top = held.spoken.max()
    if not np.isfinite(top):
        return -np.inf
    weights = np.exp(held.spoken - top)
    if weights.sum() ** 2 > held.number / 2 * (weights**2).sum():
        return 0.0
    steps = (np.arange(held.number) + held.rng.random()) / held.number
    chosen = np.searchsorted(np.cumsum(weights / weights.sum()), steps)
    held.take(np.minimum(chosen, held.number - 1))
    held.spoken = np.zeros(held.number)
    return float(top + np.log(weights.mean()))


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


def _at_nodes(runs: list[Particles], weights: Table, log_evidence: float, log_weights: Table) -> Table:
    """(node,) log evidence such that with the nodes' prior weights it comes to the particles' posterior of the nodes."""
    if not runs:
        return np.full(len(log_weights), -np.inf)
    nodes = np.concatenate([run.nodes for run in runs])
    with np.errstate(divide="ignore"):
        return np.asarray(
            log_evidence + np.log(np.bincount(nodes, weights=weights, minlength=len(log_weights))) - log_weights
        )


def _summary(
    setting: Setting, runs: list[Particles], weights: Table, log_evidence: float, log_weights: Table
) -> Weighed:
    """The particles' weights as tables over nodes."""
    nodes = np.concatenate([run.nodes for run in runs])
    log = _at_nodes(runs, weights, log_evidence, log_weights)
    dropped: dict[str, Table] = {}
    lefts: dict[str, Table] = {}
    for brood in setting.programme.broods:
        if not brood.scored or brood.name in setting.silent:
            dropped[brood.name] = log
            continue
        raw = np.where(weights > 0, np.log(np.maximum(weights, 1e-300)), -np.inf)
        told = np.concatenate([run.told[brood.name] for run in runs])
        raw = np.where(weights > 0, raw - np.where(weights > 0, told, 0.0), -np.inf)
        left = np.exp(raw - raw.max())
        mean = log_evidence + float(raw.max() + np.log(left.sum()))
        left = left / left.sum()
        dropped[brood.name] = _at_nodes(runs, left, mean, log_weights)
        lefts[brood.name] = left
    groups = {g.name: _group(setting, g, runs, weights, nodes, len(log_weights)) for g in setting.programme.groups}

    def cavity(name: str) -> Cavity:
        return (_cavity(setting, runs, setting.programme.brood(name), lefts[name], nodes, len(log_weights)),)

    return Weighed(log, dropped, groups, cavity)


def _cavity(
    setting: Setting, runs: list[Particles], brood: Brood, weights: Table, nodes: Whole, size: int
) -> tuple[Law, Table]:
    young = np.concatenate([run.young[brood.name] for run in runs])
    expressed = _expressed(young, setting)
    keys, first, row = np.unique(
        np.round(expressed.reshape(len(expressed), -1), 9), axis=0, return_index=True, return_inverse=True
    )
    table = np.zeros((len(keys), size))
    np.add.at(table, (row.reshape(-1), nodes), weights)
    total = table.sum(axis=0)
    row = row.reshape(-1)
    return Law(young[first], row, expressed[first], row, heaped(row)), table / np.where(total > 0, total, 1.0)


def _group(
    setting: Setting, group: Group, runs: list[Particles], weights: Table, nodes: Whole, size: int
) -> tuple[Table, Table]:
    """(genotype, node) of a random member, and (node,) P(any carries); an uncounted stock keeps what it was."""
    mode = setting.mode
    carries = np.array(mode.copies) > 0
    if group.number is None or group.name not in runs[0].animals:
        table = setting.stock(group.stock)[SEXES[group.sex]] if isinstance(group, Founders) else None
        table = np.broadcast_to(table if table is not None else np.ones((mode.states, 1)), (mode.states, size))
        return table, table[carries].sum(axis=0)
    animals = np.concatenate([run.animals[group.name] for run in runs], axis=1)
    total = np.bincount(nodes, weights=weights, minlength=size)
    total = np.where(total > 0, total, 1.0)
    table = np.zeros((mode.states, size))
    for member in animals:
        np.add.at(table, (member, nodes), weights / len(animals))
    anyone = np.bincount(nodes, weights=weights * carries[animals].any(axis=0), minlength=size)
    return table / total, anyone / total
