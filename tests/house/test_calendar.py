"""Due times against the zone database, by a slow reading of the wall clock minute by minute."""

import calendar
import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.calendar import Cadence, Rhythm, first_due, missed_within, moved, next_due, quiet_until, weekly

MINUTE = timedelta(minutes=1)
ZONES = st.sampled_from(sorted(available_timezones())).map(ZoneInfo)
CHANGEFUL = (
    "Europe/Berlin",
    "America/St_Johns",
    "Australia/Lord_Howe",
    "Pacific/Apia",
    "Asia/Beirut",
    "America/Havana",
)
MINUTES = st.integers(0, 24 * 60 - 1)
SINCES = st.timedeltas(timedelta(), timedelta(days=40))
START = datetime(1975, 1, 1, tzinfo=UTC)


def _days(least: int, most: int, number: int) -> st.SearchStrategy[tuple[int, ...]]:
    return st.sets(st.integers(least, most), min_size=1, max_size=number).map(lambda days: tuple(sorted(days)))


CADENCES = st.one_of(
    st.builds(Cadence, st.just(Rhythm.WEEK), _days(0, 6, 7), MINUTES),
    st.builds(Cadence, st.just(Rhythm.MONTH), _days(1, 31, 5), MINUTES),
    st.builds(Cadence, st.just(Rhythm.STEP), _days(1, 40, 1), MINUTES),
)
AFTERS = st.timedeltas(timedelta(), timedelta(days=85 * 365)).map(lambda since: START + since)


def slowly(after: datetime, cadence: Cadence, zone: ZoneInfo, since: datetime) -> datetime:
    """The same answer by walking: for each day it may fall on, the first minute whose wall clock has reached the time."""
    day = after.astimezone(zone).date() - timedelta(days=8)
    while True:
        if falls_on(day, cadence, since.astimezone(zone).date()):
            wall = datetime.combine(day, time()) + cadence.minute * MINUTE
            instant = wall.replace(tzinfo=UTC) - timedelta(hours=16)
            while instant.astimezone(zone).replace(tzinfo=None) < wall:
                instant += MINUTE
            if instant > after:
                return instant
        day += timedelta(days=1)


def falls_on(day: date, cadence: Cadence, since: date) -> bool:
    if cadence.rhythm is Rhythm.WEEK:
        return day.weekday() in cadence.days
    if cadence.rhythm is Rhythm.STEP:
        return day > since and (day - since).days % cadence.days[0] == 0
    length = calendar.monthrange(day.year, day.month)[1]
    return any(min(wanted, length) == day.day for wanted in cadence.days)


def moments(zone: ZoneInfo) -> list[datetime]:
    """Hours around which the zone's offset changes, 1975 to 2030, found by looking every few days."""
    found = []
    step = timedelta(days=5)
    instant = START
    while instant < datetime(2030, 1, 1, tzinfo=UTC):
        low, high = instant, instant + step
        if low.astimezone(zone).utcoffset() != high.astimezone(zone).utcoffset():
            while high - low > timedelta(hours=1):
                middle = low + (high - low) / 2
                if middle.astimezone(zone).utcoffset() == low.astimezone(zone).utcoffset():
                    low = middle
                else:
                    high = middle
            found.append(low.replace(minute=0, second=0, microsecond=0))
        instant += step
    return found


