"""What the broods on record say of a trait: how it is inherited, how sure that is, and who carries it."""

from collections import Counter
from dataclasses import dataclass

from bot.records import Book, BroodRow, TraitRow
from bot.services.desk import Desk
from bot.services.programme import Omitted, Records, Told, told_of
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.traits import row_named
from genetics.errors import EvidenceRefused
from genetics.evidence.findings import Findings
from genetics.evidence.programme import Programme

DEADLINE = 60.0
"""Seconds after which a weighing is given up."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the broods say of a trait.

    Attributes:
        labels: what people call each group of the findings.
        codes: what people call each brood of the findings.
        omitted: broods that bear on the trait and were left out, with the reason.
        dams, keepers: of how many dams young were weighed, and how many people logged them.
    """

    trait: TraitRow
    species: SpeciesCard
    findings: Findings
    labels: dict[str, str]
    codes: dict[str, str]
    omitted: tuple[tuple[str, Omitted], ...]
    young: int
    keepers: int


async def evidence_of(desk: Desk, request: Request, text: str) -> Evidence:
    """Weigh every brood on record that bears on a trait, off the event loop.

    What another keeper keeps private is not weighed for others.

    Raises:
        NoSuchTrait: no trait has the name.
        NothingToWeigh: no scored brood bears on it.
        RecordsContradict: the records cannot be weighed, with the reason.
        Overdue, WorkerLost, AllBusy: there is no answer in time.
    """
    async with desk.records.read(request.server, request.actor) as book:
        trait = row_named(text, await book.traits())
        records = await _records(book)
    key = trait.species_key or _species_of(trait, records)
    if key is None:
        raise NothingToWeigh(trait=trait.name, omitted=())
    species = desk.species.of(key)
    try:
        told = told_of(trait, records, key, species.sex_system)
        if told.programme is None:
            raise NothingToWeigh(trait=trait.name, omitted=told.omitted)
        findings = await desk.workers.run(weighed, told.programme, deadline=DEADLINE)
    except EvidenceRefused as error:
        raise RecordsContradict(trait=trait.name, error=error) from error
    return _evidence(trait, species, findings, told, records.broods)


def weighed(programme: Programme) -> Findings:
    """The findings of a programme: a job for a worker process. Raises EvidenceRefused."""
    from genetics.evidence.weighing import weigh  # noqa: PLC0415 - only who weighs waits for numpy

    return weigh(programme)


def _evidence(
    trait: TraitRow, species: SpeciesCard, findings: Findings, told: Told, broods: tuple[BroodRow, ...]
) -> Evidence:
    programme = told.programme
    if programme is None:
        raise ValueError("there is no programme")
    rows = {f"b{row.id}": row for row in broods}
    weighed = [brood for brood in programme.broods if brood.scored]
    return Evidence(
        trait=trait,
        species=species,
        findings=findings,
        labels=dict(told.labels),
        codes=dict(told.codes),
        omitted=told.omitted,
        young=sum(brood.scored for brood in weighed),
        keepers=len({rows[brood.name].keeper_id for brood in weighed}),
    )


async def _records(book: Book) -> Records:
    return Records(
        breeders=await book.all_breeders(),
        paired=await book.all_paired(),
        pairings=await book.pairings(),
        broods=await book.broods(),
        scorings=await book.scorings(),
        founders=await book.all_founders(),
        species={row.id: row.species_key for row in await book.bins(open_only=False)},
    )


def _species_of(trait: TraitRow, records: Records) -> str | None:
    """The species in which most young of the trait were seen, where the trait names none."""
    about = {row.id for row in records.pairings if row.trait_id == trait.id}
    shown = {
        look.brood_id
        for look in records.scorings
        for score in look.scores
        for s in score.shown
        if s.trait_id == trait.id
    }
    found = Counter(
        records.species[brood.bin_id]
        for brood in records.broods
        if (brood.pairing_id in about or brood.id in shown) and brood.bin_id in records.species
    )
    return found.most_common(1)[0][0] if found else None
