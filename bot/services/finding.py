"""Finding a bin by what a person typed, with the nearest ones when there is none; and a row by the number in a button."""

import difflib
from collections.abc import Iterable

from bot.records import BinRow, Book
from bot.services.refusals import BinLabel, NoSuchBin

MOST_CHOICES = 25
_LARGEST_ID = 2**63 - 1


def row_id(text: str) -> int:
    """The id or number of a row as a button carries it; 0, which no row has, if `text` is no number a row could have."""
    number = int(text) if text.isdecimal() and len(text) <= len(str(_LARGEST_ID)) else 0
    return number if number <= _LARGEST_ID else 0


async def bin_named(book: Book, text: str) -> BinRow:
    """The open bin with this code. What autocomplete shows ("B-3 ember F2") is taken as well as the bare code.

    Raises:
        NoSuchBin: no open bin has it; it holds the nearest.
    """
    code = text.split(maxsplit=1)[0] if text.strip() else ""
    row = await book.bin_by_code(code)
    if row is None or row.closed_at is not None:
        raise NoSuchBin(code=text.strip(), nearest=nearest(text, await book.bins()))
    return row


def nearest(text: str, bins: Iterable[BinRow]) -> tuple[BinLabel, ...]:
    """Up to three bins whose code or name looks like `text`."""
    every = list(bins)
    wanted = text.strip().casefold()
    digits = "".join(filter(str.isdigit, wanted))

    def likeness(row: BinRow) -> float:
        code = difflib.SequenceMatcher(None, wanted, row.code.casefold()).ratio()
        name = difflib.SequenceMatcher(None, wanted, (row.name or "").casefold()).ratio()
        # B-41 typed for B-14 has all its digits right; people swap them more often than they invent them.
        swapped = bool(digits) and sorted(digits) == sorted(filter(str.isdigit, row.code))
        return max(code, name) + swapped

    best = sorted(every, key=likeness, reverse=True)[:3]
    return tuple(BinLabel(row.code, row.name) for row in best if likeness(row) >= 0.5)


def matching(text: str, bins: Iterable[BinRow], actor: int) -> tuple[BinLabel, ...]:
    """The bins whose code or name holds `text`: the person's own first, in order of their codes."""
    wanted = text.strip().casefold()
    found = [row for row in bins if wanted in row.code.casefold() or wanted in (row.name or "").casefold()]
    found.sort(key=lambda row: (row.keeper_id != actor, row.id))
    return tuple(BinLabel(row.code, row.name) for row in found[:MOST_CHOICES])
