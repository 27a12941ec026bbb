"""When a weekly task is due: wall-clock times of a keeper's zone, as instants.

Pure functions. A wall time that the zone skips in spring (a gap) moves to the first time that exists after it; one that
comes twice in autumn (a fold) is the first of the two.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

_WEEK = timedelta(days=7)
_SECOND = timedelta(seconds=1)


def next_weekly(after: datetime, weekday: int, minute_of_day: int, zone: ZoneInfo) -> datetime:
    """The first instant strictly after `after` that is this weekday and minute on the zone's wall clock, in UTC.

    `weekday` is 0 for Monday to 6 for Sunday, `minute_of_day` 0 to 1439.

    >>> next_weekly(datetime(2027, 3, 27, 12, tzinfo=UTC), 6, 150, ZoneInfo("Europe/Berlin")).isoformat()
    '2027-03-28T01:00:00+00:00'

    (Sunday at 2:30 does not exist there on that day: the clocks jump from 2:00 to 3:00.)

    Raises:
        ValueError: `after` is naive, or weekday or minute is outside its range.
    """
    if after.tzinfo is None:
        raise ValueError(f"a time without a zone: {after!r}")
    if not 0 <= weekday <= 6:
        raise ValueError(f"weekday {weekday} is not within 0 to 6")
    if not 0 <= minute_of_day < 24 * 60:
        raise ValueError(f"minute {minute_of_day} is not within a day")
    local = after.astimezone(zone).date()
    # A week early: near a fold at midnight the wall clock of `after` can show a later date than the answer's.
    day = local - timedelta(days=(local.weekday() - weekday) % 7) - _WEEK
    while True:
        due = _instant(day, minute_of_day, zone)
        if due > after:
            return due
        day += _WEEK


def weeklies_within(after: datetime, until: datetime, weekday: int, minute_of_day: int, zone: ZoneInfo) -> int:
    """How many weekly times lie after `after` and not after `until`: what an outage between the two has swallowed.

    Raises:
        ValueError: as `next_weekly`.
    """
    count = 0
    due = next_weekly(after, weekday, minute_of_day, zone)
    while due <= until:
        count += 1
        due = next_weekly(due, weekday, minute_of_day, zone)
    return count


def _instant(day: date, minute_of_day: int, zone: ZoneInfo) -> datetime:
    """The first instant at which the zone's wall clock shows this minute of this day, or a later time."""
    wall = datetime.combine(day, time(minute_of_day // 60, minute_of_day % 60))
    # In a gap fold 0 reads the wall time by the offset before the jump and fold 1 by the one after it: the two readings
    # stand on either side of the jump, the later reading first (PEP 495). Elsewhere fold 0 is the answer.
    late = wall.replace(tzinfo=zone, fold=0).astimezone(UTC)
    early = wall.replace(tzinfo=zone, fold=1).astimezone(UTC)
    if early >= late:
        return late
    while late - early > _SECOND:
        middle = early + (late - early) // _SECOND // 2 * _SECOND
        if middle.astimezone(zone).replace(tzinfo=None) >= wall:
            late = middle
        else:
            early = middle
    return late
