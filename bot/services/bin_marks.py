"""Putting a bin on hold or in quarantine, looking at it, and ending either."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from bot.records import BinRow, Book, CareKind, EventRow, HoldCause, MarkKind, Privacy, Subject, WriteBook
from bot.services import times
from bot.services.access import is_steward, require_keeper
from bot.services.bin_state import BinState, bin_state
from bot.services.dated_tasks import MORNING, ask_on, local_day, settle
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import BinLabel, DateNotRead, StewardsOnly, TakenBack, WordNotKnown
from bot.services.refusals_marks import EndsEarly, HeldAlready, NothingToEnd, NotLookedAt
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.texts import checked

BIN = "bin"
HELD, RELEASED, QUARANTINED, LOOKED = "bin.held", "bin.released", "bin.quarantined", "bin.looked"
CAUSES = {
    "blue or violet sheen": HoldCause.BLUE_SHEEN,
    "signs of disease": HoldCause.DISEASE,
    "another reason": HoldCause.OTHER,
}
"""Why a bin can be put on hold, by the words for it."""
SAW = {"clean": True, "saw something": False}
"""What a look can come to, by the words for it."""
_NUMBER = re.compile(r"\d{1,4}")

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class BinMarked:
    """A bin after it was put on hold or in quarantine, looked at, or let go; its species, its state now, and the event.

    `kind` is the event's kind; `ended` is what it lifted or ended.
    """

    label: BinLabel
    species: SpeciesCard
    state: BinState
    kind: str
    ended: tuple[MarkKind, ...]
    event: int


async def put_on_hold(book: WriteBook, bin_id: int, cause: HoldCause, note: str | None = None) -> int | None:
    """Put a bin on hold as a part of another write, which owes the event; None where it is on hold for that already."""
    if any(hold.cause is cause for hold in (await bin_state(book, bin_id, book.stamp.now)).holds):
        return None
    return await book.add_mark(bin_id, MarkKind.HOLD, cause=cause, note=note)


async def hold_bin(desk: Desk, request: Request, *, bin_text: str, cause: str, note: str = "") -> BinMarked:
    """Put a bin on hold: its animals stay where they are. `cause` is a word of `CAUSES`.

    Raises:
        NoSuchBin, ClosedBin, NotYours, WordNotKnown, HeldAlready, TextTooLong, TakenBack: nothing was written.
    """
    why, note = _word("reason", cause, CAUSES), checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await _tended(book, request, bin_text)
            if await put_on_hold(book, row.id, why, note or None) is None:
                since = next(h.at for h in (await bin_state(book, row.id, request.now)).holds if h.cause is why)
                raise HeldAlready(_label(row), since)
            event = await book.log(HELD, Subject(BIN, row.id))
        return await _marked(desk, book, request.now, event)


async def quarantine_bin(desk: Desk, request: Request, *, bin_text: str, until: str = "", note: str = "") -> BinMarked:
    """Keep a bin apart until a day, or for as long as its species card says; of a bin that is, change that day.

    `until` is a day to come, or a number of days from when the quarantine began.

    Raises:
        NoSuchBin, ClosedBin, NotYours, DateNotRead, TextTooLong, TakenBack: nothing was written.
    """
    note = checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await _tended(book, request, bin_text)
            running = (await bin_state(book, row.id, request.now)).quarantine
            since = running.at if running is not None else request.now
            usual = (await card_of(desk, book, row.species_key)).quarantine_days.usual
            end = _end(until, usual, since, request.now, await zone_of(book, request))
            if running is None:
                await book.add_mark(row.id, MarkKind.QUARANTINE, until=end, note=note or None)
            else:
                known = f"{running.note}\n{note}" if running.note and note else note
                await book.set_until(running.id, end, note=checked("note", known) or None)
            await _ask(book, request, row.id, end)
            event = await book.log(QUARANTINED, Subject(BIN, row.id))
        return await _marked(desk, book, request.now, event)


def _end(text: str, usual: int, since: datetime, now: datetime, zone: ZoneInfo) -> datetime:
    """The end date as typed: its beginning in the keeper's zone, today's at the earliest."""
    days = text.strip() or str(usual)
    if not _NUMBER.fullmatch(days):
        return times.read_day(text, now, zone)
    counted = f"in {int(days)} days"
    end = times.read_day(counted, since, zone)
    if end < times.read_day("today", now, zone):
        raise DateNotRead(f"{days} days from its beginning", past=True)
    return end


async def _ask(book: WriteBook, request: Request, bin_id: int, until: datetime) -> None:
    """Ask whoever keeps a bin apart to look it over on the first morning of theirs from the end on: a look before ends nothing.

    Of an end that is past they are asked today.
    """
    asked = [row for row in await book.dated(Subject(BIN, bin_id)) if row.kind is CareKind.QUARANTINE_END]
    keeper = asked[0].keeper_id if asked else request.actor
    morning = await local_day(book, keeper, until + timedelta(days=1, minutes=-MORNING))
    day = max(morning, await local_day(book, keeper, request.now))
    await ask_on(book, request, CareKind.QUARANTINE_END, day, about=Subject(BIN, bin_id), bin_id=bin_id)


async def look_at_bin(
    desk: Desk, request: Request, *, bin_text: str, saw: str, when: str = "", note: str = ""
) -> BinMarked:
    """Somebody looked a bin over for blue animals, mites and nematodes. A clean look ends a quarantine that is due.

    Raises:
        NoSuchBin, ClosedBin, NotYours, WordNotKnown, DayNotRead, DayAhead, TextTooLong, TakenBack: nothing was written.
    """
    clean, note = _word("look", saw, SAW), checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await _tended(book, request, bin_text)
            at = max(row.opened_at, read_day(when, request.now, await zone_of(book, request)))
            await book.add_look(row.id, clean=clean, at=at, note=note or None)
            state = await bin_state(book, row.id, request.now)
            if state.quarantine is not None and state.clean and state.due:
                await _over(book, row.id, state.quarantine.id)
            event = await book.log(LOOKED, Subject(BIN, row.id))
        return await _marked(desk, book, request.now, event)


async def release_bin(
    desk: Desk, request: Request, *, bin_text: str, looked: str = "", sure: bool = False
) -> BinMarked:
    """Lift a bin's holds and end its quarantine. A hold for a suspected disease is lifted by a steward.

    A quarantine ends once somebody has looked and seen nothing: before, or now (`looked` is "clean"). Before its end date
    the person is asked whether they are `sure`. If they saw something now, that look is noted and nothing is lifted or ended.

    Raises:
        NoSuchBin, ClosedBin, NotYours, NothingToEnd, StewardsOnly, WordNotKnown, NotLookedAt, EndsEarly, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await _tended(book, request, bin_text)
            state = await bin_state(book, row.id, request.now)
            if state.free:
                raise NothingToEnd(_label(row))
            if state.disease is not None and not is_steward(request):
                raise StewardsOnly("lift a hold for a suspected disease")
            if state.quarantine is not None and looked.strip() and not _word("look", looked, SAW):
                await book.add_look(row.id, clean=False)
                event = await book.log(LOOKED, Subject(BIN, row.id))
                return await _marked(desk, book, request.now, event)
            if state.quarantine is not None:
                await _end_quarantine(book, request, row, state, looked, sure)
            for hold in state.holds:
                await book.end_mark(hold.id)
            event = await book.log(RELEASED, Subject(BIN, row.id))
        return await _marked(desk, book, request.now, event)


