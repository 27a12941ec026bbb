"""Dates and weekdays as people write them, whether they mean a day that was or one to come."""

import re
from dataclasses import dataclass
from datetime import date

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
_SHORTEST = 3
_YEAR = r",?(?:\s+(?P<year>[0-9]{4}))?"
_ISO = re.compile(r"(?P<year>[0-9]{4})-(?P<month>[0-9]{1,2})-(?P<day>[0-9]{1,2})")
_DAY_MONTH = re.compile(r"(?P<day>[0-9]{1,2})(?:st|nd|rd|th)?\.?\s*(?P<month>[a-z]{3,9})\.?" + _YEAR)
_MONTH_DAY = re.compile(r"(?P<month>[a-z]{3,9})\.?\s+(?P<day>[0-9]{1,2})(?:st|nd|rd|th)?" + _YEAR)


@dataclass(frozen=True, slots=True)
class Written:
    """A day of a month; `year` is None where none was written."""

    day: int
    month: int
    year: int | None

    def within(self, year: int) -> date | None:
        """The day in its own year, or in this one where it has none; None if there is no such day."""
        try:
            return date(self.year or year, self.month, self.day)
        except ValueError:
            return None


def written_date(folded: str) -> Written | None:
    """A date in small letters: "3 may", "may 3rd, 2026", "2026-05-03"; None if it is none.

    A date in figures alone has the year first, for "3/5" is March to one half of the world and May to the other.

    >>> written_date("3rd may 2026")
    Written(day=3, month=5, year=2026)
    """
    if iso := _ISO.fullmatch(folded):
        return Written(int(iso["day"]), int(iso["month"]), int(iso["year"]))
    found = _DAY_MONTH.fullmatch(folded) or _MONTH_DAY.fullmatch(folded)
    month = _place(_MONTHS, found["month"]) if found is not None else None
    if found is None or month is None:
        return None
    return Written(int(found["day"]), month + 1, int(found["year"]) if found["year"] else None)


def weekday(folded: str) -> int | None:
    """A day of the week in small letters, or at least three of its letters, from 0 for Monday; None if it is none.

    >>> weekday("thur")
    3
    """
    return _place(_WEEKDAYS, folded)


def _place(names: tuple[str, ...], start: str) -> int | None:
    if len(start) < _SHORTEST:
        return None
    return next((place for place, name in enumerate(names) if name.startswith(start)), None)
