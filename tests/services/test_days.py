"""Days and ages as people type them."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.days import FURTHEST_DAYS, read_age, read_day
from bot.services.refusals_days import DayAhead, DayNotRead

LISBON, AUCKLAND = ZoneInfo("Europe/Lisbon"), ZoneInfo("Pacific/Auckland")
NOW = datetime(2026, 5, 14, 20, 30, tzinfo=UTC)  # a Thursday evening in Lisbon, a Friday morning in Auckland


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("", date(2026, 5, 14)),
        ("Today", date(2026, 5, 14)),
        ("yesterday", date(2026, 5, 13)),
        ("3 days ago", date(2026, 5, 11)),
        ("two weeks ago", date(2026, 4, 30)),
        ("seven days ago", date(2026, 5, 7)),
        ("nine days ago", date(2026, 5, 5)),
        ("a month ago", date(2026, 4, 14)),
        ("Monday", date(2026, 5, 11)),
        ("last thu", date(2026, 5, 7)),
        ("on Wednesday", date(2026, 5, 13)),
        ("3 May", date(2026, 5, 3)),
        ("May 3rd", date(2026, 5, 3)),
        ("3 June", date(2025, 6, 3)),
        ("1st of", None),
        ("29 Feb", date(2024, 2, 29)),
        ("2 February 2026", date(2026, 2, 2)),
        ("Feb 2, 2026", date(2026, 2, 2)),
        ("2026-02-02", date(2026, 2, 2)),
        ("3/5", None),
        ("31 Feb", None),
        ("2026-13-01", None),
        ("someday", None),
        ("umpteen days ago", None),
    ],
)
def test_a_day_is_read_or_refused(typed: str, day: date | None) -> None:
    if day is None:
        with pytest.raises(DayNotRead):
            read_day(typed, NOW, LISBON)
    else:
        assert read_day(typed, NOW, LISBON).astimezone(LISBON).date() == day


def test_today_is_the_keepers_own() -> None:
    assert read_day("yesterday", NOW, AUCKLAND).date() == date(2026, 5, 14)
    assert read_day("today", NOW, AUCKLAND) == NOW


@pytest.mark.parametrize(
    ("typed", "ahead"), [("2026-05-15", True), ("Tomorrow", True), ("1 Jan 2030", True), ("1 Jan 1999", False)]
)
def test_a_day_to_come_or_of_another_age_is_refused(typed: str, ahead: bool) -> None:
    with pytest.raises(DayAhead) as caught:
        read_day(typed, NOW, LISBON)
    assert caught.value.ahead is ahead


@given(st.text(max_size=30))
def test_any_text_is_a_day_that_was_or_a_refusal(text: str) -> None:
    try:
        day = read_day(text, NOW, LISBON)
    except (DayNotRead, DayAhead):
        return
    assert NOW - timedelta(days=FURTHEST_DAYS + 1) <= day <= NOW


@given(st.integers(0, FURTHEST_DAYS - 1))
def test_a_day_written_out_is_read_back(days: int) -> None:
    day = (NOW.astimezone(LISBON) - timedelta(days=days)).date()
    for written in (day.isoformat(), f"{day:%d %B %Y}", f"{day:%B %d, %Y}", f"{days} days ago"):
        assert read_day(written, NOW, LISBON).astimezone(LISBON).date() == day


@pytest.mark.parametrize(
    ("typed", "days"), [("9 weeks", 63), ("60 days", 60), ("about 2 months", 60), ("63d", 63), ("six weeks old", 42)]
)
def test_an_age_is_read(typed: str, days: int) -> None:
    assert read_age(typed) == days


@pytest.mark.parametrize("typed", ["", "old", "9", "weeks", "-3 days"])
def test_what_is_no_age_is_refused(typed: str) -> None:
    with pytest.raises(DayNotRead):
        read_age(typed)
