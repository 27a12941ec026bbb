"""Same trait or two: what the crosses between two lines say, and whether they were such that they can say it."""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum

from bot.records import Dominance, ScoringRow, TraitRow
from bot.services.broods import brood_code
from bot.services.desk import Desk
from bot.services.evidence import Weighable, evidence_on, weighable
from bot.services.pairings import pairing_code
from bot.services.programme import Omitted, Told, told_of
from bot.services.refusals_complementation import OneTraitTwice, TwoSpeciesTraits
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.trait_models import read_model
from bot.services.traits import row_named
from bot.services.two_traits import either_of, merged, said_of, species_bred
from bot.services.weighing import DEADLINE
from genetics import Where
from genetics.errors import EvidenceRefused
from genetics.evidence.complementation import Compared, Line, Loci, Said, compared, crossed, joined
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Findings, Share, Word
from genetics.evidence.programme import Mated, Programme

SURE = 0.95
"""The posterior from which an account is called the answer (that of *supported*, science.md §5)."""
YOUNG, DAMS = 8, 2
"""So many scored young from each of so many dams are asked for before "two loci" (science.md §5)."""


class Answer(StrEnum):
    """What is answered."""

    SAME = "same"
    TWO = "two"
    OPEN = "open"


class Point(StrEnum):
    """A condition of the test. Those of a line hold for each of the two."""

    RECESSIVE = "recessive"
    ORDINARY = "on an ordinary chromosome"
    TRUE = "breeds true"
    AGE = "read at full age"
    UNMATED = "the dam unmated"
    RECIPROCAL = "the reciprocal cross"
    ENOUGH = "young enough"


@dataclass(frozen=True, slots=True)
class Condition:
    """A condition as the records have it.

    held: True, False, or None where nothing on record says. line: of which line, if of one. codes: the pairings or broods
    in question. number: how many there are (young that bred true, dams with young enough). verdict: what its broods say.
    """

    point: Point
    held: bool | None
    line: Line | None = None
    codes: tuple[str, ...] = ()
    number: int = 0
    verdict: Share | None = None


@dataclass(frozen=True, slots=True)
class Crossed:
    """A pairing of a visual of one line with one of the other: whose the dams are, and what their scored young are."""

    code: str
    dam: Line
    unmated: bool
    wild: int
    shown: int

    @property
    def scored(self) -> int:
        """Young that were scored."""
        return self.wild + self.shown


class Step(StrEnum):
    """What to set up next."""

    FIRST = "first cross"
    UNMATED = "with an unmated dam"
    RECIPROCAL = "reciprocal"
    MORE = "more young"
    TRUE = "each line by itself"


@dataclass(frozen=True, slots=True)
class Comparison:
    """What the book says of two traits.

    compared: None while no scored young are of both lines. step: what to set up next, with whose dams; None where
    another cross would not help. omitted: broods left out, with the reason.
    """

    first: TraitRow
    second: TraitRow
    species: SpeciesCard
    answer: Answer
    compared: Compared | None
    crosses: tuple[Crossed, ...]
    conditions: tuple[Condition, ...]
    step: tuple[Step, Line] | None
    omitted: tuple[tuple[str, Omitted], ...] = ()

    def condition(self, point: Point) -> tuple[Condition, ...]:
        """The condition, for each line where it is one of a line."""
        return tuple(one for one in self.conditions if one.point is point)


async def compare_traits(desk: Desk, request: Request, first_text: str, second_text: str) -> Comparison:
    """Weigh whether two traits are one, off the event loop, and check the conditions against the records.

    Raises:
        NoSuchTrait, OneTraitTwice, TwoSpeciesTraits: they are not two traits that can be crossed.
        NothingToWeigh: neither was bred yet, and no species is named.
        RecordsContradict: the records cannot be weighed, with the reason.
        TooLong, Overdue, WorkerLost, AllBusy: there is no answer in time.
    """
    held = await weighable(desk, request, lambda rows: _pair(row_named(first_text, rows), row_named(second_text, rows)))
    first, second = held.traits
    said = said_of(held.records, first, second)
    species = await _one_species(desk, request, held, said)
    told = _told(held, species)
    said = _held(said, told.programme)
    alone = (await _verdict(desk, held, first), await _verdict(desk, held, second))
    pair = await _compared(desk, told.programme, said, first)
    reading = _Reading(held, told.programme, said, alone)
    conditions = reading.conditions()
    answer = _answer(pair, conditions)
    return Comparison(
        first=first,
        second=second,
        species=species,
        answer=answer,
        compared=pair,
        crosses=reading.crosses,
        conditions=conditions,
        step=None if answer is not Answer.OPEN else _step(reading.crosses, conditions),
        omitted=told.omitted,
    )


