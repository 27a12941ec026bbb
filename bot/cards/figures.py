"""How numbers of animals are said: counted, judged, as a range or as a least."""

from bot.cards import words
from bot.records import Exactness


def figure(total: int, exactness: Exactness, low: int | None = None, high: int | None = None) -> str:
    """A number of animals with how it is known: "40", "about 40", "at least 40", "30 to 50"; worked out is "about" as well.

    >>> figure(40, Exactness.RANGE, 30, 50), figure(1200, Exactness.AT_LEAST)
    ('30 to 50', 'at least 1,200')
    """
    if exactness is Exactness.RANGE and low is not None and high is not None:
        return f"{words.number(low)} to {words.number(high)}"
    if exactness is Exactness.AT_LEAST:
        return f"at least {words.number(total)}"
    return words.counted(total, exactness is not Exactness.EXACT)
