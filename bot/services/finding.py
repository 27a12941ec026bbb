"""Finding a bin by what a person typed, with the nearest ones when there is none; and a row by the number in a button."""

import difflib
import re
from collections.abc import Iterable

from bot.records import BinRow, Book, code_key
from bot.services.refusals import BinLabel, NoSuchBin
from bot.services.refusals_bins import ClosedBin

MOST_CHOICES = 25
_LARGEST_ID = 2**63 - 1
_NUMBER = re.compile(r"\d+$")


def row_id(text: str) -> int:
    """The id or number of a row as a button carries it; 0, which no row has, if `text` is no number a row could have."""
    number = int(text) if text.isdecimal() and len(text) <= len(str(_LARGEST_ID)) else 0
    return number if number <= _LARGEST_ID else 0


async def bin_named(book: Book, text: str) -> BinRow:
    """The open bin that is meant: by its code, by its number alone, or by a name that only one has.

    What autocomplete shows ("B-3 ember F2") is taken as well; so is a code with a blank in it ("b 3").

    Raises:
        NoSuchBin: no open bin, or more than one, is meant; it holds the nearest.
        ClosedBin: the bin with this code is closed.
    """
    first = text.split(maxsplit=1)[0] if text.strip() else ""
    closed: BinRow | None = None
    for code in dict.fromkeys((first, text)):
        row = await book.bin_by_code(code)
        if row is not None and row.closed_at is None:
            return row
        closed = closed or row
    every = await book.bins()
    meant = [row for row in every if _is_meant(row, text.strip().casefold())]
    if len(meant) == 1:
        return meant[0]
    if closed is not None and closed.closed_at is not None:
        closing = await book.closing(closed.id)
        raise ClosedBin(BinLabel(closed.code, closed.name), closed.closed_at, closing.into_code if closing else None)
    raise NoSuchBin(code=text.strip(), nearest=nearest(text, every))


async def any_bin_named(book: Book, text: str) -> BinRow:
    """The bin that is meant, as `bin_named`; a closed one is meant by its code.

    Raises:
        NoSuchBin: as `bin_named`.
    """
    first = text.split(maxsplit=1)[0] if text.strip() else ""
    for code in dict.fromkeys((first, text)):
        row = await book.bin_by_code(code)
        if row is not None:
            return row
    return await bin_named(book, text)


def _is_meant(row: BinRow, wanted: str) -> bool:
    number = _NUMBER.search(row.code)
    return wanted != "" and wanted in ((row.name or "").casefold(), number[0] if number else "")


def nearest(text: str, bins: Iterable[BinRow]) -> tuple[BinLabel, ...]:
    """Up to three bins whose code or name looks like `text`, a name that is alike before a code."""
    wanted, key = text.strip().casefold(), code_key(text)
    digits = sorted(filter(str.isdigit, wanted))

    def likeness(row: BinRow) -> tuple[float, float]:
        code = max(_alike(wanted, row.code.casefold()), _alike(key, code_key(row.code)))
        name = _alike(wanted, (row.name or "").casefold())
        # B-41 typed for B-14 has all its digits right; people swap them more often than they invent them.
        code += bool(digits) and digits == sorted(filter(str.isdigit, row.code))
        return code, name

    alike = [(code, name, row) for row in bins for code, name in [likeness(row)] if max(code, name) >= 0.5]
    alike.sort(key=lambda each: max(each[0], 2 * each[1]), reverse=True)
    return tuple(BinLabel(row.code, row.name) for _, _, row in alike[:3])


def _alike(one: str, other: str) -> float:
    """From 0 to 1; two texts of nothing are not alike."""
    return difflib.SequenceMatcher(None, one, other).ratio() if one and other else 0.0


def matching(text: str, bins: Iterable[BinRow], actor: int) -> tuple[BinLabel, ...]:
    """The bins whose code or name holds `text`: the person's own first, in order of their codes."""
    wanted, code = text.strip().casefold(), code_key(text)
    found = [
        row
        for row in bins
        if wanted in row.code.casefold()
        or wanted in (row.name or "").casefold()
        or (code and code in code_key(row.code))
    ]
    found.sort(key=lambda row: (row.keeper_id != actor, row.id))
    return tuple(BinLabel(row.code, row.name) for row in found[:MOST_CHOICES])
