"""A scored brood as people type it: "6 ember 17 wild, 9 weeks, 3 unsure".

The grammar: parts stand between commas, semicolons or line ends, in any order.

    scored   := part ("," part)*
    part     := looks sex? | number "unsure" | number "dead" | number "born" | number "unscored" | age | length
    looks    := the counts of looks as `observed_text` reads them: "6 ember 17 wild", "ember 6"
    sex      := "males" | "females", for every look of the part
    age      := "9 weeks", "60 days old"
    length   := "6 mm", "0.5 cm"

Each kind of part but looks stands once. A trait's bare name counts as its full look; of a trait that shows in part with one
dose, one dose is "het" and two are "super", and the bare name is asked about.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import Final

from bot.records import Sex
from bot.services.days import read_age
from bot.services.lengths import read_length
from bot.services.observed_text import read_observed
from bot.services.refusals import LengthNotRead, ObservedNotRead
from bot.services.refusals_breeding import LookHasDoses, ScoresNotRead
from bot.services.refusals_days import DayNotRead
from bot.services.tally import read_tally
from genetics import Appearance, Dominance, Trait

_PARTS = re.compile(r"[,;\n]+")
_NUMBER = r"(?P<number>(?:about\s+|around\s+|~\s*)?\d[\d,.’' ]*|none|no|one|two|three|four|five|six|seven|eight|nine|ten|a\s+dozen)"
_ASIDE: Final = {
    "unsure": re.compile(rf"{_NUMBER}\s*(?:not sure|unsure|doubtful|unclear|maybe)", re.IGNORECASE),
    "dead": re.compile(rf"{_NUMBER}\s*(?:dead|died|lost)", re.IGNORECASE),
    "born": re.compile(rf"(?:{_NUMBER}\s*(?:born|hatched|in all|in total)|of\s+(?P<of>\d+))", re.IGNORECASE),
    "unscored": re.compile(rf"{_NUMBER}\s*(?:unscored|not scored|too young|too small|not looked at)", re.IGNORECASE),
}
_SEXES: Final = {
    Sex.FEMALE: re.compile(r"\b(?:females?|daughters?)\b|(?<=\d)\s*f\b|♀", re.IGNORECASE),
    Sex.MALE: re.compile(r"\b(?:males?|sons?)\b|(?<=\d)\s*m\b|♂", re.IGNORECASE),
}
_AGE = re.compile(
    r"(?:at\s+)?(?P<age>(?:about\s+|~)?\S+\s*(?:days?|d|weeks?|wks?|w|months?|mo)(?:\s+old)?)", re.IGNORECASE
)
_LENGTH = re.compile(r"(?:at\s+|about\s+)?(?P<length>[\d.]+\s*(?:mm|cm|in|inch|inches))(?:\s+long)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Look:
    """So many young of one sex that show these traits, each in part or in full; none of them: wild-looking."""

    number: int
    sex: Sex
    shown: tuple[tuple[Trait, Appearance], ...]


@dataclass(frozen=True, slots=True)
class Scored:
    """A scored brood as typed. A number that was not said is None; `unsure` and `unscored` are 0 then."""

    looks: tuple[Look, ...]
    unsure: int = 0
    unscored: int = 0
    dead: int | None = None
    born: int | None = None
    age_days: int | None = None
    length_mm: Fraction | None = None
    estimated: bool = False

    @property
    def total(self) -> int:
        """Young whose look was told."""
        return sum(look.number for look in self.looks)


def read_scored(text: str, traits: Sequence[Trait]) -> Scored:
    """Read a scored brood.

    Raises:
        ScoresNotRead: a part is no number with a look, no age and nothing else of the grammar, or stands twice.
        LookHasDoses: a trait with one dose and two was named without saying which.
        CountNotRead: a number is too large, or no whole number.
    """
    named = _mentioned(text, traits)
    asides: dict[str, int] = {}
    age: int | None = None
    length: Fraction | None = None
    by_sex: dict[Sex, list[str]] = {}
    for part in filter(None, (piece.strip() for piece in _PARTS.split(text))):
        aside = next(((key, found) for key, rule in _ASIDE.items() if (found := rule.fullmatch(part))), None)
        if aside is not None:
            key, found = aside
            _once(key not in asides, part, text, traits)
            asides[key] = _many(found)
        elif (found := _AGE.fullmatch(part)) and (days := _age(found["age"])) is not None:
            _once(age is None, part, text, traits)
            age = days
        elif found := _LENGTH.fullmatch(part):
            _once(length is None, part, text, traits)
            length = _length(found["length"], part, text, traits)
        else:
            sex, looks = _sexed(part)
            by_sex.setdefault(sex, []).append(looks)
    told, estimated = _looks(by_sex, named, text, traits)
    return Scored(
        looks=told,
        unsure=asides.get("unsure", 0),
        unscored=asides.get("unscored", 0),
        dead=asides.get("dead"),
        born=asides.get("born"),
        age_days=age,
        length_mm=length,
        estimated=estimated,
    )


def _looks(
    by_sex: dict[Sex, list[str]], named: Sequence[Trait], text: str, traits: Sequence[Trait]
) -> tuple[tuple[Look, ...], bool]:
    looks: list[Look] = []
    estimated = False
    every = [tuple(map(str, looked)) for looked in product(*(_possible(trait) for trait in named))]
    for sex, parts in by_sex.items():
        try:
            tallied = read_observed(", ".join(parts), named, every)
        except ObservedNotRead as error:
            if error.doses:
                raise LookHasDoses(text=text, name=error.rest) from error
            raise ScoresNotRead(text=text, rest=error.rest, known=tuple(t.name for t in traits)) from error
        estimated = estimated or tallied.estimated
        for looked, number in tallied.counts.items():
            shown = tuple(
                (trait, Appearance(look)) for trait, look in zip(named, looked, strict=True) if look != Appearance.WILD
            )
            looks.append(Look(number, sex, shown))
    return tuple(looks), estimated


def _possible(trait: Trait) -> tuple[Appearance, ...]:
    return tuple(Appearance) if trait.dominance is Dominance.INCOMPLETE else (Appearance.WILD, Appearance.FULL)


def _mentioned(text: str, traits: Sequence[Trait]) -> list[Trait]:
    """The traits whose names stand in the text, so that a brood is read against what it is about alone."""
    folded = text.casefold()
    return [trait for trait in traits if re.search(rf"(?<!\w){re.escape(trait.name.casefold())}", folded)]


def _sexed(part: str) -> tuple[Sex, str]:
    found = [sex for sex, rule in _SEXES.items() if rule.search(part)]
    if len(found) != 1:
        return Sex.UNKNOWN, part
    return found[0], " ".join(_SEXES[found[0]].sub(" ", part).split())


def _many(found: re.Match[str]) -> int:
    typed = found.groupdict().get("of") or found["number"]
    return 0 if typed.casefold() == "no" else read_tally(typed).total


def _age(text: str) -> int | None:
    try:
        return read_age(text)
    except DayNotRead:
        return None


def _length(typed: str, part: str, text: str, traits: Sequence[Trait]) -> Fraction:
    try:
        return read_length(typed)
    except LengthNotRead as error:
        raise ScoresNotRead(text=text, rest=part, known=tuple(t.name for t in traits)) from error


def _once(first: bool, part: str, text: str, traits: Sequence[Trait]) -> None:
    if not first:
        raise ScoresNotRead(text=text, rest=part, known=tuple(t.name for t in traits))
