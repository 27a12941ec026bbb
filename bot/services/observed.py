"""Counts of a brood against what its cross lets expect, or against what its parents may be."""

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bot.services.desk import Desk
from bot.services.observed_text import Looks, read_observed
from bot.services.odds import ClassOdds, Odds, odds_from
from bot.services.questions import Question, question_of, reference_of
from bot.services.refusals import ParentsApart, TooCostly
from bot.services.request import Request
from genetics import NeverHappens, OutOfRange, TooLarge, counts_against
from genetics.characters import Scored
from genetics.fit_report import CountsFit


@dataclass(frozen=True, slots=True)
class Seen:
    """Young of one class: how they look, how many were seen, and the share that was expected."""

    looks: Mapping[Scored, str]
    count: int
    share: Fraction


@dataclass(frozen=True, slots=True)
class Observed:
    """A brood beside its cross.

    `fit` compares the counts with the expected shares; it is None where these differ with what a parent turns out to be,
    since one brood is then a draw from one of the cases. There `chance` is the probability, after this brood, that the
    pair can give the target at all, and None if these parents cannot give these young. `estimated`: not all were counted.
    """

    odds: Odds
    seen: tuple[Seen, ...]
    fit: CountsFit | None
    chance: Fraction | None
    estimated: bool = False

    @property
    def total(self) -> int:
        """All young that were seen."""
        return sum(one.count for one in self.seen)

    @property
    def impossible(self) -> tuple[Seen, ...]:
        """What was seen and cannot come of this cross."""
        return tuple(one for one in self.seen if one.count and not one.share)


async def observed_of(desk: Desk, request: Request, cross: str, observed: str) -> Observed:
    """What was seen of a cross, against what was to be expected of it.

    Raises:
        ObservedNotRead, CountNotRead, ParentsApart, and as `odds_of`: there is no answer.
    """
    question = await question_of(desk, request, cross)
    odds = odds_from(question, await reference_of(desk, request, cross))
    scored = read_observed(observed, odds.traits, [_key(one.looks, odds.traits) for one in odds.classes])
    # Some tests take over a second (three traits, thousands of young). The book is closed by now, and in a thread they
    # keep nobody else waiting.
    return await asyncio.to_thread(compared, question, odds, scored.counts, scored.estimated)


def compared(question: Question, odds: Odds, counts: Mapping[Looks, int], estimated: bool = False) -> Observed:
    """Counts, by how young look, beside a cross that was understood.

    Raises:
        TooCostly: there are more classes, or cases of the parents, than can be compared.
    """
    seen = _beside(odds.classes, counts, odds.traits)
    target = odds.target
    try:
        if target is None or not _differs(question, odds):
            fit = counts_against([one.count for one in seen], [one.share for one in seen])
            return Observed(odds, seen, fit, None, estimated)
        if question.dam.number > 1:
            raise ParentsApart
        return Observed(odds, seen, None, _chance_after(question, target, counts), estimated)
    except (TooLarge, OutOfRange) as error:
        raise TooCostly(error) from error


def _differs(question: Question, odds: Odds) -> bool:
    """Whether what to expect depends on what an uncertain parent turns out to be."""
    return odds.uncertain and any(len(question.young.chances(one.looks)) > 1 for one in odds.classes)


def _chance_after(question: Question, target: ClassOdds, counts: Mapping[Looks, int]) -> Fraction | None:
    young: dict[tuple[str | None, ...], int] = {looks: number for looks, number in counts.items()}  # noqa: C416
    try:
        return question.young.given(young).ceiling(target.looks)
    except NeverHappens:
        return None


def _key(looks: Mapping[Scored, str], traits: Sequence[Scored]) -> Looks:
    return tuple(looks[trait] for trait in traits)


def _beside(classes: Sequence[ClassOdds], counts: Mapping[Looks, int], traits: Sequence[Scored]) -> tuple[Seen, ...]:
    """The counts in the order of the classes, then those that the cross cannot give."""
    left = dict(counts)
    seen = [Seen(c.looks, left.pop(_key(c.looks, traits), 0), c.share) for c in classes]
    seen += [Seen(dict(zip(traits, looks, strict=True)), n, Fraction(0)) for looks, n in left.items() if n]
    return tuple(seen)
