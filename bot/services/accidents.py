"""Strays that were found in a bin and lids that were off, and the broods that are in doubt because of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.records import Book, BroodRow, EventRow, MarkKind, MarkRow, PairingRow, ScoringRow, Subject
from bot.services.access import require_keeper
from bot.services.bin_state import ACCIDENTS
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import BinLabel, TakenBack, WordNotKnown
from bot.services.request import Request
from bot.services.texts import checked

BIN = "bin"
ACCIDENT = "bin.accident"
WHAT = {"a stray was found": MarkKind.STRAY, "the lid was off": MarkKind.LID_OFF}
"""What can have happened, by the words for it."""


@dataclass(frozen=True, slots=True)
class AccidentLogged:
    """A stray or an open lid as it stands in the book, the broods that are in doubt since, and the event."""

    label: BinLabel
    mark: MarkRow
    broods: tuple[BroodRow, ...]
    event: int


async def log_accident(
    desk: Desk, request: Request, *, bin_text: str, what: str, when: str = "", note: str = ""
) -> AccidentLogged:
    """A stray was found in a bin, or its lid was off. `what` is a word of `WHAT`, `when` a day as people type it.

    Raises:
        NoSuchBin, ClosedBin, NotYours, WordNotKnown, DayNotRead, DayAhead, TextTooLong, TakenBack: nothing was written.
    """
    kind, note = _kind(what), checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            at = max(row.opened_at, read_day(when, request.now, await zone_of(book, request)))
            await book.add_mark(row.id, kind, at=at, note=note or None)
            event = await book.log(ACCIDENT, Subject(BIN, row.id))
        return await _logged(book, event)


def _kind(text: str) -> MarkKind:
    wanted = text.strip().casefold()
    for words, kind in WHAT.items():
        if wanted and (wanted in words or wanted == kind.value):
            return kind
    raise WordNotKnown(what="accident", text=text, known=tuple(WHAT))


async def _logged(book: Book, event: EventRow) -> AccidentLogged:
    row = await book.bin(event.subject.id)
    made = [image["id"] for image in event.after["rows"] if image["table"] == "bin_marks"]
    mark = await book.mark(made[0]) if made else None
    if row is None or mark is None:
        raise TakenBack("accident")
    doubts = await doubted_broods(book)
    broods = [brood for brood in await book.broods() if any(each.id == mark.id for each in doubts.get(brood.id, ()))]
    return AccidentLogged(BinLabel(row.code, row.name), mark, tuple(broods), event.seq)


async def doubted_broods(book: Book) -> dict[int, tuple[MarkRow, ...]]:
    """The broods that a stray or an open lid puts in doubt, by the brood's id, each with what happened, the earliest first."""
    accidents = await book.accidents()
    if not accidents:
        return {}
    scorings: dict[int, list[ScoringRow]] = {}
    for look in await book.scorings():
        scorings.setdefault(look.brood_id, []).append(look)
    pairings = {row.id: row for row in await book.pairings()}
    found = {
        brood.id: in_doubt(brood, pairings.get(brood.pairing_id or 0), scorings.get(brood.id, ()), accidents)
        for brood in await book.broods()
    }
    return {brood: marks for brood, marks in found.items() if marks}


def in_doubt(
    brood: BroodRow, pairing: PairingRow | None, scorings: Sequence[ScoringRow], accidents: Sequence[MarkRow]
) -> tuple[MarkRow, ...]:
    """What happened to a brood's bin since its pairing was set up, until the brood was last looked at.

    Days are told apart, not hours: what happened on the very day counts.
    """
    last = max([brood.seen_on, *(look.at for look in scorings)])
    first = pairing.set_up_at if pairing is not None else None
    return tuple(
        mark
        for mark in accidents
        if mark.bin_id == brood.bin_id and mark.at.date() <= last.date() and not _before(mark, first)
    )


def since(marks: Sequence[MarkRow], first: datetime) -> tuple[MarkRow, ...]:
    """The strays and open lids among a bin's marks from this day on."""
    return tuple(mark for mark in marks if mark.kind in ACCIDENTS and not _before(mark, first))


def _before(mark: MarkRow, first: datetime | None) -> bool:
    return first is not None and mark.at.date() < first.date()
