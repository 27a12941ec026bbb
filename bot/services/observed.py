"""Counts of a brood against what its cross lets expect, or against what its parents may be."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product

from bot.services.backgrounds import Beside
from bot.services.blind_errors import ScoringError, scoring_error_of
from bot.services.desk import Desk
from bot.services.judging import Judged, Task, judge
from bot.services.observed_text import Looks, Tallied, read_observed
from bot.services.odds import Odds, odds_from
from bot.services.questions import PLAIN, Question, question_of, reference_of
from bot.services.refusals import TooCostly
from bot.services.refusals_crosses import ParentsApart
from bot.services.request import Request
from bot.services.shares import read_share
from genetics import NeverHappens, Offspring, OutOfRange, TooLarge, Trait
from genetics.characters import Scored, as_character
from genetics.fit import Broods
from genetics.fit_counts import check_counts, misreading
from genetics.fit_report import CountsFit

ENOUGH_PAIRS = 10
"""Pairs of readings from which on a measured scoring error is reckoned with by itself (judgement)."""


@dataclass(frozen=True, slots=True)
class Seen:
    """Young of one class: how they look, how many were seen, and the share that was expected."""

    looks: Mapping[Scored, str]
    count: int
    share: Fraction


@dataclass(frozen=True, slots=True)
class Observed:
    """One brood or several beside their cross.

    `fit` compares all counts with the expected shares; it is None where these differ with what a parent turns out to be,
    since one brood is then a draw from one of the cases. There `chance` is the probability, after these young, that the
    pair can give the target at all, and None if these parents cannot give these young. `estimated`: not all were counted.
    `each` has the counts of every brood, in the order of `seen`; `broods` compares several with each other. `error` is the
    share that is taken to be misread: the shares in `seen` are then of what is seen, and so are the expectations. It is
    `measured` where nobody typed one, and keepers have scored photos of the trait blind.
    `sperm` is the probability, after these young, that some have the males for fathers that the dam was with before; None
    where no such are reckoned with, or their share is stated.
    """

    odds: Odds
    seen: tuple[Seen, ...]
    fit: CountsFit | None
    chance: Fraction | None
    estimated: bool = False
    each: tuple[tuple[int, ...], ...] = ()
    broods: Broods | None = None
    error: Fraction = Fraction(0)
    sperm: Fraction | None = None
    measured: ScoringError | None = None

    @property
    def total(self) -> int:
        """All young that were seen."""
        return sum(one.count for one in self.seen)

    @property
    def impossible(self) -> tuple[Seen, ...]:
        """What was seen and cannot come of this cross."""
        return tuple(one for one in self.seen if one.count and not one.share)


async def observed_of(
    desk: Desk, request: Request, cross: str, observed: str, error: str = "", beside: Beside = PLAIN
) -> Observed:
    """What was seen of a cross, against what was to be expected of it. `error`: the share that may be misread, as typed;
    left empty, what keepers measured who scored photos of the trait blind, if they did.

    Raises:
        ObservedNotRead, CountNotRead, ShareNotRead, ParentsApart, and as `odds_of`: there is no answer.
    """
    typed = read_share("scoring error", error) if error.strip() else None
    question = await question_of(desk, request, cross, beside)
    odds = odds_from(question, await reference_of(desk, request, cross, beside))
    measured = await _measured(desk, request, odds) if typed is None else None
    misread = typed if typed is not None else measured.share if measured is not None else Fraction(0)
    scored = read_observed(observed, odds.traits, [_key(one.looks, odds.traits) for one in odds.classes])
    task = task_of(question, odds, scored, misread)
    try:
        if task is not None:
            # Refused before a worker is asked to.
            check_counts(task.together)
        # The book is closed by now. Many classes take seconds, and would keep everybody else waiting here.
        judged = None if task is None else judge(task) if task.light else await desk.workers.run(judge, task)
    except (TooLarge, OutOfRange) as refused:
        raise TooCostly(refused) from refused
    return replace(observed_from(question, odds, scored, misread, judged), measured=measured)


async def _measured(desk: Desk, request: Request, odds: Odds) -> ScoringError | None:
    """How often the one trait of a cross is misread, if keepers have measured it on photos enough."""
    if len(odds.traits) != 1 or not isinstance(odds.traits[0], Trait):
        return None
    name = odds.traits[0].name
    async with desk.records.read(request.server, request.actor) as book:
        row = next((row for row in await book.traits() if row.name == name), None)
        error = await scoring_error_of(book, row.id) if row is not None else None
    return error if error is not None and error.pairs >= ENOUGH_PAIRS else None


def compared(question: Question, odds: Odds, scored: Tallied, error: Fraction = Fraction(0)) -> Observed:
    """Counts, by how young look, beside a cross that was understood, worked out here and now.

    Raises:
        TooCostly: there are more classes, or cases of the parents, than can be compared.
    """
    task = task_of(question, odds, scored, error)
    try:
        return observed_from(question, odds, scored, error, None if task is None else judge(task))
    except (TooLarge, OutOfRange) as refused:
        raise TooCostly(refused) from refused


def task_of(question: Question, odds: Odds, scored: Tallied, error: Fraction) -> Task | None:
    """What is to be judged; None where what to expect depends on what an uncertain parent turns out to be.

    Raises:
        ParentsApart: it depends on it, and there are several dams.
    """
    if _differs(question, odds):
        if question.dam.number > 1:
            raise ParentsApart
        return None
    seen = _beside(question, odds, scored.counts, error)
    broods = tuple(tuple(brood.get(_key(one.looks, odds.traits), 0) for one in seen) for brood in scored.broods)
    read_as = misreading([len(as_character(one).labels) for one in odds.traits], error) if error else None
    return Task(broods, tuple(one.share for one in seen), read_as)


def observed_from(question: Question, odds: Odds, scored: Tallied, error: Fraction, judged: Judged | None) -> Observed:
    """What is to be said of the counts, once they were judged.

    Raises:
        TooCostly: there are more cases of the parents than can be compared.
    """
    seen = _beside(question, odds, scored.counts, error)
    each = tuple(tuple(brood.get(_key(one.looks, odds.traits), 0) for one in seen) for brood in scored.broods)
    if judged is None and odds.target is not None:
        try:
            after = _after(question, scored.counts, error)
            chance = None if after is None else after.ceiling(odds.target.looks)
            sperm = None if after is None or not _sperm_unknown(question) else _from_store(after)
        except (TooLarge, OutOfRange) as refused:
            raise TooCostly(refused) from refused
        return Observed(odds, seen, None, chance, scored.estimated, each, error=error, sperm=sperm)
    if judged is None:
        return Observed(odds, seen, None, None, scored.estimated, each, error=error)
    shares = judged.fit.tally.shares
    read = tuple(Seen(one.looks, one.count, Fraction(share)) for one, share in zip(seen, shares, strict=True))
    return Observed(odds, read, judged.fit, None, scored.estimated, each, judged.broods, error)


def _differs(question: Question, odds: Odds) -> bool:
    """Whether what to expect depends on what an uncertain parent turns out to be."""
    return (
        odds.target is not None
        and odds.uncertain
        and any(len(question.young.chances(one.looks)) > 1 for one in odds.classes)
    )


def _after(question: Question, counts: Mapping[Looks, int], error: Fraction) -> Offspring | None:
    """The cross once these young are known; None if these parents cannot give them."""
    young: dict[tuple[str | None, ...], int] = {looks: number for looks, number in counts.items()}  # noqa: C416
    try:
        return question.young.given(young, error=error)
    except NeverHappens:
        return None


def _sperm_unknown(question: Question) -> bool:
    return question.dam.store is not None and question.dam.store.share is None


def _from_store(young: Offspring) -> Fraction:
    """The probability of the cases in which males before, told last, have a share."""
    return sum((part.share for part in young.parts if part.others[-1][0]), Fraction(0))


def _key(looks: Mapping[Scored, str], traits: Sequence[Scored]) -> Looks:
    return tuple(looks[trait] for trait in traits)


def _beside(question: Question, odds: Odds, counts: Mapping[Looks, int], error: Fraction) -> tuple[Seen, ...]:
    """The counts in the order of the classes, then those that the cross cannot give; with an error all that can be read."""
    left, traits = dict(counts), odds.traits
    if error:
        shares = {_key(one.looks, traits): one.share for one in odds.classes}
        labels = [as_character(one).labels for one in question.scored]
        every = [(looks, shares.get(looks, Fraction(0))) for looks in product(*labels)]
        return tuple(Seen(dict(zip(traits, looks, strict=True)), left.get(looks, 0), share) for looks, share in every)
    seen = [Seen(c.looks, left.pop(_key(c.looks, traits), 0), c.share) for c in odds.classes]
    seen += [Seen(dict(zip(traits, looks, strict=True)), n, Fraction(0)) for looks, n in left.items() if n]
    return tuple(seen)
