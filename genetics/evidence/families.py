"""Posterior genotype of every member of a family: one locus with two alleles, any looks, any matings.

Members without young are folded into a table over their parents first (all at once), the breeding animals are then
eliminated in min-fill order, and the leaves get their posteriors from their parents' (Elston & Stewart 1971; Lauritzen
& Sheehan 2003). Exact to rounding; messages are normalised and their logarithms kept.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Calibrated, Factor, Table, calibrate, planned
from genetics.loci import Where

WIDEST_FAMILY = 3**14
"""Cells of the widest table: fourteen animals that hang together (38 MB)."""


@dataclass(frozen=True, slots=True)
class Family:
    """Who descends from whom, by number; −1 for both parents of a founder.

    females: for each member whether it is female; needed for a locus on the X or Z only, where `homogametic_females`
    says which sex has two of them (True: XX; False: ZZ males).

    Raises EvidenceRefused for one parent only, a number of nobody, and a member that descends from itself.
    """

    dams: tuple[int, ...]
    sires: tuple[int, ...]
    females: tuple[bool, ...] = ()
    homogametic_females: bool = True

    def __post_init__(self) -> None:
        size = len(self.dams)
        if len(self.sires) != size or (self.females and len(self.females) != size):
            raise EvidenceRefused(EvidenceFault.UNKNOWN, "family", str(size))
        for one, (dam, sire) in enumerate(zip(self.dams, self.sires, strict=True)):
            if (dam < 0) != (sire < 0) or max(dam, sire) >= size:
                raise EvidenceRefused(EvidenceFault.UNKNOWN, str(one))
        _check_no_circle(self.dams, self.sires)


def _check_no_circle(dams: tuple[int, ...], sires: tuple[int, ...]) -> None:
    if all(dam < one and sire < one for one, (dam, sire) in enumerate(zip(dams, sires, strict=True))):
        return
    done: set[int] = {-1}
    waiting = list(range(len(dams)))
    while waiting:
        left = [one for one in waiting if not (dams[one] in done and sires[one] in done)]
        if len(left) == len(waiting):
            raise EvidenceRefused(EvidenceFault.CIRCLE, str(left[0]))
        done.update(set(waiting) - set(left))
        waiting = left


@dataclass(frozen=True, slots=True, eq=False)
class FamilyPosterior:
    """genotypes: (members, 3), P(0, 1, 2 copies | all looks); log_evidence: natural log of P(all looks)."""

    genotypes: NDArray[np.float64]
    log_evidence: float

    @property
    def het(self) -> NDArray[np.float64]:
        """P(one copy) of each member."""
        return self.genotypes[:, 1]


@lru_cache(maxsize=8)
def transmission(where: Where, homogametic_females: bool = True) -> Table:
    """P(copies of a young | its dam's, its sire's) by the young's sex: axes (daughter, son), dam, sire, young.

    On the X or Z the sex with a single copy has states 0 and 1.

    >>> transmission(Where.AUTOSOME)[0, 1, 1].tolist()
    [0.25, 0.5, 0.25]
    """
    table = np.zeros((2, 3, 3, 3))
    for dam in range(3):
        for sire in range(3):
            for sex in range(2):
                for young, share in _mendel(where, homogametic_females, sex, dam, sire).items():
                    table[sex, dam, sire, young] = share
    table.flags.writeable = False
    return table


def _mendel(where: Where, homogametic_females: bool, sex: int, dam: int, sire: int) -> dict[int, float]:
    two = dam / 2, sire / 2
    if where is Where.AUTOSOME:
        return _sum_of(*two)
    if homogametic_females:
        # A son has his dam's X and his sire's Y.
        return _sum_of(two[0], min(float(sire), 1.0)) if sex == 0 else _sum_of(two[0], 0.0)
    return _sum_of(0.0, two[1]) if sex == 0 else _sum_of(min(float(dam), 1.0), two[1])


def _sum_of(first: float, second: float) -> dict[int, float]:
    return {
        0: (1 - first) * (1 - second),
        1: first * (1 - second) + (1 - first) * second,
        2: first * second,
    }


def family_posterior(
    family: Family, looks: ArrayLike, founders: ArrayLike, where: Where = Where.AUTOSOME
) -> FamilyPosterior:
    """Posterior of every member.

    looks: (members, 3), P(what was seen of it | 0, 1, 2 copies); a row of ones for nothing seen.
    founders: (3,) prior of every founder, or (2, 3): of females, and of males.
    where: AUTOSOME, or SHARED for the X or Z (then `family.females` is needed).

    Raises EvidenceRefused where the looks are impossible, and where the widest table would pass `WIDEST_FAMILY` cells:
    the fact says how many, and the name is the member to leave out first.

    >>> trio = Family(dams=(-1, -1, 0), sires=(-1, -1, 1))
    >>> found = family_posterior(trio, [[1, 1, 0], [1, 1, 0], [0, 0, 1]], [0.49, 0.42, 0.09])
    >>> found.het.tolist()
    [1.0, 1.0, 0.0]
    """
    seen = np.asarray(looks, dtype=float)
    prior = np.asarray(founders, dtype=float)
    dams, sires = np.array(family.dams), np.array(family.sires)
    sexes = ~np.array(family.females, dtype=bool) if family.females else np.zeros(len(dams), dtype=bool)
    sexes = sexes.astype(np.intp)
    moves = transmission(where, family.homogametic_females)
    young = dams >= 0
    breeds = np.zeros(len(dams), dtype=bool)
    breeds[dams[young]] = breeds[sires[young]] = True
    leaves, kept = np.flatnonzero(young & ~breeds), np.flatnonzero(~young | breeds)
    number = np.full(len(dams), -1)
    number[kept] = np.arange(len(kept))

    start = (prior if prior.ndim == 2 else np.stack([prior, prior]))[sexes] * seen
    through = moves[sexes[kept]] * seen[kept][:, None, None, :]
    factors = [
        Factor((at,), start[one][:, None])
        if dams[one] < 0
        else Factor((int(number[dams[one]]), int(number[sires[one]]), at), through[at][..., None])
        for at, one in enumerate(kept.tolist())
    ]
    folded, log_scale, pairs, tables = _folded(leaves, dams, sires, sexes, seen, moves)
    couples = [(int(number[dam]), int(number[sire])) for dam, sire in pairs.tolist()]
    factors.extend(Factor(couple, table[..., None]) for couple, table in zip(couples, tables, strict=True))
    solved = _solved(factors, kept)
    log_z = float(solved.log_z[0]) + log_scale
    if not np.isfinite(log_z):
        raise EvidenceRefused(EvidenceFault.IMPOSSIBLE, "family")
    found = np.empty((len(dams), 3))
    # From the last bucket back, so that each has its parent's belief at hand.
    for bucket in range(len(kept) - 1, -1, -1):
        found[kept[solved.plan.order[bucket]]] = solved.belief(bucket).reshape(3, -1).sum(axis=1)
    if len(leaves):
        joint = np.stack([solved.joint(couple)[..., 0] for couple in couples])
        found[leaves] = _unfolded(joint[folded], leaves, sexes, seen, moves)
    return FamilyPosterior(found, log_z)


def _solved(factors: list[Factor], kept: NDArray[np.intp]) -> Calibrated:
    """The breeding animals eliminated. Raises EvidenceRefused (TOO_WIDE) with the member to leave out first."""
    sizes = (3,) * len(kept)
    plan = planned(tuple([factor.scope for factor in factors]), sizes)
    if plan.widest > WIDEST_FAMILY:
        wide = max(plan.scopes, key=len)
        raise EvidenceRefused(EvidenceFault.TOO_WIDE, str(int(kept[wide[0]])), str(plan.widest))
    return calibrate(factors, sizes, 1, plan=plan)


def _folded(
    leaves: NDArray[np.intp],
    dams: NDArray[np.intp],
    sires: NDArray[np.intp],
    sexes: NDArray[np.intp],
    seen: Table,
    moves: Table,
) -> tuple[NDArray[np.intp], float, NDArray[np.intp], list[Table]]:
    """Which pair each leaf hangs on, the log of what was scaled away, the pairs, and the pairs' tables."""
    if not len(leaves):
        return leaves, 0.0, np.empty((0, 2), dtype=np.intp), []
    messages = np.einsum("ldsy,ly->lds", moves[sexes[leaves]], seen[leaves])
    top = messages.max(axis=(1, 2), keepdims=True)
    scaled = messages / np.where(top > 0, top, 1.0)
    key = dams[leaves] * len(dams) + sires[leaves]
    unique, folded = np.unique(key, return_inverse=True)
    order = np.argsort(folded, kind="stable")
    first = np.searchsorted(folded[order], np.arange(len(unique)))
    tables = np.multiply.reduceat(scaled[order], first, axis=0)
    with np.errstate(divide="ignore"):
        log_scale = float(np.log(top).sum())
    return folded, log_scale, np.stack([unique // len(dams), unique % len(dams)], axis=1), list(tables)


def _unfolded(
    joint: Table, leaves: NDArray[np.intp], sexes: NDArray[np.intp], seen: Table, moves: Table
) -> NDArray[np.float64]:
    """Each leaf's posterior from the posterior of its parents, its own part of which is divided out first."""
    through = moves[sexes[leaves]] * seen[leaves][:, None, None, :]
    mine = through.sum(axis=3)
    rest = np.where(mine > 0, joint / np.where(mine > 0, mine, 1.0), 0.0)
    found = np.einsum("lds,ldsy->ly", rest, through)
    return np.asarray(found / found.sum(axis=1, keepdims=True))
