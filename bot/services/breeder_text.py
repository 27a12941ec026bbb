"""Breeders as people type them: "2 from B-3", "1 visual ember unmated from B-4; 2 from B-5", "Rust", "dams of P-2".

The grammar of one side of a pairing:

    side     := group (";" group)*                 a line end parts groups too, and so do "," and "and" before a number
    group    := "dams of" pairing | "sires of" pairing | "find" number history? | name | fresh
    fresh    := number what? history? ("called" name)? ("from" bin)?
    number   := 1 to 1,000, or "a", "one" ... "ten"
    what     := one side of a cross ("visual ember", "66% het ember", "wild")
    history  := "unmated" | "had males" | "unknown history"

A group without a number is asked about, never guessed: "B-3" may be one dam or ten. A name is that of breeders that were
called so before, who keep their identity.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from bot.records import BreederRole, DamHistory
from bot.services.refusals_breeding import BreedersNotRead, BreedersProblem

MOST_BREEDERS = 1_000
"""The largest group of alike breeders that is taken."""

_PARTS = re.compile(
    r"[;\n]+|(?:\s+and\s+|,\s*(?:and\s+)?)(?=(?:\d+(?!\s*%|\d)|an?|one|two|three|four|five|six|seven|eight|nine|ten)\s)",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"(\d{1,7}|an?|one|two|three|four|five|six|seven|eight|nine|ten)\b(?!\s*%)[\s×]*", re.IGNORECASE)
_NUMBERS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
}  # fmt: skip
_FROM = re.compile(r"(?:^|\s+)(?:from|out of)\s+(?P<bin>.+)$", re.IGNORECASE)
_CALLED = re.compile(r"(?:^|\s+)(?:called|named)\s+(?P<name>.+?)\s*$", re.IGNORECASE)
_AGAIN = re.compile(r"(?:the\s+)?(?P<role>dams?|sires?|females?|males?)\s+of\s+(?P<pairing>p-?\s?\d+)", re.IGNORECASE)
_FIND = re.compile(r"(?:(?:1|one|the)\s+)?find\s*#?(?P<number>\d{1,9})", re.IGNORECASE)
_HISTORY: Mapping[DamHistory, re.Pattern[str]] = {
    DamHistory.UNMATED: re.compile(r"\b(?:isolated\s+)?(?:unmated|virgins?)\b", re.IGNORECASE),
    DamHistory.HAD_MALES: re.compile(r"\bhad\s+males\b|\bmated\b", re.IGNORECASE),
    DamHistory.UNKNOWN: re.compile(r"\bunknown\s+history\b|\bhistory\s+unknown\b", re.IGNORECASE),
}
_FEMALE = re.compile(r"\b(?:females?|dams?|sisters?|daughters?)\b", re.IGNORECASE)
_MALE = re.compile(r"(?<!had )\b(?:males?|sires?|brothers?|sons?)\b", re.IGNORECASE)
_FILLER = re.compile(r"\b(?:animals?|adults?|of them)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Fresh:
    """Breeders named for the first time.

    Attributes:
        number: how many, 1 to `MOST_BREEDERS`.
        what: what they are, in the notation of one side of a cross; empty if that was not said.
        bin_text: the bin they come from, as typed; empty if none was named.
        name: what they are called; empty if nothing.
        history: whether dams were unmated, where that was said of this group.
    """

    number: int
    what: str
    bin_text: str
    name: str
    history: DamHistory | None


@dataclass(frozen=True, slots=True)
class Again:
    """All dams or all sires of an earlier pairing."""

    role: BreederRole
    pairing_text: str
    history: DamHistory | None = None


@dataclass(frozen=True, slots=True)
class Called:
    """Breeders by their name."""

    name: str
    history: DamHistory | None = None


@dataclass(frozen=True, slots=True)
class Odd:
    """The animal of a find, by the number of that."""

    number: int
    history: DamHistory | None = None


Group = Fresh | Again | Called | Odd


def read_breeders(text: str, role: BreederRole) -> tuple[Group, ...]:
    """The groups that were typed for one side of a pairing; none for an empty text.

    >>> read_breeders("1 visual ember from B-4", BreederRole.SIRE)
    (Fresh(number=1, what='visual ember', bin_text='B-4', name='', history=None),)

    Raises:
        BreedersNotRead: a group of the wrong sex, or too many, or a number without animals.
    """
    parts = [part.strip(" ,") for part in _PARTS.split(text)]
    return tuple(_group(part, role) for part in parts if part)


def _group(part: str, role: BreederRole) -> Group:
    again = _AGAIN.fullmatch(part)
    if again:
        which = BreederRole.DAM if again["role"].casefold()[0] in "df" else BreederRole.SIRE
        return Again(which, again["pairing"])
    history, rest = _history_of(part)
    if found := _FIND.fullmatch(rest):
        return Odd(int(found["number"]), history)
    number = _NUMBER.match(part)
    if number is None:
        return Called(rest, history)
    rest, bin_text, name = part[number.end() :], "", ""
    if found := _FROM.search(rest):
        rest, bin_text = rest[: found.start()], found["bin"].strip()
    if found := _CALLED.search(rest):
        rest, name = rest[: found.start()], found["name"]
    history, rest = _history_of(rest)
    wrong, right = (_MALE, _FEMALE) if role is BreederRole.DAM else (_FEMALE, _MALE)
    if wrong.search(rest):
        raise BreedersNotRead(role, part, BreedersProblem.WRONG_SEX)
    many = _number(number[1], part, role)
    what = " ".join(_FILLER.sub(" ", right.sub(" ", rest)).split()).strip(" ,")
    return Fresh(many, what, bin_text, name, history)


def _history_of(text: str) -> tuple[DamHistory | None, str]:
    for history, pattern in _HISTORY.items():
        if pattern.search(text):
            return history, " ".join(pattern.sub(" ", text).split()).strip(" ,")
    return None, text.strip(" ,")


def _number(typed: str, part: str, role: BreederRole) -> int:
    many = _NUMBERS.get(typed.casefold()) or int(typed)
    if many < 1:
        raise BreedersNotRead(role, part, BreedersProblem.NO_NUMBER)
    if many > MOST_BREEDERS:
        raise BreedersNotRead(role, part, BreedersProblem.TOO_MANY)
    return many
