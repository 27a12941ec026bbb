"""By when young are parted and breeders are out, against what is published or practised."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.rearing import pace, rearing_dates
from bot.services.refusals_days import TemperatureNotRead
from bot.services.species import SpeciesCard, shipped_species
from bot.services.temperatures import COLDEST_C, WARMEST_C, read_temperature

BORN = datetime(2026, 3, 1, 9, tzinfo=UTC)
SPECIES = shipped_species()


@pytest.mark.parametrize(("celsius", "days"), [(15, 79), (18, 45), (20, 35), (22, 29), (24, 24), (25, 23)])
def test_the_pace_is_that_of_the_published_marsupial_times(celsius: int, days: int) -> None:
    """315/(T - 11) days, derived from Horváthová et al. 2015 (three times slower at 15 than at 22 °C), Gard 1973 (twice as
    fast at 20 as at 15 °C) and 35 d at 20 °C."""
    assert int(Fraction(315, 11) * pace(Fraction(celsius)) + Fraction(1, 2)) == days


def test_development_is_almost_three_times_slower_at_15_than_at_22_degrees() -> None:
    """Horváthová et al. 2015, ZooKeys: "almost three times" (read in the abstract)."""
    assert Fraction(5, 2) < pace(Fraction(15)) < 3


@pytest.mark.parametrize(
    ("species", "celsius", "apart", "out"),
    [
        # Earliest first brood less a pouch time, at 22 °C: 150 - 28, 120 - 29, 60 - 21; the rest by the pace above.
        # Parting at eight and at four weeks: common practice, no source.
        ("Armadillidium vulgare", 22, 56, 122),
        ("Armadillidium vulgare", 18, 88, 191),
        ("Armadillidium vulgare", 25, 44, 95),
        ("Porcellio scaber", 22, 56, 91),
        ("Porcellio scaber", 18, 88, 143),
        ("Porcellio scaber", 25, 44, 71),
        ("Porcellionides pruinosus", 22, 28, 39),
        ("Porcellionides pruinosus", 18, 44, 61),
        ("Porcellionides pruinosus", 25, 22, 30),
        # Tropical, from memory and common practice (low confidence): 150 - 30.
        ("Cubaris murina", 22, 56, 120),
        ("Cubaris murina", 18, 88, 188),
        ("Cubaris murina", 25, 44, 94),
        # Nothing is to be parted where all are females: 60 - 21.
        ("Trichorhina tomentosa", 22, None, 39),
        ("Trichorhina tomentosa", 18, None, 61),
        ("Trichorhina tomentosa", 25, None, 30),
    ],
)
def test_the_dates_of_a_brood(species: str, celsius: int, apart: int | None, out: int) -> None:
    dates = rearing_dates(SPECIES.named(species), BORN, Fraction(celsius))
    noon = BORN.replace(hour=12)
    assert dates.separate_by == (None if apart is None else noon + timedelta(days=apart))
    assert dates.parents_out_by == noon + timedelta(days=out)


@pytest.mark.parametrize(
    ("zone", "noon"),
    [("Europe/Lisbon", 11), ("America/New_York", 16), ("Asia/Kathmandu", 6.25), ("Pacific/Auckland", 24), ("UTC", 12)],
)
def test_the_days_are_those_of_the_wall_clock_across_a_change_of_clocks(zone: str, noon: float) -> None:
    """Seen on the evening of 1 March; 56 days later, after Europe's and America's clocks went forward and New Zealand's back, it
    is noon of 26 April there (offsets of the tz database: +1, -4, +5:45, +12, 0)."""
    place = ZoneInfo(zone)
    seen = datetime(2026, 3, 1, 22, tzinfo=place)
    apart = rearing_dates(SPECIES.named("Porcellio scaber"), seen, zone=place).separate_by
    assert apart is not None
    assert apart.astimezone(place).date() == date(2026, 4, 26)
    assert apart == datetime(2026, 4, 26, tzinfo=UTC) + timedelta(hours=noon if zone != "Pacific/Auckland" else 0)


@given(st.sampled_from(SPECIES.cards), st.fractions(0, 45), st.fractions(0, 45))
def test_warmth_never_moves_a_date_back(card: SpeciesCard, one: Fraction, other: Fraction) -> None:
    cold, warm = rearing_dates(card, BORN, min(one, other)), rearing_dates(card, BORN, max(one, other))
    assert BORN < warm.parents_out_by <= cold.parents_out_by
    if cold.separate_by is not None and warm.separate_by is not None:
        assert BORN < warm.separate_by <= cold.separate_by


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [
        ("22", 22),
        ("22 C", 22),
        ("22,5°C", Fraction(45, 2)),
        ("about 18 degrees", 18),
        ("72 F", Fraction(200, 9)),
        ("77", 25),
    ],
)
def test_a_temperature_is_read(typed: str, celsius: Fraction) -> None:
    assert read_temperature(typed) == celsius


@pytest.mark.parametrize("typed", ["", "warm", "47", "200 F", "-3", "22 K"])
def test_what_no_bin_has_is_refused(typed: str) -> None:
    with pytest.raises(TemperatureNotRead):
        read_temperature(typed)


@given(st.text(max_size=20))
def test_any_text_is_a_temperature_of_a_bin_or_a_refusal(text: str) -> None:
    try:
        celsius = read_temperature(text)
    except TemperatureNotRead:
        return
    assert COLDEST_C <= celsius <= WARMEST_C
