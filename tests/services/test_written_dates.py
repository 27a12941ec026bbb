"""Dates as people write them: every way of writing one day is that day."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.written_dates import Written, weekday, written_date

DATES = st.dates(date(2000, 1, 1), date(2099, 12, 31))


@given(DATES, st.integers(3, 9))
def test_every_way_of_writing_a_day_is_that_day(day: date, letters: int) -> None:
    month = f"{day:%B}".casefold()[:letters]
    for typed in (
        f"{day.day} {month} {day.year}",
        f"{day.day}. {month}. {day.year}",
        f"{month} {day.day}, {day.year}",
        f"{day.year}-{day.month}-{day.day}",
        day.isoformat(),
    ):
        written = written_date(typed)
        assert written is not None
        assert written.within(1999) == day
    assert written_date(f"{day.day}{month}") == Written(day.day, day.month, None)


@given(DATES, st.integers(3, 9))
def test_three_letters_of_a_weekday_are_enough(day: date, letters: int) -> None:
    assert weekday(f"{day:%A}".casefold()[:letters]) == day.weekday()


@pytest.mark.parametrize("typed", ["", "3/5", "3.5.2026", "20260503", "2026-W01-1", "3 mayo", "maybe 3", "soon", "may"])
def test_what_is_no_date_is_none(typed: str) -> None:
    assert written_date(typed) is None


def test_a_day_that_is_not_in_the_calendar_is_none() -> None:
    assert Written(29, 2, None).within(2027) is None
    assert Written(29, 2, None).within(2028) == date(2028, 2, 29)
    assert Written(31, 4, 2026).within(2028) is None
    assert weekday("mo") is None
    assert weekday("montag") is None
