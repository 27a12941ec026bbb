"""An odd animal as people describe it: "female, adult, 9 mm, pouch filled, moulted yesterday, 1 of 40, no sheen".

Phrases in any order, parted by whatever parts words. What is known is taken out, phrase by phrase; the rest stays as it was
typed and is said to be unread. A figure is never left unread: it would be missed that a length or a count was meant.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from types import MappingProxyType
from typing import Final, TypeVar
from zoneinfo import ZoneInfo

from bot.records import Sex, Stage
from bot.services.days import read_day
from bot.services.lengths import read_length
from bot.services.refusals_finds import AnimalContradicts, AnimalNotRead, SheenMeant

T = TypeVar("T")

_NO: Final = r"(?:no|not|without(?:\s+an?)?|isn'?t|never)\s+(?:a\s+|an\s+|any\s+|at all\s+)?"
_SHEEN: Final = (
    r"(?:iridescent\s+|metallic\s+|blue(?:[\s-]+violet)?\s+|violet\s+|purple\s+|blu(?:e|ish)\s+)*(?:sheen|shimmer)"
    r"|iridescent(?:\s+(?:blue|violet|purple)(?:[\s-]+violet)?)?"
)
_SLOW: Final = r"slow(?:er|ish)?|limp|sluggish|lethargic"
_SEXES: Final[Mapping[str, Sex]] = MappingProxyType(
    {
        r"unsexed|(?:sex|gender)\s+(?:unknown|unsure|not\s+known)|unknown\s+sex|can(?:'t|not)\s+(?:be\s+)?sexe?d?|not\s+sexed": Sex.UNKNOWN,
        r"females?|♀|dam": Sex.FEMALE,
        r"males?|♂|sire": Sex.MALE,
    }
)
_POUCHES: Final[Mapping[str, bool]] = MappingProxyType(
    {
        rf"{_NO}(?:filled\s+|full\s+)?pouch|pouch\s+(?:is\s+)?empty|empty\s+pouch|{_NO}(?:gravid|eggs|brood(?:ing)?)": False,
        r"pouch\s+(?:is\s+)?(?:filled|full)|(?:filled|full)\s+pouch|gravid|brooding|(?:with|has|carries|carrying)\s+(?:a\s+)?(?:eggs|brood|young)": True,
    }
)
_STAGES: Final[Mapping[str, Stage]] = MappingProxyType(
    {
        r"mancas?e?|newborn|baby|hatchling": Stage.MANCA,
        r"not\s+(?:yet\s+)?(?:adult|(?:full[\s-]+)?grown|mature)|sub-?adult|half[\s-]+grown|juvenile|immature|young": Stage.JUVENILE,
        r"adult|full[\s-]+grown|grown|mature": Stage.ADULT,
    }
)
_SHEENS: Final[Mapping[str, bool]] = MappingProxyType({rf"{_NO}(?:{_SHEEN})": False, _SHEEN: True})
_SLOWS: Final[Mapping[str, bool]] = MappingProxyType(
    {
        rf"{_NO}(?:{_SLOW})(?:\s+or\s+(?:{_SLOW}))?|lively|active|brisk": False,
        rf"(?:{_SLOW})(?:\s+and\s+(?:{_SLOW}))?": True,
    }
)
_LENGTH: Final = re.compile(
    r"(?<![\w.,/])(?:about\s+|around\s+|~\s*|ca\.?\s*)?(?:\d{1,3}(?:[.,]\d{1,3})?|\d{1,2}/\d{1,2})\s*"
    r"(?:millimet(?:re|er)s?|centimet(?:re|er)s?|mm|cm|inch(?:es)?|in|[\"″])(?![\w])(?:\s+long)?",
    re.IGNORECASE,
)
_WORDS: Final = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
}
_OF: Final = re.compile(
    rf"(?<![\w.,])(?P<such>\d{{1,5}}|{'|'.join(_WORDS)})\s*(?:of\s+them\s+)?(?:of|in|out\s+of)\s+(?:about\s+|around\s+|~\s*|some\s+)?"
    r"(?P<all>\d{1,6}(?:,\d{3})*)(?![\w.])(?!\s*(?:mm|cm|in)\b)(?:\s+(?:seen|looked\s+at|animals?))?",
    re.IGNORECASE,
)
_ALONE: Final = re.compile(r"\b(?:the\s+)?only\s+(?:one|1)\b", re.IGNORECASE)
_MOULTING: Final = re.compile(
    r"\b(?:half[\s-]*(?:white|moul?ted|molted)|(?:just|freshly|fresh)\s+mou?lt(?:ed)?|mou?lting)\b", re.IGNORECASE
)
_UNMOULTED: Final = re.compile(
    r"(?:\b(?:has|have|is|was)\s*)?(?:\b(?:not|never)|n['’]?t)\s+(?:yet\s+)?(?:mou?lted|mou?lting)\b(?:\s+yet)?",
    re.IGNORECASE,
)
_NEGATED: Final = re.compile(r"(?:\b(?:no|not|never|without)|n['’]?t)\s+(?:an?\s+|yet\s+|any\s+)?$", re.IGNORECASE)
_MOULT: Final = re.compile(r"\b(?:last\s+)?mou?lt(?:ed)?\b\s*(?:was\s+|on\s+|:\s*)?(?P<day>[^,;\n]*)", re.IGNORECASE)
_COLOURED: Final = re.compile(r"\b(?:blu(?:e|ish)|violet|purple|lilac|shiny|shimmering|metallic)\b", re.IGNORECASE)
_FIGURE: Final = re.compile(r"\S*\d\S*")
_FILLER: Final = frozenset(
    ("a", "an", "and", "is", "it", "its", "of", "the", "with", "was", "very", "size", "long", "so", "far")
)


@dataclass(frozen=True, slots=True)
class Animal:
    """An odd animal as it was described; None is what was not said.

    Attributes:
        sex: UNKNOWN if it was said that it cannot be read.
        pouch_filled: whether she carries eggs or young.
        moulted_at: the day of the last moult; today's time if it is moulting.
        such, looked_at: how many such animals of how many that were looked at.
        sheen, slow: a blue-violet sheen; slow or limp.
        unread: the words that were not understood, as typed.
    """

    sex: Sex | None = None
    stage: Stage | None = None
    pouch_filled: bool | None = None
    length_mm: Fraction | None = None
    moulted_at: datetime | None = None
    such: int | None = None
    looked_at: int | None = None
    sheen: bool | None = None
    slow: bool | None = None
    unread: str = ""


def read_animal(
    text: str,
    now: datetime,
    zone: ZoneInfo,
    *,
    sheen: bool | None = None,
    slow: bool | None = None,
    asked: bool = False,
) -> Animal:
    """The animal that `text` describes; `sheen` and `slow` are what was answered apart from it.

    `asked`: whether it has a sheen was asked, and None means that nobody is sure.

    Raises:
        AnimalNotRead, AnimalContradicts, SheenMeant, LengthNotRead, DayNotRead, DayAhead: it was not understood, or cannot be.
    """
    rest = _Rest(text)
    # "2 in 17" begins like two inches.
    of = rest.take(_OF)
    length = rest.take(_LENGTH)
    alone = rest.take(_ALONE)
    shines = rest.one(_SHEENS, sheen, "a sheen", "no sheen")
    is_slow = rest.one(_SLOWS, slow, "slow or limp", "lively")
    moulted = _moulted(rest, now, zone)
    pouch = rest.one(_POUCHES, None, "a filled pouch", "no filled pouch")
    stage = rest.one(_STAGES, None)
    sex = rest.one(_SEXES, None)
    if shines is None and not asked and (found := _COLOURED.search(rest.text)):
        raise SheenMeant(found[0])
    if figure := _FIGURE.search(rest.text):
        raise AnimalNotRead(text=text, part=figure[0].strip(".,;:"))
    such, looked_at = _counted(of) if of else (1 if alone else None, None)
    return _possible(
        Animal(
            sex=sex,
            stage=stage,
            pouch_filled=pouch,
            length_mm=read_length(length[0].removesuffix("long").strip()) if length else None,
            moulted_at=moulted,
            such=such,
            looked_at=looked_at,
            sheen=shines,
            slow=is_slow,
            unread=rest.unread,
        )
    )


class _Rest:
    """What is left of a text while phrases are taken out of it; where one was, a comma stands."""

    def __init__(self, text: str) -> None:
        self.text = text

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """The first place where a pattern fits, once it is taken out."""
        found = pattern.search(self.text)
        if found is not None:
            self.text = f"{self.text[: found.start()]} , {self.text[found.end() :]}"
        return found

    def one(self, phrases: Mapping[str, T], answered: T | None, *said: str) -> T | None:
        """What phrases mean, and what was answered apart from them: one thing at most.

        Raises:
            AnimalContradicts: they mean several.
            AnimalNotRead: one of them is denied, which leaves open what is the case.
        """
        meant: dict[T, str] = {}
        for pattern, meaning in phrases.items():
            while found := self.take(re.compile(rf"(?<!\w)(?:{pattern})(?!\w)", re.IGNORECASE)):
                denied = _NEGATED.search(found.string[: found.start()])
                if denied is not None:
                    part = f"{denied[0]}{found[0]}"
                    raise AnimalNotRead(text=part, part=part)
                meant.setdefault(meaning, found[0])
        if answered is not None:
            meant.setdefault(answered, (said[0] if answered else said[1]) if said else str(answered))
        if len(meant) > 1:
            first, second, *_ = meant.values()
            raise AnimalContradicts(first, second)
        return next(iter(meant), None)

    @property
    def unread(self) -> str:
        """The words that are left, without those that only join others."""
        pieces = (" ".join(piece.split()).strip(" .:") for piece in re.split(r"[,;\n]", self.text))
        return ", ".join(piece for piece in pieces if set(piece.casefold().split()) - _FILLER)


def _moulted(rest: _Rest, now: datetime, zone: ZoneInfo) -> datetime | None:
    if rest.take(_UNMOULTED):
        return None
    if rest.take(_MOULTING):
        return now
    found = rest.take(_MOULT)
    if found is None:
        return None
    day = found["day"].strip(" .")
    if not day or day.casefold() in ("unknown", "not known", "not seen"):
        return None
    return read_day(day, now, zone)


def _counted(found: re.Match[str]) -> tuple[int, int]:
    such = _WORDS.get(found["such"].casefold()) or int(found["such"])
    every = int(found["all"].replace(",", ""))
    if not 1 <= such <= every:
        raise AnimalNotRead(text=found[0], part=" ".join(found[0].split()))
    return such, every


def _possible(animal: Animal) -> Animal:
    """The animal, a female if she carries a brood."""
    if not animal.pouch_filled:
        return animal
    if animal.sex is Sex.MALE:
        raise AnimalContradicts("male", "a filled pouch")
    if animal.stage is Stage.MANCA:
        raise AnimalContradicts("a manca", "a filled pouch")
    return Animal(
        sex=Sex.FEMALE,
        stage=Stage.ADULT if animal.stage is None else animal.stage,
        **{name: getattr(animal, name) for name in Animal.__slots__ if name not in ("sex", "stage")},
    )
