"""When care is due: wall-clock times of a keeper's zone, as instants.

Pure functions. A wall time that the zone skips in spring (a gap) moves to the first time that exists after it; one that
comes twice in autumn (a fold) is the first of the two.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from itertools import count
from zoneinfo import ZoneInfo

DAY_MINUTES = 24 * 60
MOST_DAYS = 366
"""The longest step of an "every n days" task."""
_DAY = timedelta(days=1)
_SECOND = timedelta(seconds=1)
_WEEK_DAYS, _MONTH_DAYS = 7, 31


class Rhythm(StrEnum):
    """How a task comes round."""

    WEEK = "week"
    """On days of the week."""
    MONTH = "month"
    """On days of the month; one that a month lacks is its last day."""
    STEP = "step"
    """Every so many days, counted from the day it was last done."""
    ONCE = "once"
    """A single time."""


@dataclass(frozen=True, slots=True)
class Cadence:
    """On which days, and at which minute of the local day, a task is due.

    `days` are weekdays (0 for Monday to 6), days of the month (1 to 31), the one number of days of a step (1 to 366), or
    none for a single time; in ascending order. `minute` is 0 to 1439.

    Raises:
        ValueError: a day or the minute is out of its range, or there are too few or too many days.
    """

    rhythm: Rhythm
    days: tuple[int, ...]
    minute: int

    def __post_init__(self) -> None:
        least, most = {
            Rhythm.WEEK: (0, _WEEK_DAYS - 1),
            Rhythm.MONTH: (1, _MONTH_DAYS),
            Rhythm.STEP: (1, MOST_DAYS),
            Rhythm.ONCE: (0, -1),
        }[self.rhythm]
        if not all(least <= day <= most for day in self.days):
            raise ValueError(f"days {self.days} of a {self.rhythm} are not within {least} to {most}")
        wanted = {Rhythm.STEP: (1, 1), Rhythm.ONCE: (0, 0)}.get(self.rhythm, (1, most - least + 1))
        if not wanted[0] <= len(self.days) <= wanted[1] or tuple(sorted(set(self.days))) != self.days:
            raise ValueError(f"days {self.days} of a {self.rhythm} are not in order, or too few or too many")
        if not 0 <= self.minute < DAY_MINUTES:
            raise ValueError(f"minute {self.minute} is not within a day")

    @property
    def number(self) -> int:
        """The days as one number: a bit for each weekday or day of the month, or the step itself."""
        return self.days[0] if self.rhythm is Rhythm.STEP else sum(1 << day for day in self.days)

    @classmethod
    def of(cls, rhythm: Rhythm, number: int, minute: int) -> "Cadence":
        """The cadence whose days are this number; the inverse of `number`.

        >>> Cadence.of(Rhythm.WEEK, 0b1001, 480).days
        (0, 3)
        """
        days = (number,) if rhythm is Rhythm.STEP else tuple(d for d in range(number.bit_length()) if number >> d & 1)
        return cls(rhythm, days, minute)


def weekly(weekday: int, minute: int) -> Cadence:
    """The cadence of one day of the week, 0 for Monday."""
    return Cadence(Rhythm.WEEK, (weekday,), minute)


def first_due(after: datetime, cadence: Cadence, zone: ZoneInfo) -> datetime | None:
    """When a task that was never done is first due: for a step, the next time its minute comes round. In UTC.

    None for a single time, which has its own date.

    >>> first_due(datetime(2027, 3, 27, 12, tzinfo=UTC), weekly(6, 150), ZoneInfo("Europe/Berlin")).isoformat()
    '2027-03-28T01:00:00+00:00'

    (Sunday at 2:30 does not exist there on that day: the clocks jump from 2:00 to 3:00.)

    Raises:
        ValueError: `after` is naive.
    """
    if cadence.rhythm is Rhythm.STEP:
        return next_due(after, Cadence(Rhythm.STEP, (1,), cadence.minute), zone, after - 2 * _DAY)
    return next_due(after, cadence, zone, after)


def next_due(after: datetime, cadence: Cadence, zone: ZoneInfo, since: datetime) -> datetime | None:
    """The first instant strictly after `after` at which a task is due, in UTC; None for a single time.

    `since` is when it was last done, or asked and let pass: a step counts from its local day, and nothing else does.

    Raises:
        ValueError: a time is naive.
    """
    if after.tzinfo is None or since.tzinfo is None:
        raise ValueError(f"a time without a zone: {after!r} or {since!r}")
    return next((due for due in _dues(after, cadence, zone, since) if due > after), None)


def missed_within(after: datetime, until: datetime, cadence: Cadence, zone: ZoneInfo, most: int = 99) -> int:
    """How many due times lie after `after` and not after `until`, counted up to `most`; a step counts from `after`.

    Raises:
        ValueError: as `next_due`.
    """
    number, due = 0, next_due(after, cadence, zone, after)
    while due is not None and due <= until and number < most:
        number += 1
        due = next_due(due, cadence, zone, after)
    return number


def moved(due: datetime, minute: int, old: ZoneInfo, new: ZoneInfo) -> datetime:
    """A waiting due time after its keeper moved: the same day at the same minute, by the wall clock of the new zone.

    >>> moved(datetime(2027, 1, 4, 18, tzinfo=UTC), 1080, ZoneInfo("UTC"), ZoneInfo("Asia/Tokyo")).isoformat()
    '2027-01-04T09:00:00+00:00'
    """
    return instant(due.astimezone(old).date(), minute, new)


def quiet_until(now: datetime, start: int, end: int, zone: ZoneInfo) -> datetime | None:
    """The end of the quiet hours that `now` is in, in UTC; None outside of them.

    They run from minute `start` to minute `end` of the local day, over midnight if `end` is the earlier. `start` equal to
    `end` means none.

    >>> quiet_until(datetime(2027, 1, 4, 23, tzinfo=UTC), 22 * 60, 7 * 60, ZoneInfo("UTC")).isoformat()
    '2027-01-05T07:00:00+00:00'
    """
    if start == end:
        return None
    today = now.astimezone(zone).date()
    for day in (today - _DAY, today, today + _DAY):
        begins = instant(day, start, zone)
        ends = instant(day if start < end else day + _DAY, end, zone)
        if begins <= now < ends:
            return ends
    return None


def day_end(now: datetime, zone: ZoneInfo) -> datetime:
    """The end of the local day that `now` is in, in UTC."""
    return instant(now.astimezone(zone).date() + _DAY, 0, zone)


def _dues(after: datetime, cadence: Cadence, zone: ZoneInfo, since: datetime) -> Iterator[datetime]:
    """Due times in ascending order, the first ones at or before `after` among them."""
    # Two days early: near a fold at midnight the wall clock of `after` can show a later date than the answer's.
    start = after.astimezone(zone).date() - 2 * _DAY
    if cadence.rhythm is Rhythm.ONCE:
        return
    if cadence.rhythm is Rhythm.STEP:
        step = cadence.days[0]
        anchor = since.astimezone(zone).date()
        first = max(1, (start - anchor).days // step)
        for times in count(first):
            yield instant(anchor + times * step * _DAY, cadence.minute, zone)
    for offset in count():
        day = start + offset * _DAY
        if _falls_on(day, cadence):
            yield instant(day, cadence.minute, zone)


def _falls_on(day: date, cadence: Cadence) -> bool:
    if cadence.rhythm is Rhythm.WEEK:
        return day.weekday() in cadence.days
    is_last = (day + _DAY).day == 1
    return day.day in cadence.days or (is_last and cadence.days[-1] > day.day)


def instant(day: date, minute: int, zone: ZoneInfo) -> datetime:
    """The first instant at which the zone's wall clock shows this minute of this day, or a later time; in UTC."""
    wall = datetime.combine(day, time(minute // 60, minute % 60))
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
