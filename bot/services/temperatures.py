"""Temperatures as people type them: "22", "22 C", "72 F"."""

import re
from fractions import Fraction

from bot.services.refusals_days import TemperatureNotRead

COLDEST_C, WARMEST_C = Fraction(0), Fraction(45)
"""What a bin may have; anything else is a slip, or a number of the other scale."""

_TYPED = re.compile(
    r"(?:about\s+|~\s*)?(\d{1,3}(?:[.,]\d)?)\s*(?:°|deg(?:rees)?)?\s*([cf])?(?:elsius|ahrenheit)?\.?", re.IGNORECASE
)


def read_temperature(text: str) -> Fraction:
    """A temperature in °C. Without a unit, up to 45 is read as °C and from 50 on as °F: no bin has the other of either.

    >>> read_temperature("22"), read_temperature("72 F")
    (Fraction(22, 1), Fraction(200, 9))

    Raises:
        TemperatureNotRead: it is no temperature, or none that a bin has.
    """
    found = _TYPED.fullmatch(text.strip())
    if found is None:
        raise TemperatureNotRead(text=text)
    value = Fraction(found[1].replace(",", "."))
    unit = (found[2] or ("f" if value >= 50 else "c")).casefold()
    celsius = (value - 32) * 5 / 9 if unit == "f" else value
    if not COLDEST_C <= celsius <= WARMEST_C:
        raise TemperatureNotRead(text=text)
    return celsius
