"""Where numbers become words: probabilities, counts, dates, lengths and text from people. Nowhere else does."""

import math
import re
from collections.abc import Iterable, Sequence
from datetime import datetime
from fractions import Fraction

MM_PER_INCH = Fraction(254, 10)
METRIC, IMPERIAL = "metric", "imperial"
"""The units that a keeper can choose, as the book has them."""
_SPOKEN_DENOMINATOR = 64
_SPECIAL = re.compile(r"([\\*_~`|>\[\]()#<@:-])")


def in_words(share: Fraction) -> str:
    """A share as keepers say it: "1 in 4", "all", "none"; rounded and marked "about" where the exact one is unwieldy.

    >>> in_words(Fraction(1, 4)), in_words(Fraction(1)), in_words(Fraction(1, 999))
    ('1 in 4', 'all', 'about 1 in 1,000')
    """
    if share == 0:
        return "none"
    if share == 1:
        return "all"
    if share.denominator <= _SPOKEN_DENOMINATOR:
        return f"{share.numerator} in {share.denominator}"
    if share < Fraction(1, 10):
        return f"about 1 in {_two_figures(1 / share):,}"
    near = share.limit_denominator(20)
    if near < 1:
        return f"about {near.numerator} in {near.denominator}"
    said = percent(share)
    return said if said.startswith("over") else f"about {said}"


def _two_figures(value: Fraction) -> int:
    step = 10 ** max(0, len(str(int(value))) - 2)
    return int(round(value / step) * step)


def exact(share: Fraction) -> str:
    """A share as a fraction, the way a geneticist writes it; as a percentage where the fraction says nothing.

    >>> exact(Fraction(3, 16)), exact(Fraction(1))
    ('3/16', '1')
    """
    if share.denominator <= 4096:
        return str(share)
    return percent(share)


def percent(share: Fraction) -> str:
    """A share as a percentage that never rounds a possibility to 0 or to 100.

    >>> percent(Fraction(2, 3)), percent(Fraction(99999, 100000)), percent(Fraction(1, 10**6)), percent(Fraction(1))
    ('67 %', 'over 99.9 %', 'under 0.1 %', '100 %')
    """
    if share in (0, 1):
        return f"{int(share) * 100} %"
    if share < Fraction(1, 1000):
        return "under 0.1 %"
    if share > Fraction(999, 1000):
        return "over 99.9 %"
    if Fraction(1, 100) <= share <= Fraction(99, 100):
        return f"{round(share * 100)} %"
    return f"{float(share * 100):.1f} %"


def fine_percent(share: Fraction) -> str:
    """A share as a percentage with a decimal where it has one: for figures whose halves are known by name, like 12.5 %.

    >>> fine_percent(Fraction(1, 8)), fine_percent(Fraction(1, 4)), fine_percent(Fraction(1, 10**6)), fine_percent(Fraction(0))
    ('12.5 %', '25 %', 'under 0.1 %', '0 %')
    """
    if 0 < share < Fraction(1, 1000):
        return "under 0.1 %"
    return f"{float(share * 100):.1f}".removesuffix(".0") + " %"


