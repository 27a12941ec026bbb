"""Figures of a possible het: how they are read and how they are written."""

import re
from fractions import Fraction
from typing import NamedTuple

from genetics import words
from genetics.errors import Problem
from genetics.mending import Fault
from genetics.words import Token

_NUMBER = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9}")
_WHOLE = re.compile(r"[0-9]{1,18}")
_TWO_THIRDS = re.compile(r"6[67]|66\.6+|66\.6*7")
_THIRD = re.compile(r"33|33\.3+")


class Figure(NamedTuple):
    """A figure as read: its value, the index of the token after it, and how it was typed if it was taken as thirds."""

    value: Fraction
    after: int
    rounded: str | None


def read_figure(text: str, tokens: list[Token], index: int, high: int) -> Figure | None:
    """The figure that stands at a token, or None; above 0 and at most 1. Raises Fault.

    >>> read_figure("66% het", words.tokens("66% het"), 0, 3)
    Figure(value=Fraction(2, 3), after=2, rounded='66%')
    """
    token = tokens[index]
    mark = tokens[index + 1].word if index + 1 < high else ""
    rounded = None
    if mark == "%":
        after = index + 2
        value, thirds = _percent(token, tokens[index + 1].end)
        rounded = f"{token.raw}%" if thirds else None
    elif mark == "," and _decimal_comma(tokens[index : min(index + 4, high)]):
        rewrite = f"{text[: token.end]}.{text[token.end + 1 :]}"
        raise Fault(Problem.FIGURE_UNREADABLE, token.start, tokens[index + 3].end, rewrites=(rewrite,))
    elif mark == "/" and token.raw[0] in "0123456789":
        after = min(index + 3, high)
        value = _ratio(tokens[index:after])
    elif (mark in words.HET or mark in words.POSSIBLE) and _NUMBER.fullmatch(token.raw):
        after = index + 1
        if "." not in token.raw:
            rewrite = f"{text[: token.end]}%{text[token.end :]}"
            raise Fault(Problem.FIGURE_UNREADABLE, token.start, token.end, rewrites=(rewrite,))
        value = Fraction(token.raw)
    else:
        return None
    if not 0 < value.numerator <= value.denominator:
        raise Fault(Problem.FIGURE_RANGE, token.start, tokens[after - 1].end)
    return Figure(value, after, rounded)


def _decimal_comma(typed: list[Token]) -> bool:
    """Whether four words are "66", ",", "7", "%" without a space."""
    if len(typed) < 4 or typed[3].word != "%" or typed[2].start != typed[0].end + 1:
        return False
    return bool(_WHOLE.fullmatch(typed[0].raw) and _WHOLE.fullmatch(typed[2].raw))


def _percent(token: Token, end: int) -> tuple[Fraction, bool]:
    """The value of "66" in "66%", and whether it was taken as thirds."""
    if not _NUMBER.fullmatch(token.raw):
        raise Fault(Problem.FIGURE_UNREADABLE, token.start, end)
    if _TWO_THIRDS.fullmatch(token.raw):
        return Fraction(2, 3), True
    if _THIRD.fullmatch(token.raw):
        return Fraction(1, 3), True
    return Fraction(token.raw) / 100, False


def _ratio(typed: list[Token]) -> Fraction:
    upper, lower = typed[0].raw, typed[-1].raw
    if len(typed) < 3 or not (_WHOLE.fullmatch(upper) and _WHOLE.fullmatch(lower) and int(lower)):
        raise Fault(Problem.FIGURE_UNREADABLE, typed[0].start, typed[-1].end)
    return Fraction(int(upper), int(lower))


def write_figure(chance: Fraction) -> str:
    """The shortest figure that reads back as this chance.

    >>> [write_figure(Fraction(*pair)) for pair in ((2, 3), (1, 3), (1, 2), (1, 8), (33, 50), (1, 7))]
    ['66%', '33%', '50%', '12.5%', '33/50', '1/7']
    """
    if chance == Fraction(2, 3):
        return "66%"
    if chance == Fraction(1, 3):
        return "33%"
    thousandths = chance * 1000
    if thousandths.denominator == 1:
        whole, tenth = divmod(thousandths.numerator, 10)
        digits = f"{whole}.{tenth}" if tenth else str(whole)
        if not (_TWO_THIRDS.fullmatch(digits) or _THIRD.fullmatch(digits)):
            return f"{digits}%"
    return f"{chance.numerator}/{chance.denominator}"
