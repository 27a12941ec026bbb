"""Times of day and time zones as people type them."""

import difflib
import functools
import re
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

from bot.calendar import instant
from bot.services.refusals import DateNotRead, NoSuchZone, TimeNotRead
from bot.services.written_dates import weekday, written_date

_TIME = re.compile(r"([0-9]{1,2})(?:[:.h]?([0-9]{2})|h)?\s*(?:([ap])\.?m\.?)?", re.IGNORECASE)
FURTHEST_DAYS = 3_653
"""No care is put off for more than ten years: it is a slip of the thumb."""
_NEAR = {"today": 0, "now": 0, "tomorrow": 1}
_AFTER = re.compile(r"(?:in |for )?([0-9]{1,3}) (day|week|month)s?")


def read_time(text: str) -> int:
    """A time of day as minutes since midnight: "18:00", "6pm", "7.30", "18h15", "1815".

    >>> read_time("6pm"), read_time("7:30")
    (1080, 450)

    Raises:
        TimeNotRead: it is no time of day.
    """
    found = _TIME.fullmatch(text.strip())
    if found is None:
        raise TimeNotRead(text=text)
    hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "").casefold()
    if half:
        if not 1 <= hour <= 12:
            raise TimeNotRead(text=text)
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        raise TimeNotRead(text=text)
    return hour * 60 + minute


def read_day(text: str, now: datetime, zone: ZoneInfo) -> datetime:
    """The beginning of a day to come, or of today, in the keeper's zone: "tomorrow", "Friday", "in 2 weeks", "3 Dec",
    "2027-12-03". A month's day without a year is the next one; a weekday is the next one, never today.

    Raises:
        DateNotRead: it is none, or a day that is past, or one more than `FURTHEST_DAYS` ahead.
    """
    folded = " ".join(text.casefold().replace(",", " ").split()).removeprefix("on ").removeprefix("until ")
    today = now.astimezone(zone).date()
    day = _near_day(folded, today) or _named_day(folded, today)
    if day is None:
        raise DateNotRead(text)
    if day < today:
        raise DateNotRead(text, past=True)
    if (day - today).days > FURTHEST_DAYS:
        raise DateNotRead(text, far=True)
    return instant(day, 0, zone)


def _near_day(folded: str, today: date) -> date | None:
    if folded in _NEAR:
        return today + timedelta(days=_NEAR[folded])
    found = _AFTER.fullmatch(folded)
    if found is not None:
        return today + timedelta(days=int(found[1]) * {"day": 1, "week": 7, "month": 30}[found[2]])
    wanted = weekday(folded.removeprefix("next "))
    return None if wanted is None else today + timedelta(days=(wanted - today.weekday() - 1) % 7 + 1)


def _named_day(folded: str, today: date) -> date | None:
    """A calendar date: its month as a word, or all of it in figures with the year first."""
    written = written_date(folded)
    day = written.within(today.year) if written is not None else None
    if written is None or day is None or written.year or day >= today:
        return day
    return written.within(today.year + 1)


@functools.cache
def _zones() -> dict[str, str]:
    """Every zone that is a place, by its folded name. The database does not change while the process runs."""
    places = (
        name for name in available_timezones() if "/" in name and not name.startswith(("Etc/", "posix/", "right/"))
    )
    return {name.casefold(): name for name in (*places, "UTC")}


def zone_named(text: str) -> str:
    """The name of a time zone, in the database's spelling; a city alone is enough.

    Raises:
        NoSuchZone: there is none; it holds the nearest.
    """
    wanted = text.strip().casefold().replace(" ", "_")
    zones = _zones()
    if wanted in zones:
        return zones[wanted]
    cities = [name for folded, name in zones.items() if folded.rpartition("/")[2] == wanted]
    if len(cities) == 1:
        return cities[0]
    close = cities or [zones[z] for z in difflib.get_close_matches(wanted, zones, n=3, cutoff=0.5)]
    raise NoSuchZone(text=text, nearest=tuple(close[:3]))


def zones_matching(text: str) -> tuple[str, ...]:
    """The time zones whose name holds `text`, in order of the alphabet, twenty-five at most."""
    wanted = text.strip().casefold().replace(" ", "_")
    return tuple(sorted(name for folded, name in _zones().items() if wanted in folded)[:25])
