"""How a look at a brood moved the verdicts on the traits that it bears on."""

import asyncio
import logging
from dataclasses import dataclass

from bot.records import EventRow, ScoringRow, TraitRow
from bot.services.broods import BroodView
from bot.services.desk import Desk
from bot.services.evidence import Evidence, Weighable, evidence_on, weighable
from bot.services.priors import SET as PRIORS_SET
from bot.services.programme import Omitted
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict, TooLong
from bot.services.request import Request
from bot.services.verdicts import Noted, Stood, note_verdict
from bot.workers import AllBusy, WorkerLost
from genetics import Appearance
from genetics.evidence.findings import Word

_log = logging.getLogger(__name__)

PATIENCE = 30.0
"""Seconds after which a brood is answered without its verdict."""
MOST_TRAITS = 2
_RATHER = 0.5
_OF_BROODS = frozenset({"brood.logged", "brood.scored"})
_LATE = (TooLong, WorkerLost, AllBusy, TimeoutError)


@dataclass(frozen=True, slots=True)
class Hidden:
    """A parent that does not show it: what people call it, and P(carries) under the likeliest explanation and over all."""

    label: str
    if_so: float
    overall: float


@dataclass(frozen=True, slots=True)
class Move:
    """What a brood did to the verdict on a trait.

    Attributes:
        before: None if no brood bore on the trait before, or if what stood before could not be weighed (then not `first`).
        now: None if the brood is not weighed, for the reason `omitted` if it is known.
        late: it was not worked out in time.
        carrier: the parent of the brood that most surely carries it unseen, if one rather does than not.
    """

    trait: TraitRow
    before: Stood | None = None
    now: Stood | None = None
    omitted: Omitted | None = None
    late: bool = False
    first: bool = False
    carrier: Hidden | None = None


async def moves_of(desk: Desk, request: Request, view: BroodView) -> tuple[Move, ...]:
    """How the latest look at a brood moved the verdicts on its traits, at most `MOST_TRAITS`; the history notes them.

    It never fails for want of a verdict: the brood stands in the book already.
    """
    latest = view.latest
    wanted = asked_about(view)
    if latest is None or not wanted:
        return ()
    try:
        async with asyncio.timeout(PATIENCE):
            found = await weighable(desk, request, lambda rows: [r for r in rows if r.id in wanted])
            moves = [await _move(desk, found, trait, latest, view.code) for trait in found.traits]
            for trait in found.traits:
                await note_verdict(desk, request, trait.id)
    except _LATE as error:
        _log.warning("the verdict that a brood moves was not worked out: %r", error)
        return tuple(Move(trait, late=True) for trait in view.traits if trait.id in wanted)
    return tuple(moves)


def asked_about(view: BroodView) -> tuple[int, ...]:
    """The traits that a brood is about: what its pairing asks first, then what its young show."""
    asked = view.pairing.trait_id if view.pairing is not None else None
    shown = [one.trait_id for look in view.scorings for score in look.scores for one in score.shown]
    return tuple(dict.fromkeys(([asked] if asked is not None else []) + shown))[:MOST_TRAITS]


async def moves_of_undo(desk: Desk, request: Request, undone: EventRow) -> tuple[tuple[TraitRow, Noted], ...]:
    """The verdicts after a brood, a look at one or priors were taken back, as everybody may know them."""
    if undone.kind == PRIORS_SET:
        wanted = frozenset({undone.subject.id})
    elif undone.kind in _OF_BROODS:
        wanted = await _traits_of(desk, request, undone)
    else:
        return ()
    try:
        async with asyncio.timeout(PATIENCE):
            found = await weighable(desk, request, lambda rows: [row for row in rows if row.id in wanted], for_all=True)
            return tuple([(trait, await note_verdict(desk, request, trait.id)) for trait in found.traits])
    except _LATE as error:
        _log.warning("the verdicts after an undo were not worked out: %r", error)
        return ()


async def renoted(desk: Desk, request: Request, trait: int) -> Noted | None:
    """The verdict on a trait after something that it is weighed with was changed; None if it was not worked out in time."""
    try:
        async with asyncio.timeout(PATIENCE):
            return await note_verdict(desk, request, trait)
    except _LATE as error:
        _log.warning("the verdict with other priors was not worked out: %r", error)
        return None


async def _traits_of(desk: Desk, request: Request, event: EventRow) -> frozenset[int]:
    """The traits that the brood of an event is about, by what the event made."""
    rows = event.after["rows"]
    traits = {row["trait_id"] for row in rows if row["table"] == "score_traits"}
    pairings = {row["pairing_id"] for row in rows if row["table"] == "broods"}
    async with desk.records.read(request.server, request.actor) as book:
        for row in rows:
            brood = await book.brood(row["brood_id"]) if row["table"] == "scorings" else None
            pairings |= {brood.pairing_id} if brood is not None else set()
        for pairing_id in pairings - {None}:
            pairing = await book.pairing(pairing_id)
            traits |= {pairing.trait_id} if pairing is not None else set()
    return frozenset(traits - {None})


async def _move(desk: Desk, found: Weighable, trait: TraitRow, latest: ScoringRow, code: str) -> Move:
    before, first = None, False
    try:
        before = Stood.of(await evidence_on(desk, found.before(latest.id), trait))
    except NothingToWeigh:
        first = True
    except RecordsContradict:
        _log.info("what stood before a look at a brood could not be weighed")
    try:
        evidence = await evidence_on(desk, found, trait)
    except NothingToWeigh as refusal:
        return Move(trait, before, omitted=dict(refusal.omitted).get(code))
    except RecordsContradict:
        return Move(trait, before)
    omitted = dict(evidence.omitted).get(code)
    if omitted is not None:
        return Move(trait, before, omitted=omitted)
    return Move(trait, before, Stood.of(evidence), first=first, carrier=_hidden(evidence, latest.brood_id))


def _hidden(evidence: Evidence, brood_id: int) -> Hidden | None:
    """The parent of a brood that most surely carries it unseen; none while nothing more is said than *open*."""
    programme = evidence.programme
    if evidence.findings.verdict.word is Word.OPEN or not evidence.findings.leader.cause.inherited:
        return None
    pairing = programme.pairing(programme.brood(f"b{brood_id}").pairing)
    parents = {*pairing.sires, *(dam.group for dam in pairing.dams)}
    found = [
        Hidden(evidence.labels[one.group], min(1.0, one.carries), one.overall)
        for one in evidence.findings.standings
        if one.group in parents and one.carries >= _RATHER and one.group in evidence.labels
        if programme.group(one.group).look is Appearance.WILD
    ]
    return max(found, key=lambda one: one.overall, default=None)
