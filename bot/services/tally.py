"""Counts as people type them: "40", "1,200", "~80", "40ish", "about 3 dozen"."""

import re
from dataclasses import dataclass

from bot.records import Exactness
from bot.services.refusals import CountNotRead, CountProblem

MOST = 100_000
"""The largest count taken. A bin of woodlice holds some thousands; a larger number is a slip of the thumb."""

_ABOUT = re.compile(r"^(?:about|around|approximately|approx\.?|roughly|nearly|circa|ca?\.|~|≈)\s*", re.IGNORECASE)
_ISH = re.compile(r"\s*(?:-?ish|or so|\+/-|±)\s*$", re.IGNORECASE)
_DOZEN = re.compile(r"\s*(dozens?|doz\.?)$", re.IGNORECASE)
_DIGITS = re.compile(r"(\d{1,3}(?:[,'’ \u00a0\u202f]\d{3})+|\d+)([.,]\d+)?")
_WORDS = {
    "none": 0, "zero": 0, "no": 0, "a": 1, "an": 1, "one": 1, "half a": 0.5, "two": 2, "three": 3, "four": 4, "five": 5,
    "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip


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
    rest = _DOZEN.sub("", rest)
    number = _number(rest, text)
    if dozens:
        number, estimate = number * 12, True
    if number != int(number):
        raise CountNotRead(text=text, problem=CountProblem.NOT_WHOLE, rest=rest)
    if number > MOST:
        raise CountNotRead(text=text, problem=CountProblem.TOO_MANY, rest=rest, most=MOST)
    return Tally(total=int(number), exactness=Exactness.ESTIMATE if estimate else Exactness.EXACT)


def _number(rest: str, text: str) -> float:
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
    # int() of a text of any length is slow and may be refused by Python; no count has seven digits.
    return int(digits) if len(digits) <= 9 else 10.0**9
