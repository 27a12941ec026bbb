"""Body lengths as people type them: "1.8 cm", "18mm", "0.7 inch", "3/4 in"."""

import re
from fractions import Fraction

from bot.services.refusals import LengthNotRead

_UNITS = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10)),
    **dict.fromkeys(('"', "″", "in", "inch", "inches"), Fraction(254, 10)),
}
_LENGTH = re.compile(
    r"(?:about|around|~|ca?\.)?\s*([0-9]{1,3}(?:[.,][0-9]{1,3})?|[0-9]{1,2}/[0-9]{1,2})\s*([a-z]+|[\"″])\.?",
    re.IGNORECASE,
)
LONGEST_MM = 500
"""Nothing kept in a bin is longer; the giant deep-sea isopods are not terrestrial."""


def read_length(text: str) -> Fraction:
    """A body length in millimetres, exact as typed.

    >>> read_length("0.7 inch")
    Fraction(889, 50)

    Raises:
        LengthNotRead: no number with a unit stands there, or it is zero or over `LONGEST_MM`.
    """
    found = _LENGTH.fullmatch(text.strip())
    unit = _UNITS.get(found[2].casefold()) if found else None
    if found is None or unit is None or re.search(r"/0+$", found[1]):
        raise LengthNotRead(text=text)
    millimetres = Fraction(found[1].replace(",", ".")) * unit
    if not 0 < millimetres <= LONGEST_MM:
        raise LengthNotRead(text=text)
    return millimetres
