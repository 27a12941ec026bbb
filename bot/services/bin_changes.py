"""Moving a bin to a shelf or to another keeper, and closing one."""

from dataclasses import dataclass

from bot.records import BinRow, Book, CloseReason, ClosingRow, EventRow, Subject, WriteBook
from bot.services.access import Right, is_steward, require, require_keeper
from bot.services.before import question_before
from bot.services.bin_moves import ended_by
from bot.services.bin_state import bin_state
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import bin_named, row_id
from bot.services.refusals import BinLabel, TakenBack, WordNotKnown
from bot.services.refusals_bins import Disturb, KeeperNotPicked, KeepsItAlready, NoSuchKeeper, NothingSaid
from bot.services.refusals_marks import WaitsForSteward
from bot.services.request import Request
from bot.services.texts import checked

BIN = "bin"
REASONS = {
    "gone to another keeper": CloseReason.MOVED_ON,
    "no animals left": CloseReason.EMPTY,
    "line ended": CloseReason.LINE_ENDED,
    "another reason": CloseReason.OTHER,
}
"""Why a bin can be closed, by the words for it. A bin that is emptied into another is merged instead."""
NO_SHELF = "none"
"""What takes a bin off its shelf."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody picked in the chat: id, name as shown, and whether it is a program."""

    id: int
    name: str
    bot: bool = False


@dataclass(frozen=True, slots=True)
class BinMoved:
    """A bin after a move: its shelf (None: on none, or not for the person's eyes) and its keeper.

    `keeper_before` is who gave it away, None if it stayed with its keeper; `ended` is how many care tasks ended, `event` what
    can take it back.
    """

    label: BinLabel
    shelf: str | None
    keeper_name: str
    keeper_before: str | None
    ended: int
    event: int


@dataclass(frozen=True, slots=True)
class BinClosed:
    """A bin that is closed, why, how many care tasks ended with it, and the event."""

    row: BinRow
    closing: ClosingRow
    ended: int
    event: int


def picked(name: str, named: str, number: str, *, bot: bool) -> Person | None:
    """The person who was picked for a bin, as a form gives them back; None if nobody was.

    Raises:
        KeeperNotPicked: the name was typed over, or the person was never picked.
    """
    if not name.strip():
        return None
    if name.strip() != named.strip() or not row_id(number):
        raise KeeperNotPicked(name)
    return Person(row_id(number), named, bot)


async def move_bin(
    desk: Desk,
    request: Request,
    *,
    bin_text: str,
    shelf: str = "",
    keeper: Person | None = None,
    sure: bool = False,
) -> BinMoved:
    """Put a bin on a shelf, or give it to another keeper; then the care that was asked for ends, and pings nobody.

    Before it goes to another keeper the person is asked to look first, until they are `sure`. Where a disease is suspected
    that waits for a steward.

    Raises:
        NoSuchBin, ClosedBin, NotYours, NothingSaid, NoSuchKeeper, KeepsItAlready, WaitsForSteward, LookFirst, TextTooLong,
            TakenBack: nothing was written.
    """
    shelf = checked("shelf", shelf)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            if not shelf and keeper is None:
                raise NothingSaid(BinLabel(row.code, row.name))
            if shelf:
                await book.set_shelf(row.id, None if shelf.casefold() == NO_SHELF else shelf)
            if keeper is not None:
                require(request, row, Right.SHARE)
                _require_another(row, keeper)
                await _ask_first(book, request, row, sure)
                await _hand_over(book, row, keeper)
            event = await book.log("bin.moved", Subject(BIN, row.id))
        return await _moved(book, event)


def _require_another(row: BinRow, keeper: Person) -> None:
    if keeper.bot:
        raise NoSuchKeeper(keeper.name)
    if keeper.id == row.keeper_id:
        raise KeepsItAlready(BinLabel(row.code, row.name), row.keeper_name)


async def _ask_first(book: Book, request: Request, row: BinRow, sure: bool) -> None:
    disease = (await bin_state(book, row.id, request.now)).disease
    if disease is not None and not is_steward(request):
        raise WaitsForSteward(BinLabel(row.code, row.name), disease.at)
    if not sure:
        raise await question_before(book, request, Disturb.HAND_ON, (row,))


async def _hand_over(book: WriteBook, row: BinRow, keeper: Person) -> None:
    await book.know_keeper(keeper.id, keeper.name)
    for task in await book.tasks(row.id):
        await book.end_task(task.id)
    await book.remove_co_keeper(row.id, keeper.id)
    await book.set_bin_keeper(row.id, keeper.id)


async def _moved(book: Book, event: EventRow) -> BinMoved:
    row = await book.bin(event.subject.id)
    images = [
        next((image for image in document["rows"] if image["table"] == "bins"), None)
        for document in (event.before, event.after)
    ]
    before, after = [await book.keeper(int(i["keeper_id"])) if i is not None else None for i in images]
    if row is None and images[1] is None:
        raise TakenBack("move")
    # A private bin that was given away is no longer for the eyes of who gave it.
    label = BinLabel(row.code, row.name) if row is not None else BinLabel(str((images[1] or {})["code"]))
    return BinMoved(
        label=label,
        shelf=row.shelf if row is not None else None,
        keeper_name=after.name if after is not None else row.keeper_name if row is not None else "",
        keeper_before=before.name if before is not None else None,
        ended=ended_by(event),
        event=event.seq,
    )


async def close_bin(
    desk: Desk, request: Request, *, bin_text: str, reason: str, when: str = "", note: str = ""
) -> BinClosed:
    """Close a bin; its care ends with it. `reason` is a word of `REASONS`, `when` a day as people type it.

    Raises:
        NoSuchBin, NotYours, WordNotKnown, DayNotRead, DayAhead, TextTooLong, TakenBack: nothing was written.
    """
    why, note = _reason(reason), checked("note", note)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            at = max(row.opened_at, read_day(when, request.now, await zone_of(book, request)))
            await book.close_bin(row.id, reason=why, at=at, note=note or None)
            for task in await book.tasks(row.id):
                await book.end_task(task.id)
            event = await book.log("bin.closed", Subject(BIN, row.id))
        return await _closed(book, event)


def _reason(text: str) -> CloseReason:
    wanted = text.strip().casefold()
    for words, meaning in REASONS.items():
        if wanted and (words.startswith(wanted) or wanted == meaning.value):
            return meaning
    raise WordNotKnown(what="reason", text=text, known=tuple(REASONS))


async def _closed(book: Book, event: EventRow) -> BinClosed:
    row, closing = await book.bin(event.subject.id), await book.closing(event.subject.id)
    if row is None or closing is None:
        raise TakenBack("closing")
    return BinClosed(row, closing, ended_by(event), event.seq)
