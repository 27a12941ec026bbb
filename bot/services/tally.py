"""Counts as people type them: "40", "1,200", "~80", "40ish", "about 3 dozen"."""

import re
from dataclasses import dataclass
from fractions import Fraction

from bot.records import Exactness
from bot.services.refusals import CountNotRead, CountProblem

MOST = 100_000
"""The largest count taken. A bin of woodlice holds some thousands; a larger number is a slip of the thumb."""

_ABOUT = re.compile(
    r"^(?:(?:about|around|approximately|approx|roughly|nearly|almost|maybe|circa|ca)(?![a-z])\.?|c\.|~|≈)\s*",
    re.IGNORECASE,
)
_ISH = re.compile(r"\s*(?:-?ish|or so|\+/-|±)\s*$", re.IGNORECASE)
_DOZEN = re.compile(r"\s*(dozens?|doz\.?)$", re.IGNORECASE)
_DECIMAL = re.compile(r"(\d{1,3})[.,](\d{1,2})")
_DIGITS = re.compile(r"(\d{1,3}(?:[,'’ \u00a0\u2009\u202f]\d{3})+|\d+)([.,]\d+)?")
_WORDS = {
    "none": 0, "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_BEFORE_DOZEN = {"a": Fraction(1), "half a": Fraction(1, 2), "half": Fraction(1, 2)}


@dataclass(frozen=True, slots=True)
class Tally:
    """A count: how many animals, and whether each was counted or the whole was judged."""

    total: int
    exactness: Exactness


def read_tally(text: str) -> Tally:
    """Read a count as a person typed it.

    >>> read_tally("about 3 dozen")
    Tally(total=36, exactness=<Exactness.ESTIMATE: 'estimate'>)
    >>> read_tally("1,200").total
    1200

    Raises:
        CountNotRead: no whole number from 0 to `MOST` stands there, or something else stands beside it.
    """
    rest = text.strip()
    estimate = False
    for mark in (_ABOUT, _ISH):
        shorter = mark.sub("", rest)
        estimate, rest = estimate or shorter != rest, shorter
    dozens = _DOZEN.search(rest)
    if dozens:
        number, estimate = 12 * _dozens(_DOZEN.sub("", rest), text), True
    else:
        number = Fraction(_number(rest, text))
    if number.denominator > 1:
        raise CountNotRead(text=text, problem=CountProblem.NOT_WHOLE, rest=rest)
    if number > MOST:
        raise CountNotRead(text=text, problem=CountProblem.TOO_MANY, rest=rest, most=MOST)
    return Tally(total=int(number), exactness=Exactness.ESTIMATE if estimate else Exactness.EXACT)


def _dozens(rest: str, text: str) -> Fraction:
    if rest.casefold() in _BEFORE_DOZEN:
        return _BEFORE_DOZEN[rest.casefold()]
    decimal = _DECIMAL.fullmatch(rest)
    return Fraction(f"{decimal[1]}.{decimal[2]}") if decimal else Fraction(_number(rest, text))


def _number(rest: str, text: str) -> int:
    if rest.casefold() in _WORDS:
        return _WORDS[rest.casefold()]
    found = _DIGITS.search(rest)
    if found is None:
        raise CountNotRead(text=text, problem=CountProblem.NO_NUMBER, rest=rest)
    before, after = rest[: found.start()].strip(), rest[found.end() :].strip()
    if before in ("-", "−", "–"):
        raise CountNotRead(text=text, problem=CountProblem.NEGATIVE, rest=rest)
    if before or after:
        raise CountNotRead(text=text, problem=CountProblem.LEFT_OVER, rest=before or after)
    if found[2]:
        raise CountNotRead(text=text, problem=CountProblem.NOT_WHOLE, rest=rest)
    digits = re.sub(r"\D", "", found[1])
    # int() of a text of any length is slow and may be refused by Python; no count has ten digits.
    return int(digits) if len(digits) <= 9 else 10**9
