"""Same trait or two? What crosses between two lines say: one locus, or two of which either suffices.

Complementation (isopods.md §5; any textbook): two recessives of like look are crossed. At one locus the young have two
altered alleles, one from each line, and show. At two loci each parent hands in what the other lacks, and they look wild.

A programme is about the look of either line: a young that shows the one or the other shows. What it says of founders is
said of the lines here (`Said`). Three accounts are weighed over the same records, exactly as in `weighing`:

- SAME: one autosomal locus, recessive; the alleles of the two lines are alike to the eye.
- TWO: two unlinked autosomal loci, recessive, two copies at either suffice. Founders of one line may have the other's
  allele unseen, with the frequency HIDDEN.
- NEITHER: each brood has a share of its own (`Cause.NONE`).

Penetrance, phenocopies, survival, scoring error, spoilt broods and stored sperm are integrated out. A dam that was not
isolated unmated may have stored the sperm of one male of her own bin: one of her line that shows, one that carries it,
or one that has nothing of it (`STORED`).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import product
from types import MappingProxyType

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.programme import Dam, Founders, Group, Kept, Mated, Pairing, Programme
from genetics.loci import Sex, checked_share
from genetics.rates import Rate
from genetics.traits import Appearance

STORED = (0.4, 0.2, 0.4)
"""What a stored sire of a line's own bin has of its allele: no copy, one, two (judgement)."""
HIDDEN = ((0.005, 0.75), (0.1, 0.25))
"""Frequency of the other line's allele in a line, with weights: lines of one stock may share it unseen (judgement)."""


class Line(StrEnum):
    """One of the two lines."""

    FIRST = "first"
    SECOND = "second"


class Loci(StrEnum):
    """The accounts that are weighed."""

    SAME = "same locus"
    TWO = "two loci"
    NEITHER = "neither"


PRIORS: Mapping[Loci, float] = MappingProxyType({Loci.SAME: 0.49, Loci.TWO: 0.49, Loci.NEITHER: 0.02})
"""Before any cross nothing speaks for either (judgement)."""


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of a group of founders: whose trait each shows, and the chance that each carries one copy of a line's.

    Raises EvidenceRefused where nothing is said, and OutOfRange for a chance outside 0 to 1.
    """

    shows: frozenset[Line] = frozenset()
    carries: Mapping[Line, Rate] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.lines:
            raise EvidenceRefused(EvidenceFault.UNKNOWN, "line")
        for chance in self.carries.values():
            checked_share("carries", chance)

    @property
    def lines(self) -> frozenset[Line]:
        """The lines that it is of."""
        return self.shows | frozenset(self.carries)


@dataclass(frozen=True, slots=True)
class LociShare:
    """One account: its prior, log P(records | account), and posterior. error: of the logarithm, where it was sampled."""

    loci: Loci
    prior: float
    log_evidence: float
    posterior: float
    error: float = 0.0


@dataclass(frozen=True, slots=True)
class Compared:
    """What the crosses between two lines say. shares: the likeliest account first. young: scored ones of both lines."""

    shares: tuple[LociShare, ...]
    young: int

    def of(self, loci: Loci) -> float:
        """The posterior of an account."""
        return next(share.posterior for share in self.shares if share.loci is loci)


def lines_of(programme: Programme, said: Mapping[str, Said]) -> dict[str, frozenset[Line]]:
    """From which lines each group of a programme descends, stored sperm aside. Raises EvidenceRefused for a circle."""
    found: dict[str, frozenset[Line]] = {}
    for group in programme.eldest_first():
        if isinstance(group, Founders):
            found[group.name] = said[group.name].lines if group.name in said else frozenset()
        else:
            pairing = programme.pairing(programme.brood(group.brood).pairing)
            found[group.name] = _of_parents(pairing, found)
    return found


def _of_parents(pairing: Pairing, lines: Mapping[str, frozenset[Line]]) -> frozenset[Line]:
    parents = [*(dam.group for dam in pairing.dams), *pairing.sires]
    return frozenset().union(*(lines[name] for name in parents))


def joined(programme: Programme, said: Mapping[str, Said]) -> frozenset[str]:
    """The broods with scored young whose parents are of both lines together."""
    lines = lines_of(programme, said)
    return frozenset(
        brood.name
        for brood in programme.broods
        if brood.scored and len(_of_parents(programme.pairing(brood.pairing), lines)) == len(Line)
    )


def compared(programme: Programme, said: Mapping[str, Said], priors: Mapping[Loci, float] = PRIORS) -> Compared:
    """Weigh the accounts over the broods that join both lines, those that breed a line true, and all their ancestors.

    Raises EvidenceRefused: no scored young of both lines, records that no account can give, more animals than can be
    summed over, and what `Programme` refuses.
    """
    from genetics.evidence.joint_lines import log_evidence  # noqa: PLC0415 - the records are read without numpy

    both = joined(programme, said)
    if not both:
        raise EvidenceRefused(EvidenceFault.NO_SCORED, "programme")
    held = _bearing(programme, said, both)
    logs = {loci: log_evidence(loci, held, said) for loci in Loci if priors[loci] > 0}
    top = max(log for log, _ in logs.values())
    if not math.isfinite(top):
        raise EvidenceRefused(EvidenceFault.IMPOSSIBLE, "programme")
    weights = {loci: priors[loci] * math.exp(log - top) for loci, (log, _) in logs.items()}
    total = math.fsum(weights.values())
    shares = [LociShare(loci, priors[loci], log, weights[loci] / total, error) for loci, (log, error) in logs.items()]
    young = sum(brood.scored for brood in held.broods if brood.name in both)
    return Compared(tuple(sorted(shares, key=lambda share: -share.posterior)), young)


def _bearing(programme: Programme, said: Mapping[str, Said], both: frozenset[str]) -> Programme:
    """The programme of the broods that tell the accounts apart, and of those that say how often a line shows."""
    true_bred = {name for name, (dam, sire) in crossed(programme, said).items() if dam is sire}
    kept = {b.name for b in programme.broods if b.name in both or (b.scored and b.pairing in true_bred)}
    groups: set[str] = set()
    before = -1
    while before < len(kept):
        before = len(kept)
        for name in list(kept):
            pairing = programme.pairing(programme.brood(name).pairing)
            groups |= {one for dam in pairing.dams for one in (dam.group, dam.males) if one is not None}
            groups |= set(pairing.sires)
        kept |= {group.brood for group in programme.groups if isinstance(group, Kept) and group.name in groups}
    broods = tuple(replace(brood, beside=None) for brood in programme.broods if brood.name in kept)
    return replace(
        programme,
        groups=tuple(group for group in programme.groups if group.name in groups),
        pairings=tuple(p for p in programme.pairings if p.name in {brood.pairing for brood in broods}),
        broods=broods,
    )


def crossed(programme: Programme, said: Mapping[str, Said]) -> dict[str, tuple[Line, Line]]:
    """The pairings in which all dams show one line's trait and all sires show one: the lines of dams and of sires."""
    lines = lines_of(programme, said)
    shows = {group.name: _shown_by(group, lines, said) for group in programme.groups}
    found: dict[str, tuple[Line, Line]] = {}
    for pairing in programme.pairings:
        dams = {shows[dam.group] for dam in pairing.dams}
        sires = {shows[name] for name in pairing.sires}
        if len(dams) == len(sires) == 1 and (dam := dams.pop()) is not None and (sire := sires.pop()) is not None:
            found[pairing.name] = dam, sire
    return found


