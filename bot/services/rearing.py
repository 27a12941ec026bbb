"""By when young must be parted, and by when their parents must be out."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from bot.services.species import SpeciesCard

REFERENCE_C = Fraction(22)
"""The temperature at which the cards give their days, in °C."""

_BASE_C = Fraction(11)
_COLDEST_C, _WARMEST_C = Fraction(15), Fraction(26)


@dataclass(frozen=True, slots=True)
class RearingDates:
    """Two days that must not pass unnoticed.

    Attributes:
        separate_by: the young are parted by sex, before they can mate; None where there are no males.
        parents_out_by: the breeders are out, before the first young can breed; after it the generations are mixed.
    """

    separate_by: datetime | None
    parents_out_by: datetime


def pace(celsius: Fraction) -> Fraction:
    """How many times longer development takes at this temperature than at 22 °C.

    Time is taken to go as 1/(T - 11): the marsupial development of *Porcellio scaber* takes three times as long at 15 °C as
    at 22 °C (Horváthová et al. 2015) and half as long at 20 °C as at 15 °C (Gard 1973), which puts its base at 10 to
    11.5 °C. The rule holds from 15 to 26 °C, within about a quarter; outside, the nearest of the two is taken.

    >>> pace(Fraction(22)), pace(Fraction(18)), pace(Fraction(25))
    (Fraction(1, 1), Fraction(11, 7), Fraction(11, 14))
    """
    within = min(max(celsius, _COLDEST_C), _WARMEST_C)
    return (REFERENCE_C - _BASE_C) / (within - _BASE_C)


def rearing_dates(species: SpeciesCard, young_at: datetime, celsius: Fraction = REFERENCE_C) -> RearingDates:
    """The two dates from the day on which young were first seen.

    Both err on the early side: `apart_days` lie well before the earliest mating, and a female mates a pouch time before the
    earliest first brood. What the figures rest on stands in the species card.
    """
    times = pace(celsius)
    apart = _later(young_at, species.apart_days * times) if species.apart_days else None
    mature = species.first_brood_days.low - species.pouch_days.usual
    return RearingDates(apart, _later(young_at, mature * times))


def _later(start: datetime, days: Fraction) -> datetime:
    return start + timedelta(days=int(days))
