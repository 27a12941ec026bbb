"""How many young of a cross to raise, and what a brood of some size will bring."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bot.services.desk import Desk
from bot.services.odds import Odds, odds_from
from bot.services.questions import Question, asked_by, question_of
from bot.services.request import Request
from genetics import HowMany, OutOfRange, Sex, TooLarge, Wished, born_for, see_each
from genetics.characters import Scored
from genetics.survival import Born

CONFIDENCES = (Fraction(90, 100), Fraction(95, 100), Fraction(99, 100))
SIZES = (10, 20, 40)
"""Young scored, for which the chance of at least one, two and five is told."""
WANTED = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Raising:
    """How many young to see for at least `k` of the target class, for each confidence, with the most there can be.

    `born` is how many must be born to see one of it, for each confidence, where broods live or die together; empty if no
    young shows it, or if a number is too large to work out. `chances`: of so many young, P(at least each of `WANTED`), through the
    cases that the parents may be. `each_sex`: how many to see for one of each sex with 95 %, None if that is never so sure
    or the sexes do not both show it; `males` is the share of males that was reckoned with, None if it is half for want of
    anything better.
    """

    odds: Odds
    rows: tuple[tuple[int, tuple[HowMany, ...]], ...]
    born: tuple[Born, ...] = ()
    chances: tuple[tuple[int, tuple[Fraction, ...]], ...] = ()
    each_sex: int | None = None
    males: Fraction | None = None


async def raising_of(desk: Desk, request: Request, reference: str) -> Raising:
    """How many young of the cross to raise and see, for one, two or five of the class that shows most.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    return raising_from(await question_of(desk, request, *await asked_by(desk, request, reference)), reference)


def raising_from(question: Question, reference: str) -> Raising:
    """How many young to raise and see, of a question that was understood."""
    odds = odds_from(question, reference)
    if odds.target is None:
        return Raising(odds, ())
    wanted = odds.target.looks
    rows = tuple((k, tuple(question.how_many(k, c, wanted) for c in CONFIDENCES)) for k in WANTED)
    chances = tuple((n, tuple(question.at_least(k, n, wanted) for k in WANTED)) for n in SIZES)
    each, males = _each_sex(question, wanted)
    return Raising(odds, rows, _born(question, wanted), chances, each, males)


def _born(question: Question, wanted: Mapping[Scored, str]) -> tuple[Born, ...]:
    wished = [Wished(chance, (share,)) for chance, share in question.chances(wanted)]
    try:
        return tuple(born_for(wished, confidence=confidence) for confidence in CONFIDENCES)
    except (TooLarge, OutOfRange):
        return ()


def _each_sex(question: Question, wanted: Mapping[Scored, str]) -> tuple[int | None, Fraction | None]:
    """How many to see for one of each sex, and the share of males, where only chance decides who shows it."""
    young = question.young
    males: Fraction | None = None
    if len(young.sexes) > 1:
        shares = [young.share(wanted, sex) for sex in (Sex.FEMALE, Sex.MALE)]
        males = young.share_of(Sex.MALE)
        if males in (0, 1) or shares[1] != sum(shares) * males:
            return None, males
    elif young.sexes[0] is not None:
        return None, None
    return _see_each(question.chances(wanted), Fraction(1, 2) if males is None else males), males


def _see_each(chances: Sequence[tuple[Fraction, Fraction]], males: Fraction) -> int | None:
    wished = [Wished(chance, (share * males, share * (1 - males))) for chance, share in chances]
    try:
        return see_each(wished, Fraction(95, 100))
    except (TooLarge, OutOfRange):
        return None