def _pair(first: TraitRow, second: TraitRow) -> tuple[TraitRow, TraitRow]:
    if first.id == second.id:
        raise OneTraitTwice(trait=first.name)
    if None not in (first.species_key, second.species_key) and first.species_key != second.species_key:
        raise TwoSpeciesTraits(first=first.name, second=second.name)
    return first, second


async def _one_species(desk: Desk, request: Request, held: Weighable, said: Mapping[str, Said]) -> SpeciesCard:
    """The species of both: that which one names, else that of the pairings they are in, else that of their young."""
    named = [card for card, trait in zip(held.species, held.traits, strict=True) if trait.species_key is not None]
    key = None if named else species_bred(held.records, said)
    if key is not None:
        async with desk.records.read(request.server, request.actor) as book:
            return await card_of(desk, book, key)
    for card in (*named, *held.species):
        if card is not None:
            return card
    raise NothingToWeigh(trait=held.traits[0].name)


def _told(held: Weighable, species: SpeciesCard) -> Told:
    first, second = held.traits
    try:
        return told_of(either_of(first, second), merged(held.records, first, second), species.key, species.sex_system)
    except EvidenceRefused as error:
        raise RecordsContradict(trait=first.name, error=error) from error


async def _verdict(desk: Desk, held: Weighable, trait: TraitRow) -> Findings | None:
    """What the broods of a trait say of it by itself; None where they do not speak, and it is taken as it is stated."""
    with suppress(NothingToWeigh, RecordsContradict):
        return (await evidence_on(desk, held, trait)).findings
    return None


async def _compared(
    desk: Desk, programme: Programme | None, said: Mapping[str, Said], first: TraitRow
) -> Compared | None:
    if programme is None or not joined(programme, said):
        return None
    try:
        return await desk.workers.run(compared, programme, said, deadline=DEADLINE)
    except EvidenceRefused as error:
        raise RecordsContradict(trait=first.name, error=error) from error


def _held(said: Mapping[str, Said], programme: Programme | None) -> dict[str, Said]:
    names = {group.name for group in programme.groups} if programme is not None else set()
    return {name: one for name, one in said.items() if name in names}


