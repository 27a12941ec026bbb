"""Times of day and time zones as keepers in several countries type them."""

from contextlib import suppress
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.refusals import NoSuchZone, TimeNotRead
from bot.services.times import read_time, zone_named, zones_matching


@pytest.mark.parametrize(
    ("text", "hour", "minute"),
    [
        ("18:00", 18, 0),
        ("6:30", 6, 30),
        ("06:30", 6, 30),
        ("7.30", 7, 30),
        ("18h15", 18, 15),
        ("18h", 18, 0),
        ("1815", 18, 15),
        ("0600", 6, 0),
        ("6pm", 18, 0),
        ("6 pm", 18, 0),
        ("6PM", 18, 0),
        ("6 p.m.", 18, 0),
        ("6:30pm", 18, 30),
        ("6am", 6, 0),
        ("12am", 0, 0),
        ("12:30am", 0, 30),
        ("12pm", 12, 0),
        ("0:00", 0, 0),
        ("23:59", 23, 59),
        ("18", 18, 0),
        (" 18:00 ", 18, 0),
    ],
)
def test_a_time_of_day_is_read_as_minutes_since_midnight(text: str, hour: int, minute: int) -> None:
    assert read_time(text) == hour * 60 + minute


@pytest.mark.parametrize(
    "text",
    [
        "",
        "evening",
        "24:00",
        "18:60",
        "25",
        "13pm",
        "0am",
        "0:30pm",
        "18:5",
        "18:000",
        "-6",
        "6 o'clock",
        "18:00 Monday",
        "6 in the evening",
        "18:00:00",
        "six",
        "pm",
        "h",
        "６pm",
    ],
)
def test_what_is_no_time_of_day_is_refused_as_typed(text: str) -> None:
    with pytest.raises(TimeNotRead) as caught:
        read_time(text)
    assert caught.value.text == text


@given(st.integers(0, 23), st.integers(0, 59))
def test_every_minute_of_the_day_can_be_typed_on_either_clock(hour: int, minute: int) -> None:
    half = "am" if hour < 12 else "pm"
    for text in (f"{hour}:{minute:02d}", f"{hour:02d}.{minute:02d}", f"{(hour + 11) % 12 + 1}:{minute:02d} {half}"):
        assert read_time(text) == hour * 60 + minute


@given(st.one_of(st.text(max_size=12), st.text("0123456789:.h apm", max_size=9)))
def test_any_text_is_a_time_or_is_refused(text: str) -> None:
    with suppress(TimeNotRead):
        assert 0 <= read_time(text) < 24 * 60


@pytest.mark.parametrize(
    ("text", "zone"),
    [
        ("Europe/Lisbon", "Europe/Lisbon"),
        ("europe/lisbon", "Europe/Lisbon"),
        ("Lisbon", "Europe/Lisbon"),
        ("lisbon ", "Europe/Lisbon"),
        ("new york", "America/New_York"),
        ("New_York", "America/New_York"),
        ("America/New York", "America/New_York"),
        ("Tokyo", "Asia/Tokyo"),
        ("utc", "UTC"),
    ],
)
def test_a_city_is_enough_for_a_time_zone(text: str, zone: str) -> None:
    assert zone_named(text) == zone
    assert ZoneInfo(zone_named(text)).key == zone


@pytest.mark.parametrize(("text", "near"), [("Lisbom", "Europe/Lisbon"), ("Europe/Berlim", "Europe/Berlin")])
def test_a_slip_in_a_city_is_answered_with_what_was_meant(text: str, near: str) -> None:
    with pytest.raises(NoSuchZone) as caught:
        zone_named(text)
    assert caught.value.text == text
    assert near in caught.value.nearest
    assert len(caught.value.nearest) <= 3


def test_a_city_name_of_two_zones_is_asked_back() -> None:
    with pytest.raises(NoSuchZone) as caught:
        zone_named("Louisville")
    assert set(caught.value.nearest) == {"America/Louisville", "America/Kentucky/Louisville"}


@given(st.text(max_size=30))
def test_any_text_is_a_zone_that_can_be_used_or_is_refused(text: str) -> None:
    with suppress(NoSuchZone):
        ZoneInfo(zone_named(text))


def test_zones_are_offered_by_any_part_of_their_name() -> None:
    assert zones_matching("lisb") == ("Europe/Lisbon",)
    assert zones_matching("new york") == ("America/New_York",)
    assert len(zones_matching("")) == 25
    assert list(zones_matching("europe")) == sorted(zones_matching("europe"))
    assert zones_matching("moss") == ()
