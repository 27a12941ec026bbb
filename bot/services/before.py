"""What is asked before a bin is disturbed or its animals go elsewhere: what the book knows that a hand at the lid may not."""

from collections.abc import Mapping, Sequence

from bot.records import BinRow, Book, CountRow, Exactness
from bot.services.bin_state import bin_state
from bot.services.disturbance import rest
from bot.services.refusals import BinLabel
from bot.services.refusals_bins import Disturb, LookFirst, Newcomer, Shortfall
from bot.services.request import Request


async def question_before(
    book: Book,
    request: Request,
    what: Disturb,
    rows: Sequence[BinRow],
    *,
    taken: Mapping[int, int] | None = None,
    kinds: tuple[tuple[BinLabel, str], ...] = (),
    newcomers: tuple[Newcomer, ...] = (),
) -> LookFirst:
    """The question to ask before this is done to these bins; `taken` is how many animals leave each, by its id."""
    states = [(row, await bin_state(book, row.id, request.now)) for row in rows]
    short = [await _short(book, row, (taken or {}).get(row.id, 0)) for row in rows]
    return LookFirst(
        what,
        tuple([(_label(row), await rest(book, row.id, request.now)) for row in rows]),
        kinds=kinds,
        newcomers=newcomers,
        states=tuple((_label(row), state) for row, state in states if not state.free),
        short=tuple(each for each in short if each is not None),
    )


async def _short(book: Book, row: BinRow, taken: int) -> Shortfall | None:
    """More are to be taken out of a bin than were last counted in it."""
    counts = await book.counts(row.id, limit=1)
    if not counts or taken <= _most(counts[0]) or counts[0].exactness is Exactness.AT_LEAST:
        return None
    return Shortfall(_label(row), taken, counts[0])


def _most(count: CountRow) -> int:
    return count.total if count.high is None else count.high


def _label(row: BinRow) -> BinLabel:
    return BinLabel(row.code, row.name)
