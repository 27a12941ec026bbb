"""How the verdict on a trait moved, brood by brood, in the order in which they were scored."""

import asyncio
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from bot.records import ScoringRow, TraitRow
from bot.services.desk import Desk
from bot.services.evidence import Evidence, evidence_on, weighable
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict, TooLong
from bot.services.request import Request
from bot.services.traits import row_named
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word

MOST_POINTS = 12
PATIENCE = 60.0
"""Seconds for all points together."""


@dataclass(frozen=True, slots=True)
class Point:
    """The verdict once a look at a brood stood in the book: `brood` is its code, `look` the look's id, `shares` the
    explanations, likeliest first.
    """

    brood: str
    look: int
    at: datetime
    word: Word
    shares: tuple[tuple[Cause, float], ...]

    def share(self, cause: Cause) -> float:
        """The posterior of an explanation; 0 if it was not weighed."""
        return dict(self.shares).get(cause, 0.0)


@dataclass(frozen=True, slots=True)
class Course:
    """The verdict after one look and the next.

    `looks` is how many there were, of which at most `MOST_POINTS` are points; `late`: there was no time for the last ones.
    """

    trait: TraitRow
    points: tuple[Point, ...]
    looks: int
    late: bool = False


async def course_of(
    desk: Desk, request: Request, text: str, tell: Callable[[int, int], None] = lambda *_: None
) -> Course:
    """Weigh what was on record after each look at a brood, with what is known of the parents today.

    Of more than `MOST_POINTS` looks the last is taken and others at even distances. `tell` is told which point of how many
    is being weighed. A look after which the records could not be weighed is passed over.

    Raises:
        NoSuchTrait, NothingToWeigh, RecordsContradict, TooLong, WorkerLost, AllBusy: as `evidence_of`.
    """
    found = await weighable(desk, request, lambda rows: (row_named(text, rows),))
    trait = found.traits[0]
    # Weighed first, so that what stands in the way of the last point is said and not passed over.
    whole = await evidence_on(desk, found, trait)
    weighed = {int(brood.name[1:]) for brood in whole.programme.broods if brood.scored}
    looks = [look for look in found.records.scorings if look.brood_id in weighed]
    chosen = chosen_looks(looks)
    points: list[Point] = []
    with suppress(TimeoutError, TooLong):
        async with asyncio.timeout(PATIENCE):
            for number, look in enumerate(chosen, start=1):
                tell(number, len(chosen))
                with suppress(NothingToWeigh, RecordsContradict):
                    evidence = await evidence_on(desk, found.where(_until(look)), trait)
                    points.append(_point(whole.codes[f"b{look.brood_id}"], look, evidence))
    return Course(
        trait, tuple(points), len(looks), late=len(chosen) > 0 and (not points or points[-1].look != chosen[-1].id)
    )


def _until(last: ScoringRow) -> Callable[[ScoringRow], bool]:
    return lambda look: (look.at, look.id) <= (last.at, last.id)


def _point(code: str, look: ScoringRow, evidence: Evidence) -> Point:
    findings = evidence.findings
    shares = tuple((share.cause, share.posterior) for share in findings.shares)
    return Point(code, look.id, look.at, findings.verdict.word, shares)


def chosen_looks(looks: list[ScoringRow]) -> list[ScoringRow]:
    """At most `MOST_POINTS` of the looks, in their order: every k-th, counted back from the last."""
    step = -(-len(looks) // MOST_POINTS)
    return looks[::-1][:: step or 1][::-1]
