"""Weekly times against the zone database, by a slow reading of the wall clock minute by minute."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.calendar import next_weekly, weeklies_within

MINUTE = timedelta(minutes=1)
ZONES = st.sampled_from(sorted(available_timezones())).map(ZoneInfo)
WEEKDAYS = st.integers(0, 6)
CHANGEFUL = (
    "Europe/Berlin",
    "America/St_Johns",
    "Australia/Lord_Howe",
    "Pacific/Apia",
    "Asia/Beirut",
    "America/Havana",
)
MINUTES = st.integers(0, 24 * 60 - 1)
START = datetime(1975, 1, 1, tzinfo=UTC)
AFTERS = st.timedeltas(timedelta(), timedelta(days=85 * 365)).map(lambda since: START + since)


def slowly(after: datetime, weekday: int, minute_of_day: int, zone: ZoneInfo) -> datetime:
    """The same answer by walking: for each day of that name, the first minute whose wall clock has reached the time."""
    day = after.astimezone(zone).date() - timedelta(days=8)
    while True:
        if day.weekday() == weekday:
            wall = datetime.combine(day, time()) + minute_of_day * MINUTE
            instant = wall.replace(tzinfo=UTC) - timedelta(hours=16)
            while instant.astimezone(zone).replace(tzinfo=None) < wall:
                instant += MINUTE
            if instant > after:
                return instant
        day += timedelta(days=1)


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


@given(AFTERS, WEEKDAYS, MINUTES, ZONES)
@settings(max_examples=60, deadline=None)
def test_any_zone_and_time_as_read_minute_by_minute(
    after: datetime, weekday: int, minute_of_day: int, zone: ZoneInfo
) -> None:
    assert next_weekly(after, weekday, minute_of_day, zone) == slowly(after, weekday, minute_of_day, zone)


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_around_every_change_of_offset_as_read_minute_by_minute(data: st.DataObject) -> None:
    zone = ZoneInfo(data.draw(st.sampled_from(CHANGEFUL)))
    change = data.draw(st.sampled_from(moments(zone)))
    after = change + data.draw(st.integers(-9 * 24 * 60, 3 * 60)) * MINUTE
    wall = (change + data.draw(st.integers(-120, 180)) * MINUTE).astimezone(zone)
    wanted = (wall.weekday(), wall.hour * 60 + wall.minute)
    assert next_weekly(after, *wanted, zone) == slowly(after, *wanted, zone)


@given(AFTERS, WEEKDAYS, MINUTES, ZONES)
@settings(max_examples=200, deadline=None)
def test_strictly_after_and_at_most_about_a_week(
    after: datetime, weekday: int, minute_of_day: int, zone: ZoneInfo
) -> None:
    due = next_weekly(after, weekday, minute_of_day, zone)
    assert due.tzinfo is UTC
    assert after < due <= after + timedelta(days=9)
    assert next_weekly(due, weekday, minute_of_day, zone) > due
    assert next_weekly(due - timedelta(microseconds=1), weekday, minute_of_day, zone) == due


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
    assert next_weekly(utc(after), weekday, minute_of_day, ZoneInfo(zone)) == utc(expected)


def test_weeks_that_an_outage_swallowed() -> None:
    berlin = ZoneInfo("Europe/Berlin")
    due = next_weekly(utc("2027-03-01T00:00"), 0, 540, berlin)
    assert weeklies_within(due, due, 0, 540, berlin) == 0
    assert weeklies_within(due, due + timedelta(days=6, hours=23, minutes=59), 0, 540, berlin) == 0
    assert weeklies_within(due, due + timedelta(days=7), 0, 540, berlin) == 1
    # Five Mondays later by the wall clock, with the change to summer time between, is an hour less.
    assert weeklies_within(due, due + timedelta(days=35, hours=-1), 0, 540, berlin) == 5
    assert weeklies_within(due, due - timedelta(days=1), 0, 540, berlin) == 0


@pytest.mark.parametrize(
    ("after", "weekday", "minute_of_day", "culprit"),
    [
        (datetime.combine(date(2027, 1, 1), time()), 0, 0, "without a zone"),
        (datetime(2027, 1, 1, tzinfo=UTC), 7, 0, "weekday 7"),
        (datetime(2027, 1, 1, tzinfo=UTC), -1, 0, "weekday -1"),
        (datetime(2027, 1, 1, tzinfo=UTC), 0, 1440, "minute 1440"),
    ],
)
def test_a_wrong_value_is_named(after: datetime, weekday: int, minute_of_day: int, culprit: str) -> None:
    with pytest.raises(ValueError, match=culprit):
        next_weekly(after, weekday, minute_of_day, ZoneInfo("UTC"))


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
