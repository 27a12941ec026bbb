"""What a person has done so far and what there is to ask about, so that help begins with what they have not done."""

from dataclasses import dataclass
from enum import StrEnum

from bot.records import BinRow, Book, Dominance, TraitRow
from bot.services.access import Right, may
from bot.services.desk import Desk
from bot.services.refusals import WordNotKnown
from bot.services.request import Request
from bot.services.trait_models import read_model


class Subject(StrEnum):
    """What help can be about."""

    START = "start"
    ODDS = "odds"
    BINS = "bins"
    COUNTS = "counts"
    TRAITS = "traits"
    EXPLANATIONS = "explanations"
    CARE = "care"
    PAIRS = "pairs"
    LINES = "lines"
    KEEPERS = "keepers"
    RECORDS = "records"
    SPECIES = "species"
    SAFETY = "safety"


class Step(StrEnum):
    """The first things a person does, in order."""

    ZONE = "zone"
    BIN = "bin"
    COUNT = "count"
    TRAIT = "trait"
    CARE = "care"


@dataclass(frozen=True, slots=True)
class Guide:
    """Help on a subject: which first steps are done, and what examples can speak of.

    `mine` is the code of a bin that the person tends, `any_bin` of one that they can read, `trait` the name of a recessive
    trait; None where there is none.
    """

    subject: Subject
    done: frozenset[Step]
    mine: str | None
    any_bin: str | None
    counted: str | None
    trait: str | None


async def guide_to(desk: Desk, request: Request, subject: str = "") -> Guide:
    """Help on a subject, or on how to start.

    Raises:
        WordNotKnown: help knows no such subject.
    """
    wanted = subject.strip().casefold() or Subject.START.value
    if wanted not in set(Subject):
        raise WordNotKnown(what="subject", text=subject, known=tuple(Subject))
    async with desk.records.read(request.server, request.actor) as book:
        bins = await book.bins()
        traits = await book.traits()
        counts = {count.bin_id for count in await book.latest_counts()}
        keeper = await book.keeper(request.actor)
        server = await book.server_row()
        tended = [row for row in bins if may(request, row, Right.TEND)]
        own = [row for row in tended if row.keeper_id == request.actor] or tended
        done = {Step.TRAIT} if traits else set()
        if (keeper and keeper.zone) or (server and server.zone):
            done.add(Step.ZONE)
        if own:
            done.add(Step.BIN)
        if any(row.id in counts for row in own):
            done.add(Step.COUNT)
        if await _has_care(book, own, request.actor):
            done.add(Step.CARE)
    return Guide(
        subject=Subject(wanted),
        done=frozenset(done),
        mine=own[0].code if own else None,
        any_bin=bins[0].code if bins else None,
        counted=next((row.code for row in bins if row.id in counts), None),
        trait=next((trait.name for trait in traits if _is_recessive(trait)), None),
    )


def _is_recessive(trait: TraitRow) -> bool:
    return trait.dominance is Dominance.RECESSIVE and not read_model(trait.model).open


async def _has_care(book: Book, bins: list[BinRow], actor: int) -> bool:
    for row in bins:
        if any(task.keeper_id == actor for task in await book.tasks(row.id)):
            return True
    return False
