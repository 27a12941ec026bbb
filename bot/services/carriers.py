"""Who carries the cause of a trait: parents and bins, by the likeliest explanation and allowing for all of them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from bot.records import FounderRow, Sex, State
from bot.services.desk import Desk
from bot.services.evidence import Evidence, Weighable, evidence_on, weighable
from bot.services.request import Request
from bot.services.traits import row_named
from bot.services.tuning import Tuning
from bot.services.weighing import findings_of
from bot.workers import Overdue
from genetics import Appearance
from genetics import Sex as Sexed
from genetics.errors import EvidenceRefused
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Findings
from genetics.evidence.programme import Founders, Group, Kept, Mated, Programme

MOST_BINS = 12
_SHOWN = (Appearance.PARTIAL, Appearance.FULL)


@dataclass(frozen=True, slots=True)
class Carrier:
    """What is known of a group, or of one animal drawn from a bin.

    Attributes:
        label: what people call it.
        number: how many animals it is; None if nobody counted them.
        shows: it shows the trait.
        if_so: P(a random member carries it | the likeliest explanation, and every dam bred with nobody else).
        overall: the same allowing for every explanation, and for stored sperm.
        in_bin: it is one animal of a bin of young that were kept back, and did not breed yet.
    """

    label: str
    number: int | None
    shows: bool
    if_so: float
    overall: float
    in_bin: bool = False


@dataclass(frozen=True, slots=True)
class Carriers:
    """Who carries it, the surest first. `alone`: `if_so` takes it that no dam carried sperm of others."""

    evidence: Evidence
    rows: tuple[Carrier, ...]
    alone: bool


async def carriers_of(desk: Desk, request: Request, text: str) -> Carriers:
    """Who carries the cause of a trait. Nothing is said where the likeliest explanation has no genes.

    Raises:
        NoSuchTrait, NothingToWeigh, RecordsContradict, TooLong, WorkerLost, AllBusy: as `evidence_of`.
    """
    found = await weighable(desk, request, lambda rows: (row_named(text, rows),))
    evidence = await evidence_on(desk, found, found.traits[0])
    if not evidence.findings.leader.cause.inherited:
        return Carriers(evidence, (), alone=False)
    waiting = _waiting(found, evidence)
    programme, findings = evidence.programme, evidence.findings
    if waiting:
        wider = replace(programme, groups=(*programme.groups, *waiting.values()))
        told = await _weighed(desk, wider, evidence.tuning)
        programme, findings = (programme, findings) if told is None else (wider, told)
    alone: Findings | None = None
    if any(dam.mated is not Mated.ISOLATED for pairing in programme.pairings for dam in pairing.dams):
        alone = await _weighed(desk, _nobody_else(programme), evidence.tuning, evidence.findings.leader.cause)
    labels = {**evidence.labels, **{group.name: label for label, group in waiting.items()}}
    rows = _rows(programme, findings, alone, labels, {group.name for group in waiting.values()})
    return Carriers(evidence, tuple(sorted(rows, key=lambda row: (row.in_bin, -row.overall))), alone is not None)


async def _weighed(desk: Desk, programme: Programme, tuning: Tuning, granted: Cause | None = None) -> Findings | None:
    """The findings of what is asked beside the evidence itself; None if it cannot be weighed so, or not in time."""
    try:
        return await findings_of(desk.workers, desk.weighings, programme, tuning, granted)
    except (EvidenceRefused, Overdue):
        return None


def _rows(
    programme: Programme, findings: Findings, only: Findings | None, labels: dict[str, str], in_bins: set[str]
) -> Iterable[Carrier]:
    sure = {one.group: one.carries for one in (only or findings).standings}
    for one in findings.standings:
        group = programme.group(one.group)
        if one.group in labels and one.genotypes:
            shows = group.look in _SHOWN or (isinstance(group, Founders) and group.odd)
            if_so = min(1.0, sure[one.group])
            yield Carrier(labels[one.group], group.number, shows, if_so, one.overall, one.group in in_bins)


def _nobody_else(programme: Programme) -> Programme:
    """The programme as if every dam were unmated before her pairing."""
    pairings = tuple(
        replace(pairing, dams=tuple(replace(dam, mated=Mated.ISOLATED) for dam in pairing.dams))
        for pairing in programme.pairings
    )
    return replace(programme, pairings=pairings)


def _waiting(found: Weighable, evidence: Evidence) -> dict[str, Group]:
    """One animal of each group that was kept back from a weighed brood into a bin and did not breed, by what it is called."""
    bred = {breeders.from_bin_id for breeders in found.records.breeders}
    weighed = {brood.name for brood in evidence.programme.broods if brood.scored}
    groups: dict[str, Group] = {}
    for row in found.records.founders:
        if f"b{row.brood_id}" not in weighed or row.bin_id in bred or row.bin_id not in found.codes:
            continue
        look = _look(row, evidence)
        if look is not None and len(groups) < MOST_BINS:
            sex = Sexed.MALE if row.sex is Sex.MALE else Sexed.FEMALE
            said = evidence.trait.name if look is not Appearance.WILD else "wild-looking animal"
            groups[f"one {said} of {found.codes[row.bin_id]}"] = Kept(f"k{row.id}", sex, f"b{row.brood_id}", 1, look)
    return groups


def _look(row: FounderRow, evidence: Evidence) -> Appearance | None:
    """How founders looked in their brood; None for a look that is not told apart here."""
    state = next((one.state for one in row.states if one.trait_id == evidence.trait.id), None)
    if state is None:
        return Appearance.WILD
    if state is not State.HET:
        return Appearance.FULL
    return Appearance.PARTIAL if evidence.programme.partial else None
