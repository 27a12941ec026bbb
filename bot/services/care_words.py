"""What keepers type about care: what to do, for which bins, on which days.

Days are read by this grammar; case, "and", commas and "on", "the" do not matter:
    days    = "daily" | "every day" | "weekdays" | "weekends" | steps | weekday+ | monthday+
    steps   = "every" ("other" | number)? ("day" | "week" | "month") "s"? | "weekly" | "fortnightly" | "monthly"
    weekday = the name of a day or its beginning, two letters at least, with or without "s"
    monthday = a number from 1 to 31 with "st", "nd", "rd" or "th" | "last"
A month of a step is thirty days: steps count days from when the thing was last done.
"""

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass

from bot.calendar import MOST_DAYS, Cadence, Rhythm
from bot.records import CareKind
from bot.services.refusals import DaysNotRead, WordNotKnown
from bot.services.texts import checked

KINDS: Mapping[str, CareKind] = {
    "moisture": CareKind.MOISTURE,
    "leaf litter": CareKind.LITTER,
    "recount": CareKind.RECOUNT,
    "protein": CareKind.PROTEIN,
    "calcium": CareKind.CALCIUM,
    "substrate refresh": CareKind.SUBSTRATE,
    "mites and gnats": CareKind.PESTS,
}
"""What a task can ask for, by the words keepers type. Anything else is in their own words."""
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
"""The days of the week, Monday first."""
EVERYTHING = "all my bins"
"""What stands for all that a keeper keeps, where a bin can be named."""
SHELF = "shelf "
"""What stands before the name of a shelf, where a bin can be named."""

_ALL = frozenset({"all", "all bins", "all my bins", "everything", "every bin"})
_STEP = re.compile(r"every\s+(?:(?P<other>other)\s+|(?P<number>\d{1,3})\s+)?(?P<unit>day|week|fortnight|month)s?")
_UNITS = {"day": 1, "week": 7, "fortnight": 14, "month": 30}
_FIXED = {
    "daily": (Rhythm.WEEK, tuple(range(7))),
    "every day": (Rhythm.WEEK, tuple(range(7))),
    "weekdays": (Rhythm.WEEK, tuple(range(5))),
    "weekends": (Rhythm.WEEK, (5, 6)),
    "weekly": (Rhythm.STEP, (7,)),
    "fortnightly": (Rhythm.STEP, (14,)),
    "monthly": (Rhythm.STEP, (30,)),
}
_MONTH_DAY = re.compile(r"(\d{1,2})(?:st|nd|rd|th)")
_FILLERS = re.compile(r"\b(?:and|on|the|of|month|each|every|days?)\b|[,&+/;]")
_ALIKE = 0.8


@dataclass(frozen=True, slots=True)
class Target:
    """What a task is for, as typed: all bins, the bins on a shelf of this name, or the bin of this text."""

    all: bool = False
    shelf: str = ""
    bin: str = ""


def read_target(text: str) -> Target:
    """What a task is for: "all my bins", "shelf by the window", or a bin."""
    folded = " ".join(text.casefold().split())
    if folded in _ALL:
        return Target(all=True)
    if folded.startswith(SHELF):
        return Target(shelf=" ".join(text.split())[len(SHELF) :])
    return Target(bin=text)


def read_kind(text: str) -> tuple[CareKind, str | None]:
    """What a task asks for: a known kind, of which the beginning is enough, or OTHER with the keeper's own words.

    >>> read_kind("litter"), read_kind("top up the springtails")
    ((<CareKind.LITTER: 'litter'>, None), (<CareKind.OTHER: 'other'>, 'top up the springtails'))

    Raises:
        WordNotKnown: nothing was typed, or something so near to a known kind that it may be a slip.
        TextTooLong: over a hundred characters.
    """
    wanted = " ".join(text.casefold().split())
    for word, kind in KINDS.items():
        if wanted and (word.startswith(wanted) or wanted in word.split()):
            return kind, None
    slip = difflib.get_close_matches(wanted, KINDS, n=1, cutoff=_ALIKE)
    if not wanted or slip:
        raise WordNotKnown(what="care task", text=text, known=tuple(slip) or (*KINDS, "your own words"))
    return CareKind.OTHER, checked("task", " ".join(text.split()))


def read_days(text: str, minute: int) -> Cadence:
    """On which days a task is due, at this minute of the local day.

    >>> read_days("Mon and Thu", 0).days, read_days("every 3 days", 0).days, read_days("1st and 15th", 0).days
    ((0, 3), (3,), (1, 15))

    Raises:
        DaysNotRead: it is none of the grammar's.
    """
    folded = " ".join(text.casefold().split())
    if folded in _FIXED:
        return Cadence(*_FIXED[folded], minute)
    step = _STEP.fullmatch(folded)
    if step is not None:
        days = (2 if step["other"] else int(step["number"] or 1)) * _UNITS[step["unit"]]
        if not 1 <= days <= MOST_DAYS:
            raise DaysNotRead(text)
        return Cadence(Rhythm.STEP, (days,), minute)
    words = _FILLERS.sub(" ", folded).split()
    month = [_month_day(word) for word in words]
    week = [_weekday(word) for word in words]
    for rhythm, found in ((Rhythm.MONTH, month), (Rhythm.WEEK, week)):
        if words and None not in found:
            return Cadence(rhythm, tuple(sorted({day for day in found if day is not None})), minute)
    raise DaysNotRead(text)


def _month_day(word: str) -> int | None:
    if word == "last":
        return 31
    found = _MONTH_DAY.fullmatch(word)
    day = int(found[1]) if found else 0
    return day if 1 <= day <= 31 else None


def _weekday(word: str) -> int | None:
    word = word.removesuffix(".")
    for number, name in enumerate(WEEKDAYS):
        folded = name.casefold()
        if len(word) >= 2 and (folded.startswith(word) or word in (f"{folded}s", f"{folded[:3]}s", f"{folded[:4]}s")):
            return number
    return None
