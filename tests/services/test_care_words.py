"""What keepers type about care, and what is understood by it."""

import contextlib
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.calendar import Cadence, Rhythm
from bot.records import CareKind
from bot.services.care_words import KINDS, Target, read_days, read_kind, read_target
from bot.services.refusals import DateNotRead, DaysNotRead, Refusal, WordNotKnown
from bot.services.starters import starters_for
from bot.services.times import read_day

NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)
"""A Thursday."""


@pytest.mark.parametrize(
    ("text", "rhythm", "days"),
    [
        ("Monday", Rhythm.WEEK, (0,)),
        ("mon and thu", Rhythm.WEEK, (0, 3)),
        ("Tuesdays, Fridays", Rhythm.WEEK, (1, 4)),
        ("every Sunday", Rhythm.WEEK, (6,)),
        ("weekends", Rhythm.WEEK, (5, 6)),
        ("daily", Rhythm.WEEK, (0, 1, 2, 3, 4, 5, 6)),
        ("every 3 days", Rhythm.STEP, (3,)),
        ("Every other day", Rhythm.STEP, (2,)),
        ("every 2 weeks", Rhythm.STEP, (14,)),
        ("fortnightly", Rhythm.STEP, (14,)),
        ("every month", Rhythm.STEP, (30,)),
        ("1st and 15th", Rhythm.MONTH, (1, 15)),
        ("on the 22nd", Rhythm.MONTH, (22,)),
        ("last day of the month", Rhythm.MONTH, (31,)),
    ],
)
def test_days_as_they_are_typed(text: str, rhythm: Rhythm, days: tuple[int, ...]) -> None:
    assert read_days(text, 480) == Cadence(rhythm, days, 480)


@pytest.mark.parametrize(
    "text", ["", "someday", "m", "every 0 days", "every 367 days", "32nd", "0th", "Monday and 1st", "and"]
)
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(DaysNotRead):
        read_days(text, 0)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    for read in (lambda: read_days(text, 0), lambda: read_kind(text), lambda: read_day(text, NOW, ZoneInfo("UTC"))):
        with contextlib.suppress(Refusal):
            read()


def test_kinds_by_their_beginning_and_by_a_word_of_them_and_own_words() -> None:
    for word, kind in KINDS.items():
        assert read_kind(word.upper()) == read_kind(word[:3]) == (kind, None)
    assert read_kind("gnats") == (CareKind.PESTS, None)
    assert read_kind("  swap the  cork ") == (CareKind.OTHER, "swap the cork")
    with pytest.raises(WordNotKnown) as caught:
        read_kind("moisure")
    assert caught.value.known == ("moisture",)


def test_a_bin_a_shelf_and_all_bins() -> None:
    assert read_target("All my bins") == Target(all=True)
    assert read_target("shelf  By the window") == Target(shelf="By the window")
    assert read_target("B-3") == Target(bin="B-3")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", "2026-03-05"), ("tomorrow", "2026-03-06"), ("Friday", "2026-03-06"), ("thu", "2026-03-12"),
        ("in 2 weeks", "2026-03-19"), ("5 days", "2026-03-10"), ("3 Dec", "2026-12-03"), ("4 March", "2027-03-04"),
        ("March 5th", "2026-03-05"), ("until 1 Jan 2028", "2028-01-01"), ("2026-04-01", "2026-04-01"),
        ("29 Feb 2028", "2028-02-29"),
    ],
)  # fmt: skip
def test_a_day_to_come(text: str, day: str) -> None:
    zone = ZoneInfo("Europe/Lisbon")
    assert read_day(text, NOW, zone).astimezone(zone).strftime("%Y-%m-%d %H:%M") == f"{day} 00:00"


@pytest.mark.parametrize(
    ("text", "past"), [("4 March 2026", True), ("30 Feb", False), ("3/12", False), ("soon", False)]
)
def test_a_day_that_is_past_or_none(text: str, past: bool) -> None:
    with pytest.raises(DateNotRead) as caught:
        read_day(text, NOW, ZoneInfo("UTC"))
    assert caught.value.past is past


def test_a_day_too_far_ahead_to_be_meant_is_refused() -> None:
    # The calendar ends with the year 9999: a date counted on from there would be none.
    for text in ("9999-12-31", "6 March 2046"):
        with pytest.raises(DateNotRead) as caught:
            read_day(text, NOW, ZoneInfo("UTC"))
        assert caught.value.far


@pytest.mark.parametrize(
    "key", ["armadillidium-vulgare", "porcellio-scaber", "trichorhina-tomentosa", "cubaris-x", "y"]
)
def test_every_group_of_species_has_care_to_start_with(key: str) -> None:
    """Ranges of common practice, no source: moisture every 2-7 days, a recount every 30-90."""
    group, tasks = starters_for(key)
    found = {task.kind: task.cadence for task in tasks}
    assert (group == "other") == (key == "y")
    assert 2 <= found[CareKind.MOISTURE].days[0] <= 7
    assert 30 <= found[CareKind.RECOUNT].days[0] <= 90
    assert {CareKind.LITTER, CareKind.PROTEIN, CareKind.CALCIUM, CareKind.PESTS} <= set(found)