def _shown_by(group: Group, lines: Mapping[str, frozenset[Line]], said: Mapping[str, Said]) -> Line | None:
    """The one line whose trait all of a group show, as far as that is said."""
    if isinstance(group, Kept):
        shown = lines[group.name] if group.look in (Appearance.PARTIAL, Appearance.FULL) else frozenset[Line]()
    else:
        shown = said[group.name].shows if group.name in said else frozenset[Line]()
    return next(iter(shown)) if len(shown) == 1 else None


def with_stored_males(programme: Programme, said: Mapping[str, Said]) -> tuple[Programme, dict[str, Said]]:
    """The programme in which each dam that is said to be of a line, and was not kept apart, has males of her own to store of.

    Second: of which dam's bin each group of such males is, as what was said of that dam.
    """
    males: dict[str, Said] = {}

    def with_males(dam: Dam) -> Dam:
        if dam.mated is Mated.ISOLATED or dam.males is not None or dam.group not in said:
            return dam
        name = f"{dam.group} stored"
        males[name] = said[dam.group]
        return replace(dam, males=name)

    pairings = tuple(replace(p, dams=tuple(with_males(dam) for dam in p.dams)) for p in programme.pairings)
    groups = (*programme.groups, *(Founders(name, Sex.MALE) for name in males))
    return replace(programme, groups=groups, pairings=pairings), males


def copies_at(line: Line, said: Said, *, stored: bool) -> tuple[float, float, float] | None:
    """P(no copy, one, two) of a line's allele in a founder of which this is said; None where it is of the other line alone.

    stored: it is not the founder, but a male out of her bin.

    >>> copies_at(Line.FIRST, Said(frozenset({Line.FIRST})), stored=False)
    (0.0, 0.0, 1.0)
    """
    if line not in said.lines:
        return None
    if stored:
        return STORED
    if line in said.shows:
        return 0.0, 0.0, 1.0
    chance = float(said.carries[line])
    return 1 - chance, chance, 0.0


def together(first: tuple[float, float, float], second: tuple[float, float, float]) -> tuple[float, float, float]:
    """P(no altered copy, one, two) at the one locus of an animal that is of both lines: never more than two.

    >>> together((0.0, 1.0, 0.0), (0.5, 0.5, 0.0))
    (0.0, 0.5, 0.5)
    """
    found = [0.0, 0.0, 0.0]
    for (a, p), (b, q) in product(enumerate(first), enumerate(second)):
        found[min(a + b, 2)] += p * q
    return found[0], found[1], found[2]
