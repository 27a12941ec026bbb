"""By when young must be parted, and by when their parents must be out."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

from bot.calendar import instant
from bot.records import PairingRow
from bot.services.species import SpeciesCard

REFERENCE_C = Fraction(22)
"""The temperature at which the cards give their days, in °C."""

_UTC = ZoneInfo("UTC")
_NOON = 12 * 60
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


def rearing_dates(
    species: SpeciesCard, young_at: datetime, celsius: Fraction = REFERENCE_C, zone: ZoneInfo = _UTC
) -> RearingDates:
    """The two dates from the day on which young were first seen: at noon of a day of that zone.

    Both err on the early side: `apart_days` lie well before the earliest mating, and a female mates a pouch time before the
    earliest first brood. What the figures rest on stands in the species card.
    """
    times = pace(celsius)
    apart = _later(young_at, species.apart_days * times, zone) if species.apart_days else None
    mature = species.first_brood_days.low - species.pouch_days.usual
    return RearingDates(apart, _later(young_at, mature * times, zone))


def mixed_after(pairing: PairingRow) -> datetime | None:
    """Since when, or from when on, young of a pairing may be young of its young: then a brood says nothing of the parents.

    That is the day by which the breeders were to be out, if they were not; what ends a pairing parts them too. None if they
    were, or if no young were seen.
    """
    by, out = pairing.parents_out_by, pairing.out_at or pairing.ended_at
    return None if by is None or (out is not None and out <= by) else by


def is_mixed(pairing: PairingRow, at: datetime) -> bool:
    """Whether the generations of a pairing are mixed at this time. It follows from the book and the date alone."""
    after = mixed_after(pairing)
    return after is not None and at > after


@dataclass(frozen=True, slots=True)
class Mixed:
    """The generations of the pairing with this number are mixed, since when, and whether its breeders are out by now."""

    pairing: int
    since: datetime
    out: bool


def mixed_by(pairings: Iterable[PairingRow], now: datetime) -> tuple[Mixed, ...]:
    """Those of a bin's pairings that have mixed its generations by now."""
    found = [(row, mixed_after(row)) for row in pairings]
    return tuple(
        Mixed(row.number, since, row.out_at is not None) for row, since in found if since is not None and since < now
    )


def _later(start: datetime, days: Fraction, zone: ZoneInfo) -> datetime:
    return instant(start.astimezone(zone).date() + timedelta(days=int(days)), _NOON, zone)