@given(AFTERS, CADENCES, ZONES, SINCES)
@settings(max_examples=80, deadline=None)
def test_any_zone_and_time_as_read_minute_by_minute(
    after: datetime, cadence: Cadence, zone: ZoneInfo, ago: timedelta
) -> None:
    assert next_due(after, cadence, zone, after - ago) == slowly(after, cadence, zone, after - ago)


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_around_every_change_of_offset_as_read_minute_by_minute(data: st.DataObject) -> None:
    zone = ZoneInfo(data.draw(st.sampled_from(CHANGEFUL)))
    change = data.draw(st.sampled_from(moments(zone)))
    after = change + data.draw(st.integers(-9 * 24 * 60, 3 * 60)) * MINUTE
    wall = (change + data.draw(st.integers(-120, 180)) * MINUTE).astimezone(zone)
    minute = wall.hour * 60 + wall.minute
    days = {Rhythm.WEEK: wall.weekday(), Rhythm.MONTH: wall.day, Rhythm.STEP: data.draw(st.integers(1, 5))}
    rhythm = data.draw(st.sampled_from(sorted(days)))
    cadence = Cadence(rhythm, (days[rhythm],), minute)
    since = after - data.draw(st.integers(0, 9)) * timedelta(days=1)
    assert next_due(after, cadence, zone, since) == slowly(after, cadence, zone, since)


@given(AFTERS, CADENCES, ZONES, SINCES)
@settings(max_examples=200, deadline=None)
def test_strictly_after_and_within_its_rhythm(
    after: datetime, cadence: Cadence, zone: ZoneInfo, ago: timedelta
) -> None:
    since = after - ago
    due = next_due(after, cadence, zone, since)
    assert due is not None
    assert due.tzinfo is UTC
    longest = {Rhythm.WEEK: 7, Rhythm.MONTH: 31, Rhythm.STEP: cadence.days[0]}[cadence.rhythm]
    assert after < due <= after + timedelta(days=longest + 2)
    later = next_due(due, cadence, zone, since)
    assert later is not None
    assert later > due
    assert next_due(due - timedelta(microseconds=1), cadence, zone, since) == due


