"""Times of day and time zones as people type them."""

import difflib
import functools
import re
from zoneinfo import available_timezones

from bot.services.refusals import NoSuchZone, TimeNotRead

_TIME = re.compile(r"([0-9]{1,2})(?:[:.h]?([0-9]{2})|h)?\s*(?:([ap])\.?m\.?)?", re.IGNORECASE)


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
