"""What the broods on record say of a trait: how it is inherited, how sure that is, and who carries it."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from bot.records import NOBODY, Book, BroodRow, TraitRow
from bot.services.desk import Desk
from bot.services.programme import Omitted, Records, Told, told_of
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.traits import row_named
from bot.services.tuning import Tuning, read_tuning
from bot.services.weighing import findings_of
from genetics.errors import EvidenceRefused
from genetics.evidence.findings import Findings
from genetics.evidence.programme import Programme


@dataclass(frozen=True, slots=True)
class Weighable:
    """Traits, and all that a reader's book holds that can bear on them.

    Attributes:
        seq: the newest event of the book: its revision.
        tunings: with what each trait is weighed.
    """

    records: Records
    seq: int
    traits: tuple[TraitRow, ...]
    tunings: tuple[Tuning, ...]

    def tuning(self, trait: TraitRow) -> Tuning:
        """With what a trait is weighed."""
        return self.tunings[self.traits.index(trait)]

    def before(self, scoring: int) -> "Weighable":
        """The same, as if one look at a brood had not been."""
        scorings = tuple(look for look in self.records.scorings if look.id != scoring)
        return replace(self, records=replace(self.records, scorings=scorings))


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the broods say of a trait.

    Attributes:
        programme: what was weighed.
        labels: what people call each group of the findings.
        codes: what people call each brood of the findings.
        omitted: broods that bear on the trait and were left out, with the reason.
        young, keepers: how many young were weighed, and how many people logged them.
        seq: the newest event that it rests on.
    """

    trait: TraitRow
    species: SpeciesCard
    programme: Programme
    findings: Findings
    tuning: Tuning
    labels: dict[str, str]
    codes: dict[str, str]
    omitted: tuple[tuple[str, Omitted], ...]
    young: int
    keepers: int
    seq: int


async def evidence_of(desk: Desk, request: Request, text: str) -> Evidence:
    """Weigh every brood on record that bears on a trait, off the event loop.

    What another keeper keeps private is not weighed for others.

    Raises:
        NoSuchTrait: no trait has the name.
        NothingToWeigh: no scored brood bears on it.
        RecordsContradict: the records cannot be weighed, with the reason.
        Overdue, WorkerLost, AllBusy: there is no answer in time.
    """
    found = await weighable(desk, request, lambda rows: (row_named(text, rows),), request.actor)
    return await evidence_on(desk, found, found.traits[0])


async def weighable(
    desk: Desk, request: Request, choose: Callable[[Sequence[TraitRow]], Sequence[TraitRow]], reader: int = NOBODY
) -> Weighable:
    """What bears on the chosen traits, as a reader's book has it; what everybody may know if it is nobody's."""
    async with desk.records.read(request.server, reader) as book:
        traits = tuple(choose(await book.traits()))
        settings = [await book.weighing(trait.id) for trait in traits]
        records, seq = await _records(book), await book.newest_event()
    tunings = tuple(read_tuning(row.body if row is not None else None) for row in settings)
    return Weighable(records, seq, traits, tunings)


async def evidence_on(desk: Desk, found: Weighable, trait: TraitRow) -> Evidence:
    """The evidence on a trait in what was read.

    Raises:
        NothingToWeigh, RecordsContradict, Overdue, WorkerLost, AllBusy: as `evidence_of`.
    """
    records = found.records
    key = trait.species_key or _species_of(trait, records)
    if key is None:
        raise NothingToWeigh(trait=trait.name, omitted=())
    species = desk.species.of(key)
    try:
        told = told_of(trait, records, key, species.sex_system)
        if told.programme is None:
            raise NothingToWeigh(trait=trait.name, omitted=told.omitted)
        findings = await findings_of(desk.workers, desk.weighings, told.programme, found.tuning(trait))
    except EvidenceRefused as error:
        raise RecordsContradict(trait=trait.name, error=error) from error
    return _evidence(found, trait, species, findings, told, told.programme)


def _evidence(
    found: Weighable, trait: TraitRow, species: SpeciesCard, findings: Findings, told: Told, programme: Programme
) -> Evidence:
    rows: dict[str, BroodRow] = {f"b{row.id}": row for row in found.records.broods}
    scored = [brood for brood in programme.broods if brood.scored]
    return Evidence(
        trait=trait,
        species=species,
        programme=programme,
        findings=findings,
        tuning=found.tuning(trait),
        labels=dict(told.labels),
        codes=dict(told.codes),
        omitted=told.omitted,
        young=sum(brood.scored for brood in scored),
        keepers=len({rows[brood.name].keeper_id for brood in scored}),
        seq=found.seq,
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