async def _end_quarantine(
    book: WriteBook, request: Request, row: BinRow, state: BinState, looked: str, sure: bool
) -> None:
    running = state.quarantine
    if running is None or running.until is None:
        return
    now_clean = bool(looked.strip()) and _word("look", looked, SAW)
    if not (state.clean or now_clean):
        raise NotLookedAt(_label(row), running.until, state.look)
    if not state.due and not sure:
        raise EndsEarly(_label(row), running.until)
    if now_clean:
        await book.add_look(row.id, clean=True)
    await _over(book, row.id, running.id)


async def _over(book: WriteBook, bin_id: int, quarantine: int) -> None:
    await book.end_mark(quarantine)
    await settle(book, Subject(BIN, bin_id), CareKind.QUARANTINE_END, done=True)


async def carry_marks(book: WriteBook, request: Request, source: int, target: int) -> None:
    """Put a bin that got animals of another on hold and in quarantine as that one is, where it is not yet."""
    coming, there = await bin_state(book, source, book.stamp.now), await bin_state(book, target, book.stamp.now)
    known = {hold.cause for hold in there.holds}
    marks = [hold.id for hold in coming.holds if hold.cause not in known]
    if coming.quarantine is not None and coming.quarantine.until is not None:
        until = coming.quarantine.until
        if there.quarantine is None:
            marks.append(coming.quarantine.id)
            await _ask(book, request, target, until)
        elif there.quarantine.until is not None and there.quarantine.until < until:
            await book.set_until(there.quarantine.id, until)
            await _ask(book, request, target, until)
    await book.copy_marks(marks, target, notes=await _as_private(book, source, target))


async def _as_private(book: Book, source: int, target: int) -> bool:
    """Whether nobody can read notes of the target who could not read those of the source."""
    one, other = await book.bin(source), await book.bin(target)
    if one is None or other is None:
        return False
    return one.privacy is Privacy.OPEN or (one.privacy is other.privacy and one.keeper_id == other.keeper_id)


def _word(what: str, text: str, known: Mapping[str, T]) -> T:
    wanted = text.strip().casefold()
    for words, meaning in known.items():
        if wanted and (words.startswith(wanted) or wanted == str(meaning).casefold()):
            return meaning
    raise WordNotKnown(what=what, text=text, known=tuple(known))


async def _tended(book: Book, request: Request, text: str) -> BinRow:
    row = await bin_named(book, text)
    require_keeper(request, row)
    return row


def _label(row: BinRow) -> BinLabel:
    return BinLabel(row.code, row.name)


async def _marked(desk: Desk, book: Book, now: datetime, event: EventRow) -> BinMarked:
    row = await book.bin(event.subject.id)
    if row is None:
        raise TakenBack("mark")
    changed = {image["id"] for image in event.before["rows"] if image["table"] == "bin_marks"}
    ended = [
        MarkKind(image["kind"])
        for image in event.after["rows"]
        if image["table"] == "bin_marks" and image["id"] in changed and image["ended_at"] is not None
    ]
    return BinMarked(
        label=_label(row),
        species=await card_of(desk, book, row.species_key),
        state=await bin_state(book, row.id, now),
        kind=event.kind,
        ended=tuple(ended),
        event=event.seq,
    )
