"""What was seen in a brood, as a likelihood of each row of its law at each node of the grid."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from genetics.evidence.elimination import Factor, Table
from genetics.evidence.founding import Setting
from genetics.evidence.laws import Law
from genetics.evidence.links import BroodPart, Net
from genetics.evidence.programme import Brood
from genetics.evidence.scoring import Scoring
from genetics.loci import Sex

STRATA: tuple[Sex | None, ...] = (Sex.FEMALE, Sex.MALE, None)


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


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """A brood's tables in the net: its parts, their likelihoods by row scaled to a maximum of 1, the log of the scale."""

    parts: tuple[BroodPart, ...]
    values: tuple[Table, ...]
    scale: Table

    def factors(self) -> list[Factor]:
        """The likelihood of each cell of each part."""
        return [
            Factor(part.scope, part.table(value.take(part.looks, axis=0)))
            for part, value in zip(self.parts, self.values, strict=True)
        ]

    def at(self, where: NDArray[np.intp]) -> "Told":
        """The same at some of the nodes only."""
        return Told(self.parts, tuple(value[:, where] for value in self.values), self.scale[where])

    @property
    def lowest(self) -> Table:
        """(node,) the smallest of the scaled likelihoods."""
        return np.asarray(np.min([value.min(axis=0) for value in self.values], axis=0))


def told_broods(net: Net, setting: Setting, *, turning_up: bool = False) -> dict[str, Told]:
    """What was seen in each brood with scored young that is not silent; or for found ones alone, that they turned up."""
    scoring, daughters = setting.scoring, float(setting.programme.daughters)
    known: dict[int, Shares] = {}
    told: dict[str, Told] = {}
    for brood in setting.programme.broods:
        if not brood.scored or brood.name in setting.silent or (turning_up and not brood.found):
            continue
        parts = net.broods[brood.name]
        for part in parts:
            if id(part.law) not in known:
                known[id(part.law)] = shares_of(part.law, scoring, daughters)
        rows = [rows_of(known[id(part.law)], brood, scoring) for part in parts]
        logs = [row.turns_up if turning_up and row.turns_up is not None else row.seen for row in rows]
        top = np.max([log.max(axis=0) for log in logs], axis=0)
        top = np.where(np.isfinite(top), top, 0.0)
        told[brood.name] = Told(parts, tuple(np.exp(log - top) for log in logs), top)
    return told