@given(AFTERS, st.integers(1, 366), MINUTES, ZONES)
@settings(max_examples=100, deadline=None)
def test_a_step_counts_whole_days_of_the_keeper_from_when_it_was_last_done(
    done: datetime, step: int, minute: int, zone: ZoneInfo
) -> None:
    due = next_due(done, Cadence(Rhythm.STEP, (step,), minute), zone, done)
    assert due is not None
    days = (due.astimezone(zone).date() - done.astimezone(zone).date()).days
    # A day that a zone left out (Samoa, 30 December 2011) is the next one by the clock on the wall.
    assert days in (step, step + 1)
    assert days == step or due.astimezone(zone).replace(tzinfo=None) > datetime.combine(
        done.astimezone(zone).date() + timedelta(days=step), time(minute // 60, minute % 60)
    )


@given(AFTERS, CADENCES, ZONES)
@settings(max_examples=60, deadline=None)
def test_the_first_time_of_a_step_is_the_next_at_its_hour_and_of_others_the_next_day_of_theirs(
    after: datetime, cadence: Cadence, zone: ZoneInfo
) -> None:
    daily = Cadence(Rhythm.WEEK, tuple(range(7)), cadence.minute)
    first = first_due(after, cadence, zone)
    assert first == next_due(after, daily if cadence.rhythm is Rhythm.STEP else cadence, zone, after)


@given(AFTERS, CADENCES, ZONES, ZONES)
@settings(max_examples=200, deadline=None)
def test_a_keeper_who_moves_is_asked_on_the_same_day_at_the_same_hour_by_the_clock_there(
    after: datetime, cadence: Cadence, old: ZoneInfo, new: ZoneInfo
) -> None:
    due = next_due(after, cadence, old, after)
    assert due is not None
    there = moved(due, cadence.minute, old, new)
    wanted = datetime.combine(due.astimezone(old).date(), time(cadence.minute // 60, cadence.minute % 60))
    shown = there.astimezone(new).replace(tzinfo=None)
    assert shown >= wanted
    assert (there - MINUTE).astimezone(new).replace(tzinfo=None) < wanted
    assert shown == wanted or there == slowly_at(wanted, new)
    assert moved(due, cadence.minute, old, old) <= due


def slowly_at(wall: datetime, zone: ZoneInfo) -> datetime:
    instant = wall.replace(tzinfo=UTC) - timedelta(hours=16)
    while instant.astimezone(zone).replace(tzinfo=None) < wall:
        instant += MINUTE
    return instant


@given(AFTERS, MINUTES, MINUTES, ZONES)
@settings(max_examples=200, deadline=None)
def test_quiet_hours_are_those_of_the_clock_on_the_wall_and_end(
    now: datetime, start: int, end: int, zone: ZoneInfo
) -> None:
    until = quiet_until(now, start, end, zone)
    local = now.astimezone(zone)
    minute = local.hour * 60 + local.minute
    inside = start <= minute < end if start < end else (minute >= start or minute < end) and start != end
    day = timedelta(days=1)
    if all((now + hours).astimezone(zone).utcoffset() == local.utcoffset() for hours in (-day, day)):
        assert (until is not None) == inside
    if until is not None:
        assert now < until <= now + timedelta(days=2)
        assert quiet_until(until, start, end, zone) is None


@pytest.mark.parametrize(
    ("now", "zone", "until"),
    [
        ("2027-03-01T21:59", "UTC", None),
        ("2027-03-01T22:00", "UTC", "2027-03-02T07:00"),
        ("2027-03-02T06:59", "UTC", "2027-03-02T07:00"),
        ("2027-03-02T07:00", "UTC", None),
        # The night in which the clocks go forward in Berlin is an hour shorter, the one in which they go back longer.
        ("2027-03-27T21:00", "Europe/Berlin", "2027-03-28T05:00"),
        ("2027-10-30T20:00", "Europe/Berlin", "2027-10-31T06:00"),
    ],
)
def test_known_nights(now: str, zone: str, until: str | None) -> None:
    assert quiet_until(utc(now), 22 * 60, 7 * 60, ZoneInfo(zone)) == (None if until is None else utc(until))
    assert quiet_until(utc(now), 7 * 60, 7 * 60, ZoneInfo(zone)) is None


@pytest.mark.parametrize(
    ("after", "days", "expected"),
    [
        # The last day of a month, of February in a leap year and in another, and over the turn of a year.
        ("2028-02-01T00:00", (31,), "2028-02-29T08:00"),
        ("2027-02-01T00:00", (30,), "2027-02-28T08:00"),
        ("2027-02-28T08:00", (29, 31), "2027-03-29T08:00"),
        ("2027-04-01T09:00", (1, 15), "2027-04-15T08:00"),
        ("2027-12-31T08:00", (31,), "2028-01-31T08:00"),
        ("2027-12-15T08:00", (1, 15), "2028-01-01T08:00"),
    ],
)
def test_known_days_of_the_month(after: str, days: tuple[int, ...], expected: str) -> None:
    cadence = Cadence(Rhythm.MONTH, days, 480)
    assert next_due(utc(after), cadence, ZoneInfo("UTC"), utc(after)) == utc(expected)


@pytest.mark.parametrize(
    ("after", "weekday", "minute_of_day", "zone", "expected"),
    [
        # Spring gap: 2:30 on 28 March 2027 does not exist in Berlin; the first time that does is 3:00, 1:00 UTC.
        ("2027-03-27T12:00", 6, 150, "Europe/Berlin", "2027-03-28T01:00"),
        ("2027-03-28T01:00", 6, 150, "Europe/Berlin", "2027-04-04T00:30"),
        # Autumn fold: 2:30 on 31 October 2027 comes twice; the first is by summer time.
        ("2027-10-30T12:00", 6, 150, "Europe/Berlin", "2027-10-31T00:30"),
        ("2027-10-31T00:30", 6, 150, "Europe/Berlin", "2027-11-07T01:30"),
        # A gap of half an hour.
        ("2027-10-01T00:00", 6, 135, "Australia/Lord_Howe", "2027-10-02T15:30"),
        # Samoa had no 30 December 2011, a Friday.
        ("2011-12-29T12:00", 4, 540, "Pacific/Apia", "2011-12-30T10:00"),
        # Leap day, 29 February 2028, a Tuesday; and the turn of a year, 31 December 2027 to 7 January 2028, Fridays.
        ("2028-02-28T23:00", 1, 480, "UTC", "2028-02-29T08:00"),
        ("2028-02-29T08:00", 1, 480, "UTC", "2028-03-07T08:00"),
        ("2027-12-31T12:00", 4, 720, "UTC", "2028-01-07T12:00"),
        # The keeper's own day, not that of UTC: Monday at 8:00 in Auckland is still Sunday in UTC.
        ("2027-06-01T00:00", 0, 480, "Pacific/Auckland", "2027-06-06T20:00"),
    ],
)
def test_known_dates(after: str, weekday: int, minute_of_day: int, zone: str, expected: str) -> None:
    assert first_due(utc(after), weekly(weekday, minute_of_day), ZoneInfo(zone)) == utc(expected)


def test_times_that_an_outage_swallowed() -> None:
    berlin, monday = ZoneInfo("Europe/Berlin"), weekly(0, 540)
    due = first_due(utc("2027-03-01T00:00"), monday, berlin)
    assert due is not None
    assert missed_within(due, due, monday, berlin) == 0
    assert missed_within(due, due + timedelta(days=6, hours=23, minutes=59), monday, berlin) == 0
    assert missed_within(due, due + timedelta(days=7), monday, berlin) == 1
    # Five Mondays later by the wall clock, with the change to summer time between, is an hour less.
    assert missed_within(due, due + timedelta(days=35, hours=-1), monday, berlin) == 5
    assert missed_within(due, due - timedelta(days=1), monday, berlin) == 0
    assert missed_within(due, due + timedelta(days=3650), monday, berlin) == 99
    assert missed_within(due, due + timedelta(days=10), Cadence(Rhythm.STEP, (3,), 540), berlin) == 3
    assert missed_within(due, due + timedelta(days=10), Cadence(Rhythm.ONCE, (), 540), berlin) == 0


@given(CADENCES)
def test_a_cadence_as_a_number_is_read_back(cadence: Cadence) -> None:
    assert Cadence.of(cadence.rhythm, cadence.number, cadence.minute) == cadence


@pytest.mark.parametrize(
    ("rhythm", "days", "minute", "culprit"),
    [
        (Rhythm.WEEK, (7,), 0, "days (7,) of a week"),
        (Rhythm.WEEK, (-1,), 0, "days (-1,) of a week"),
        (Rhythm.WEEK, (), 0, "days () of a week"),
        (Rhythm.WEEK, (3, 1), 0, "not in order"),
        (Rhythm.WEEK, (1, 1), 0, "not in order"),
        (Rhythm.MONTH, (0,), 0, "days (0,) of a month"),
        (Rhythm.MONTH, (32,), 0, "days (32,) of a month"),
        (Rhythm.STEP, (367,), 0, "days (367,) of a step"),
        (Rhythm.STEP, (1, 2), 0, "too many"),
        (Rhythm.ONCE, (1,), 0, "days (1,) of a once"),
        (Rhythm.WEEK, (0,), 1440, "minute 1440"),
    ],
)
def test_a_wrong_value_is_named(rhythm: Rhythm, days: tuple[int, ...], minute: int, culprit: str) -> None:
    with pytest.raises(ValueError, match=re.escape(culprit)):
        Cadence(rhythm, days, minute)


def test_a_time_without_a_zone_is_refused() -> None:
    naive = datetime.combine(date(2027, 1, 1), time())
    with pytest.raises(ValueError, match="without a zone"):
        next_due(naive, weekly(0, 0), ZoneInfo("UTC"), utc("2027-01-01T00:00"))
    assert (
        next_due(utc("2027-01-01T00:00"), Cadence(Rhythm.ONCE, (), 0), ZoneInfo("UTC"), utc("2027-01-01T00:00")) is None
    )


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
