"""What the broods on record say of a trait: how it is inherited, how sure that is, and who carries it."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from bot.records import BinRow, Book, BroodRow, MarkRow, ScoringRow, TraitRow
from bot.services.blind_errors import ScoringError, scoring_error_of
from bot.services.circumstances import bins_of, exposed, with_sheen
from bot.services.desk import Desk
from bot.services.programme import Omitted, Records, Told, told_of
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict, TooLong
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.traits import row_named
from bot.services.tuning import Tuning, read_tuning
from bot.services.weighing import findings_of
from bot.workers import Overdue
from genetics.errors import EvidenceRefused
from genetics.evidence.findings import Findings
from genetics.evidence.programme import Programme


@dataclass(frozen=True, slots=True)
class Weighable:
    """Traits, and all that a reader's book holds that can bear on them.

    Attributes:
        seq: the newest event of the book: its revision.
        tunings: with what each trait is weighed.
        species: the card of each trait's species, as this server has it; None where no young tell which it is.
        codes: of every bin that the reader may read.
        marks: bins on hold, and what went wrong in bins.
        errors: how often each trait is misread, where keepers measured it on photos.
    """

    records: Records
    seq: int
    traits: tuple[TraitRow, ...]
    tunings: tuple[Tuning, ...]
    species: tuple[SpeciesCard | None, ...]
    codes: Mapping[int, str]
    marks: tuple[MarkRow, ...]
    errors: tuple[ScoringError | None, ...]

    def tuning(self, trait: TraitRow) -> Tuning:
        """With what a trait is weighed."""
        return self.tunings[self.traits.index(trait)]

    def before(self, scoring: int) -> "Weighable":
        """The same, as if one look at a brood had not been."""
        return self.where(lambda look: look.id != scoring)

    def where(self, counts: Callable[[ScoringRow], bool]) -> "Weighable":
        """The same, with only those looks at broods that count."""
        scorings = tuple(look for look in self.records.scorings if counts(look))
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
        sheen: codes of the trait's bins that are on hold for a blue or violet sheen.
        exposed: codes of broods in whose bin a stray was found or the lid was off, and `without` what the rest says.
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
    sheen: tuple[str, ...] = ()
    exposed: tuple[str, ...] = ()
    without: Findings | None = None


async def evidence_of(
    desk: Desk, request: Request, text: str, tell: Callable[[int], None] = lambda _: None
) -> Evidence:
    """Weigh every brood on record that bears on a trait, off the event loop.

    `tell` is told of how many broods before they are weighed. What another keeper keeps private is not weighed for others.

    Raises:
        NoSuchTrait: no trait has the name.
        NothingToWeigh: no scored brood bears on it.
        RecordsContradict: the records cannot be weighed, with the reason.
        TooLong, WorkerLost, AllBusy: there is no answer in time.
    """
    found = await weighable(desk, request, lambda rows: (row_named(text, rows),))
    trait = found.traits[0]
    evidence = await evidence_on(desk, found, trait, tell)
    return await _in_circumstances(desk, found, evidence)


async def _in_circumstances(desk: Desk, found: Weighable, evidence: Evidence) -> Evidence:
    """The evidence, with what the book knows of the bins it comes from."""
    weighed = [int(brood.name[1:]) for brood in evidence.programme.broods if brood.scored]
    sheen = with_sheen(bins_of(evidence.trait, found.records, weighed), found.marks)
    outside = exposed(found.records, found.marks, weighed)
    without: Findings | None = None
    if outside:
        with suppress(NothingToWeigh, RecordsContradict):
            rest = found.where(lambda look: look.brood_id not in outside)
            without = (await evidence_on(desk, rest, evidence.trait)).findings
    return replace(
        evidence,
        sheen=tuple(found.codes[one] for one in sheen if one in found.codes),
        exposed=tuple(evidence.codes[f"b{one}"] for one in sorted(outside)),
        without=without,
    )


async def weighable(
    desk: Desk,
    request: Request,
    choose: Callable[[Sequence[TraitRow]], Sequence[TraitRow]],
    *,
    for_all: bool = False,
) -> Weighable:
    """What bears on the chosen traits, as the book of the person who asks has it; `for_all`: as everybody may know it."""
    records = desk.records
    unit = records.public(request.server) if for_all else records.read(request.server, request.actor)
    async with unit as book:
        traits = tuple(choose(await book.traits()))
        settings = [await book.weighing(trait.id) for trait in traits]
        errors = tuple([await scoring_error_of(book, trait.id) for trait in traits])
        bins = await book.bins(open_only=False)
        found, seq = await _records(book, bins), await book.newest_event()
        marks = (*await book.holding(), *await book.accidents())
        keys = [trait.species_key or _species_of(trait, found) for trait in traits]
        species = tuple([None if key is None else await card_of(desk, book, key) for key in keys])
    tunings = tuple(read_tuning(row.body if row is not None else None) for row in settings)
    return Weighable(found, seq, traits, tunings, species, {row.id: row.code for row in bins}, marks, errors)


async def evidence_on(
    desk: Desk, found: Weighable, trait: TraitRow, tell: Callable[[int], None] = lambda _: None
) -> Evidence:
    """The evidence on a trait in what was read.

    Raises:
        NothingToWeigh, RecordsContradict, TooLong, WorkerLost, AllBusy: as `evidence_of`.
    """
    records = found.records
    species = found.species[found.traits.index(trait)]
    if species is None:
        raise NothingToWeigh(trait=trait.name, omitted=())
    try:
        told = told_of(trait, records, species.key, species.sex_system)
    except EvidenceRefused as error:
        raise RecordsContradict(trait=trait.name, error=error) from error
    programme = told.programme
    if programme is None:
        raise NothingToWeigh(trait=trait.name, omitted=told.omitted)
    measured = found.errors[found.traits.index(trait)]
    programme = programme if measured is None else replace(programme, misread=measured.misread)
    tell(sum(bool(brood.scored) for brood in programme.broods))
    names = {**told.codes, **told.labels}
    try:
        findings = await findings_of(desk.workers, desk.weighings, programme, found.tuning(trait))
    except EvidenceRefused as error:
        raise RecordsContradict(trait=trait.name, error=error, about=names.get(error.what)) from error
    except Overdue as error:
        raise TooLong(trait=trait.name, seconds=error.deadline, most=_most(programme, names)) from error
    return _evidence(found, trait, species, findings, told, programme)


def _most(programme: Programme, names: Mapping[str, str]) -> str:
    """What people call the largest group of unmarked animals that bred: what makes a weighing long."""
    counted = [group for group in programme.groups if group.number is not None]
    return names[max(counted or programme.groups, key=lambda group: group.number or 0).name]


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


async def _records(book: Book, bins: Sequence[BinRow]) -> Records:
    return Records(
        breeders=await book.all_breeders(),
        paired=await book.all_paired(),
        pairings=await book.pairings(),
        broods=await book.broods(),
        scorings=await book.scorings(),
        founders=await book.all_founders(),
        species={row.id: row.species_key for row in bins},
        found=frozenset(find.breeders_id for find in await book.finds()),
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
