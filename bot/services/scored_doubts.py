"""Words of a scored brood that can be meant in two ways, each with the texts that say which.

They work on a text in which names of traits are hidden; see `scored_parts`.
"""

import re
from collections.abc import Callable, Sequence
from datetime import date
from typing import Final

from bot.services.scored_parts import LOOK, SIGNS

_TRAIT: Final = rf"[{SIGNS}]"
_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_RANGE: Final = re.compile(rf"(?<![\d.,/])(\d{{1,6}})\s*(?:-|–|to|or)\s*(\d{{1,6}})(?=\s*{LOOK})")
_PERHAPS: Final = re.compile(
    rf"(?<![\d.,])(\d{{1,6}})\s*(?:({_TRAIT})\s*\?|(?:maybe|possibly|perhaps|probably)\s+({_TRAIT}))"
)
_W: Final = re.compile(r"(?<![\d.,])(\d{1,3})\s*w\b")
_FIGURES: Final = re.compile(r"\b(?:on|seen|born)\s+(\d{1,2})[/.](\d{1,2})(?![\d/.])")


def doubts(text: str) -> Sequence[str]:
    """The texts that the first doubtful words may stand for, in the order in which they are likely; none if there are no such
    words. A single one says the same without doubt.
    """
    for rule in _RULES:
        found = rule(text)
        if found:
            return found
    return ()


def _range(text: str) -> Sequence[str]:
    return _each(text, _RANGE, lambda found: (found[1], found[2]))


def _perhaps(text: str) -> Sequence[str]:
    return _each(text, _PERHAPS, lambda found: (f"{found[1]} {found[2] or found[3]}", f"{found[1]} unsure"))


def _weeks(text: str) -> Sequence[str]:
    """ "17w" where the wild ones are not named otherwise: seventeen wild, or weeks."""
    if re.search(r"\b(?:wild|wt|normal)", text) or not re.search(_TRAIT, text):
        return ()
    return _each(text, _W, lambda found: (f"{found[1]} wild", f"{found[1]} weeks"))


def _figures(text: str) -> Sequence[str]:
    """ "on 3/5": the third of May to most of the world, the fifth of March to others."""

    def days(found: re.Match[str]) -> Sequence[str]:
        one, other = int(found[1]), int(found[2])
        pairs = dict.fromkeys([(one, other), (other, one)])
        return [f"seen {day} {_MONTHS[month - 1]}" for day, month in pairs if _is_day(day, month)]

    return _each(text, _FIGURES, days)


def _is_day(day: int, month: int) -> bool:
    try:
        # A leap year, so that every day has one.
        date(2024, month, day)
    except ValueError:
        return False
    return True


def _each(text: str, rule: re.Pattern[str], meant: Callable[[re.Match[str]], Sequence[str]]) -> Sequence[str]:
    found = rule.search(text)
    if found is None:
        return ()
    return [f"{text[: found.start()]} {words} {text[found.end() :]}" for words in meant(found)]


_RULES: Final = (_range, _perhaps, _weeks, _figures)