def percents(shares: Sequence[Fraction], decimals: int = 0) -> tuple[str, ...]:
    """Percentages of shares that sum to 1, rounded so that they add up to 100 (largest remainders are rounded up).

    Possible is never written as 0, nor uncertain as 100: those read "under" and "over" the last figure there is.

    >>> percents([Fraction(1, 3)] * 3), percents([Fraction(1, 999), Fraction(998, 999)])
    (('34 %', '33 %', '33 %'), ('under 1 %', 'over 99 %'))
    """
    whole = 100 * 10**decimals
    # Over one common denominator everything is whole numbers, which are several times as fast as fractions.
    common = math.lcm(*(share.denominator for share in shares))
    parts = [divmod(share.numerator * (common // share.denominator) * whole, common) for share in shares]
    down = [least for least, _ in parts]
    missing = whole - sum(down)
    order = sorted(range(len(shares)), key=lambda i: (-parts[i][1], i))
    for i in order[:missing]:
        down[i] += 1
    return tuple(_of_whole(value, whole, decimals, share) for value, share in zip(down, shares, strict=True))


def _of_whole(value: int, whole: int, decimals: int, share: Fraction) -> str:
    if value == 0 and share > 0:
        value, bound = 1, "under "
    elif value == whole and share < 1:
        value, bound = whole - 1, "over "
    else:
        bound = ""
    return f"{bound}{value / 10**decimals:.{decimals}f} %"


def of_twenty(share: Fraction) -> str:
    """What a share comes to in a brood of twenty.

    >>> of_twenty(Fraction(1, 4)), of_twenty(Fraction(1, 64)), of_twenty(Fraction(63, 64))
    ('about 5 of 20', 'under 1 of 20', 'over 19 of 20')
    """
    twenty, one = 20 * share.numerator, share.denominator
    if twenty == 20 * one:
        return "all 20 of 20"
    if twenty < one:
        return "under 1 of 20"
    return "over 19 of 20" if twenty > 19 * one else f"about {round(twenty / one)} of 20"


def number(value: int) -> str:
    """A whole number with its thousands set apart."""
    return f"{value:,}"


def counted(total: int, estimate: bool) -> str:
    """A count with "about" before it if it was judged and not counted."""
    return f"about {number(total)}" if estimate else number(total)


def plain(text: str, most: int = 4000) -> str:
    """Text from a person, safe to put into a reply: no markup, no link and no mention works from within it; cut to `most`."""
    cut = text if len(text) <= most else text[: most - 1].rstrip() + "…"
    return cut if cut.isalnum() else _SPECIAL.sub(r"\\\1", cut)


def unescaped(text: str) -> str:
    """Words of a reply for where no markup is read, as in a picture.

    >>> unescaped(plain("*ember*"))
    '*ember*'
    """
    return re.sub(r"\\(.)", r"\1", text)


def quoted(text: str, most: int = 1500) -> str:
    """Text from a person as it was typed, in a code block, where nothing in it works; cut to `most`."""
    cut = text if len(text) <= most else text[: most - 1].rstrip() + "…"
    return "```\n" + cut.replace("`", "ˋ") + "\n```"


def inline(text: str, most: int = 300) -> str:
    """A short text set apart as code, so that it can be copied; line ends become spaces; cut to `most`."""
    line = " ".join(text.split()).replace("`", "ˋ")
    return f"`{line if len(line) <= most else line[: most - 1].rstrip() + '…'}`" if line else "(nothing)"


def around(text: str, position: int, width: int) -> str:
    """A piece of a long text around a place in it, `width` characters at most, with an ellipsis where it is cut."""
    if len(text) <= width:
        return text
    start = max(0, min(position - width // 2, len(text) - (width - 2)))
    piece = text[start : start + width - 2]
    return ("…" if start else "") + piece + ("…" if start + len(piece) < len(text) else "")


def bin_name(code: str, name: str | None) -> str:
    """A bin as people tell it from others: its code, and its name in brackets, on one line."""
    return f"{code} ({plain(' '.join(name.split()))})" if name else code


def listed(items: Iterable[str], last: str = "and") -> str:
    """Several things in a row: "a, b and c"."""
    every = list(items)
    if len(every) < 2:
        return "".join(every)
    return f"{', '.join(every[:-1])} {last} {every[-1]}"


def some_of(items: Sequence[str], most: int) -> str:
    """The first of several things by name, and the rest by number: "a, b and 3 more"."""
    rest = len(items) - most
    return listed([*items[:most], f"{number(rest)} more"] if rest > 0 else items)


def when(at: datetime, style: str = "R") -> str:
    """A time that the chat shows to each reader in their own time zone; `style` is the chat's letter ("R": from now)."""
    return f"<t:{int(at.timestamp())}:{style}>"


def clock(minute: int) -> str:
    """A time of day from minutes since midnight.

    >>> clock(1080)
    '18:00'
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"


def room(channel_id: int) -> str:
    """A room, as the chat links it."""
    return f"<#{channel_id}>"


def length(millimetres: Fraction, units: str | None = None) -> str:
    """A body length in the units a person chose; in centimetres and inches where they chose none.

    >>> length(Fraction(18)), length(Fraction(18), "metric"), length(Fraction(18), "imperial")
    ('1.8 cm (0.7 in)', '18 mm', '0.71 in')
    """
    if units == METRIC:
        return f"{float(millimetres):.3g} mm"
    if units == IMPERIAL:
        return f"{float(millimetres / MM_PER_INCH):.2f} in"
    return f"{float(millimetres / 10):.1f} cm ({float(millimetres / MM_PER_INCH):.1f} in)"


def temperature(celsius: Fraction, units: str | None = None) -> str:
    """A temperature in the units a person chose; in °C and °F where they chose none.

    >>> temperature(Fraction(22)), temperature(Fraction(22), "metric"), temperature(Fraction(22), "imperial")
    ('22 °C (72 °F)', '22 °C', '72 °F')
    """
    warm = f"{round(float(celsius), 1):g} °C"
    fahrenheit = f"{round(celsius * Fraction(9, 5) + 32)} °F"
    return {None: f"{warm} ({fahrenheit})", METRIC: warm, IMPERIAL: fahrenheit}[units]


def plural(count: int, one: str, many: str | None = None) -> str:
    """A number with its noun.

    >>> plural(1, "week"), plural(3, "manca", "mancae")
    ('1 week', '3 mancae')
    """
    return f"{number(count)} {one if count == 1 else many or one + 's'}"
