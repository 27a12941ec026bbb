"""Shares and chances as people type them: "70 %", "0.7", "7/10", "7 in 10"."""

import re
from fractions import Fraction

from bot.services.refusals_traits import ShareNotRead

_PERCENT = re.compile(r"(\d{1,4}(?:\.\d{1,9})?)\s*(?:%|percent|per cent)")
_DECIMAL = re.compile(r"0?\.\d{1,9}|0|1\.0+")
_RATIO = re.compile(r"(\d{1,6})\s*(?:/|in|of|out of)\s*(\d{1,6})")
_WORDS = {"none": Fraction(0), "half": Fraction(1, 2), "all": Fraction(1), "always": Fraction(1), "never": Fraction(0)}


def read_share(what: str, text: str) -> Fraction:
    """The share that is meant, 0 to 1, exactly as typed. A bare "70" is refused: it may be per cent or animals.

    Raises:
        ShareNotRead: it is no share, or above all of them; `what` says of what.

    >>> read_share("penetrance", "70 %"), read_share("penetrance", "7 in 10")
    (Fraction(7, 10), Fraction(7, 10))
    """
    typed = " ".join(text.casefold().replace(",", ".").split())
    value = _WORDS.get(typed)
    if found := _PERCENT.fullmatch(typed):
        value = Fraction(found[1]) / 100
    elif _DECIMAL.fullmatch(typed):
        value = Fraction(typed)
    elif (found := _RATIO.fullmatch(typed)) and int(found[2]):
        value = Fraction(int(found[1]), int(found[2]))
    if value is None or value > 1:
        raise ShareNotRead(what=what, text=text, over=value is not None)
    return value