class _Reading:
    """The records of two traits, looked through for what the test rests on."""

    def __init__(
        self,
        held: Weighable,
        programme: Programme | None,
        said: Mapping[str, Said],
        alone: tuple[Findings | None, Findings | None],
    ) -> None:
        self._traits = dict(zip(Line, held.traits, strict=True))
        self._alone = dict(zip(Line, alone, strict=True))
        records = self._records = held.records
        self._programme = programme
        self._pairs = crossed(programme, said) if programme is not None else {}
        self._both = joined(programme, said) if programme is not None else frozenset()
        self._codes = {f"p{row.id}": pairing_code(row.number) for row in records.pairings}
        self.crosses = tuple(self._crosses())

    def _crosses(self) -> Iterable[Crossed]:
        for name, (dam, sire) in self._pairs.items():
            if dam is sire or self._programme is None:
                continue
            wild, shown = self._seen(name)
            pairing = self._programme.pairing(name)
            unmated = all(one.mated is Mated.ISOLATED for one in pairing.dams)
            yield Crossed(self._codes[name], dam, unmated, wild, shown)

    def _seen(self, pairing: str) -> tuple[int, int]:
        """Wild-looking and showing young of a pairing."""
        broods = self._programme.broods if self._programme is not None else ()
        mine = [brood for brood in broods if brood.pairing == pairing]
        shown = sum(brood.shown for brood in mine)
        return sum(brood.scored for brood in mine) - shown, shown

    def conditions(self) -> tuple[Condition, ...]:
        """All conditions, those of a line once for each."""
        each = [one for line in Line for one in (self._recessive(line), self._ordinary(line), self._true(line))]
        return (*each, self._age(), self._unmated(), self._reciprocal(), self._enough())

    def _recessive(self, line: Line) -> Condition:
        """By the verdict of its own broods where they have one, else as it is stated."""
        found = self._alone[line]
        if found is not None and found.verdict.word is not Word.OPEN:
            return Condition(Point.RECESSIVE, found.leader.cause is Cause.RECESSIVE, line, verdict=found.leader)
        return Condition(Point.RECESSIVE, self._traits[line].dominance is Dominance.RECESSIVE, line)

    def _ordinary(self, line: Line) -> Condition:
        model = read_model(self._traits[line].model)
        return Condition(Point.ORDINARY, model.where is Where.AUTOSOME and model.shown_in is None, line)

    def _true(self, line: Line) -> Condition:
        own = [name for name, (dam, sire) in self._pairs.items() if dam is sire is line]
        seen = {name: self._seen(name) for name in own}
        odd = tuple(self._codes[name] for name, (wild, _) in seen.items() if wild)
        number = sum(shown for _, shown in seen.values())
        return Condition(Point.TRUE, not odd if number or odd else None, line, odd, number)

    def _age(self) -> Condition:
        looks: dict[int, ScoringRow] = {look.brood_id: look for look in self._records.scorings}
        rows = [row for row in self._records.broods if f"b{row.id}" in self._both]
        unsaid = tuple(brood_code(row) for row in rows if looks[row.id].age_days is None)
        return Condition(Point.AGE, None if unsaid or not rows else True, codes=unsaid)

    def _unmated(self) -> Condition:
        codes = tuple(one.code for one in self.crosses if not one.unmated)
        return Condition(Point.UNMATED, not codes if self.crosses else None, codes=codes)

    def _reciprocal(self) -> Condition:
        dams = {one.dam for one in self.crosses if one.unmated and one.scored}
        return Condition(Point.RECIPROCAL, len(dams) == len(Line))

    def _enough(self) -> Condition:
        """Young of several dams that nobody can tell apart count as one dam's."""
        number = sum(one.unmated and one.scored >= YOUNG for one in self.crosses)
        return Condition(Point.ENOUGH, number >= DAMS, number=number)


def _answer(found: Compared | None, conditions: Sequence[Condition]) -> Answer:
    """Two loci need every condition; one locus needs those that make the test one."""
    failed = {one.point for one in conditions if one.held is False}
    if found is None or failed & {Point.RECESSIVE, Point.ORDINARY, Point.TRUE}:
        return Answer.OPEN
    if found.of(Loci.SAME) >= SURE:
        return Answer.SAME
    # A dam that was not unmated spoils her own young alone: the others are counted without her.
    return Answer.TWO if found.of(Loci.TWO) >= SURE and not failed - {Point.UNMATED} else Answer.OPEN


def _step(crosses: Sequence[Crossed], conditions: Sequence[Condition]) -> tuple[Step, Line] | None:
    failed = {one.point: one for one in conditions if one.held is False}
    if Point.RECESSIVE in failed or Point.ORDINARY in failed:
        return None
    if (odd := failed.get(Point.TRUE)) is not None and odd.line is not None:
        return Step.TRUE, odd.line
    if not crosses:
        return Step.FIRST, Line.FIRST
    unmated = [one.dam for one in crosses if one.unmated]
    if not unmated:
        return Step.UNMATED, crosses[0].dam
    missing = [line for line in Line if line not in unmated]
    if missing:
        return Step.RECIPROCAL, missing[0]
    fewest = min((one for one in crosses if one.unmated), key=lambda one: one.scored)
    return Step.MORE, fewest.dam
