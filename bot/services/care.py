"""The answers to pings: done, later, this time not; and what a keeper's day wants."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from bot.calendar import Cadence, Rhythm, instant, next_due
from bot.records import Book, CareKind, EventRow, OccurrenceRow, OccurrenceState, Subject, TaskRow, WriteBook
from bot.rounds import Round, items_of
from bot.services.desk import Desk
from bot.services.refusals import BinLabel, NotYours, Outlived, Superseded
from bot.services.request import Request, Role
from bot.services.undo import EVENT, undo
from bot.services.zones import zone_of

DELIVERY, OCCURRENCE = "delivery", "occurrence"
DONE, PUT_OFF, SKIPPED = "care.done", "care.later", "care.skipped"
ANSWERS = (DONE, PUT_OFF, SKIPPED)
"""The kinds of event that answer what care asked."""
_OPEN = (OccurrenceState.ASKED, OccurrenceState.DUE)
LEFT = timedelta(hours=24)
"""How long after protein was given the remains are asked for: 24 to 48 hours is common practice, no source."""
_EVENING = 19 * 60


class Answer(StrEnum):
    """What a keeper answers to a ping. The ones but DONE and SKIP say when it is to ask again."""

    DONE = "done"
    HOURS = "2h"
    EVENING = "eve"
    DAY = "1d"
    DAYS = "3d"
    SKIP = "skip"


@dataclass(frozen=True, slots=True)
class RoundAnswered:
    """A ping after an answer: the round as it stands now, what the answer was about, when that comes again, who answered,
    and the answer's event.
    """

    round: Round
    items: tuple[OccurrenceRow, ...]
    next_due: datetime | None
    by: int
    kind: str
    event: int


async def answer_round(
    desk: Desk, request: Request, *, delivery: int, answer: Answer, occurrence: int | None = None
) -> RoundAnswered:
    """Answer everything on a ping that is still open, or one thing on it.

    The next due times stand in the book since the ping was sent; a task that counts days from when it was last done counts
    them from now. A ping that was answered already gives that answer again, so that a second tap does no harm.

    Raises:
        Outlived: there is no such ping, or its tasks were taken back.
        Superseded: a newer ping asks for what this one asked.
        NotYours: it is another keeper's.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            items = await _open_items(book, request, delivery, occurrence)
            if not items:
                return await _answered(book, request, delivery, await _last_answer(book, delivery))
            await answer_items(book, items, answer, request.now)
            event = await _log(book, answer, delivery)
        return await _answered(book, request, delivery, event)


async def _log(book: WriteBook, answer: Answer, delivery: int) -> EventRow:
    if answer is Answer.DONE:
        return await book.log(DONE, Subject(DELIVERY, delivery))
    if answer is Answer.SKIP:
        return await book.log(SKIPPED, Subject(DELIVERY, delivery))
    return await book.log(PUT_OFF, Subject(DELIVERY, delivery))


async def answer_items(book: WriteBook, items: Iterable[OccurrenceRow], answer: Answer, now: datetime) -> None:
    """Write an answer to due dates of which none is answered, with all that follows from it."""
    for item in items:
        task = await book.task(item.task_id)
        keeper = await book.keeper(task.keeper_id) if task else None
        if task is None or keeper is None:
            continue
        zone = await zone_of(book, keeper.id)
        if answer is Answer.DONE:
            await book.finish_occurrence(item.id)
            await _follow(book, task, item, now, zone.key)
            await _write_act(book, task, now)
        elif answer is Answer.SKIP:
            await book.drop_occurrence(item.id)
            await _follow(book, task, item, now, zone.key)
        else:
            await _put_off(book, item, _until(answer, now, zone))


async def _write_act(book: WriteBook, task: TaskRow, now: datetime) -> None:
    """Who says that the breeders are out has said so of the pairing."""
    dated = await book.dated_task(task.id) if task.kind is CareKind.PARENTS_OUT else None
    pairing = await book.pairing(dated.about_id) if dated is not None else None
    if pairing is not None and pairing.out_at is None:
        await book.set_out(pairing.id, now)


def _until(answer: Answer, now: datetime, zone: ZoneInfo) -> datetime:
    if answer is Answer.EVENING:
        today = now.astimezone(zone).date()
        evening = instant(today, _EVENING, zone)
        return evening if evening > now else instant(today + timedelta(days=1), _EVENING, zone)
    return now + {Answer.HOURS: timedelta(hours=2), Answer.DAY: timedelta(days=1)}.get(answer, timedelta(days=3))


async def _put_off(book: WriteBook, item: OccurrenceRow, until: datetime) -> None:
    """Ask again then; not at all if the next time comes before."""
    following = await _waiting(book, item)
    if any(other.due_at <= until for other in following):
        await book.drop_occurrence(item.id)
    else:
        await book.put_off_occurrence(item.id, until)


async def _follow(book: WriteBook, task: TaskRow, item: OccurrenceRow, now: datetime, zone: str) -> None:
    """What follows when something was done, or left out: the next date, the end of a single time, protein to take out."""
    cadence, waiting = task.cadence, await _waiting(book, item)
    after = max(now, item.due_at) if cadence.rhythm is not Rhythm.STEP else now
    due = next_due(after, cadence, ZoneInfo(zone), now)
    if due is None:
        await book.end_task(task.id)
    elif not waiting:
        await book.add_occurrence(task.id, item.bin_id, due, zone)
    elif cadence.rhythm is Rhythm.STEP and waiting[0].due_at != due:
        await book.move_occurrence(waiting[0].id, due, zone)
    was_done = await book.occurrence(item.id)
    if task.kind is CareKind.PROTEIN and was_done is not None and was_done.state is OccurrenceState.DONE:
        await _ask_for_remains(book, task, item.bin_id, now)


async def _ask_for_remains(book: WriteBook, task: TaskRow, bin_id: int, now: datetime) -> None:
    """Ask once, a day later, for what is left of the protein; what was asked for earlier protein gives way."""
    for other in await book.tasks(bin_id):
        if other.kind is CareKind.REMOVAL and other.keeper_id == task.keeper_id:
            await book.end_task(other.id)
    single = Cadence(Rhythm.ONCE, (), task.minute_of_day)
    made = await book.add_task(
        bin_id=bin_id,
        kind=CareKind.REMOVAL,
        cadence=single,
        channel_id=task.channel_id,
        keeper_id=task.keeper_id,
    )
    await book.add_occurrence(made, bin_id, now + LEFT, None)


async def _waiting(book: Book, item: OccurrenceRow) -> list[OccurrenceRow]:
    """The other dates of the same task and bin that wait, the earliest first."""
    return [
        other
        for other in await book.open_occurrences(item.task_id)
        if other.bin_id == item.bin_id and other.id != item.id and other.state is OccurrenceState.DUE
    ]


async def _open_items(book: Book, request: Request, delivery: int, occurrence: int | None) -> tuple[OccurrenceRow, ...]:
    await require_pinged(book, request, delivery)
    items = await book.occurrences_of(delivery)
    return tuple(i for i in items if i.state in _OPEN and occurrence in (None, i.id))


async def require_pinged(book: Book, request: Request, delivery: int) -> None:
    """Let the keeper whom a ping was for and stewards pass.

    Raises:
        Outlived: there is no such ping.
        NotYours: the person is neither.
    """
    row = await book.delivery(delivery)
    if row is None:
        raise Outlived("ping")
    if row.keeper_id != request.actor and Role.STEWARD not in request.roles:
        keeper = await book.keeper(row.keeper_id)
        raise NotYours(what="ping", keeper_name=keeper.name if keeper else "")


async def _last_answer(book: Book, delivery: int) -> EventRow:
    for event in await book.events(DELIVERY, delivery, limit=1):
        # An answer that was taken back is none; nor is any before it, which had to be taken back for it.
        if not await book.events(EVENT, event.seq, limit=1):
            return event
    items = await book.occurrences_of(delivery)
    tasks = [await book.task(item.task_id) for item in items if item.state is OccurrenceState.DROPPED]
    if not items or any(task is not None and task.ended_at is None for task in tasks):
        raise Superseded
    raise Outlived("ping")


async def _answered(book: Book, request: Request, delivery: int, event: EventRow) -> RoundAnswered:
    """The answer as its event has it: a repeat of the request finds the same, whatever was changed since."""
    before = {row["id"] for row in event.before["rows"] if row["table"] == "occurrences"}
    touched = [await book.occurrence(row) for row in sorted(before)]
    items = [item for item in touched if item is not None and item.state is not OccurrenceState.DUE]
    if event.kind == PUT_OFF:
        items = [item for item in touched if item is not None]
    following = [await book.open_occurrence(item.task_id) for item in items]
    return RoundAnswered(
        round=await round_as_it_stands(book, delivery, request.now),
        items=tuple(items),
        next_due=min((f.due_at for f in following if f is not None), default=None),
        by=event.actor_id,
        kind=event.kind,
        event=event.seq,
    )


async def round_as_it_stands(book: Book, delivery: int, now: datetime) -> Round:
    """A ping's round as it stands: what is open, and what was answered.

    Raises:
        Outlived: there is no such ping.
    """
    row = await book.delivery(delivery)
    if row is None:
        raise Outlived("ping")
    keeper = await book.keeper(row.keeper_id)
    return Round(
        server=book.server,
        delivery_id=delivery,
        channel_id=row.channel_id,
        keeper_id=row.keeper_id,
        keeper_name=keeper.name if keeper else "",
        now=now,
        maybe_repeat=row.maybe_repeat,
        items=items_of(await book.items_of(delivery), now, await zone_of(book, row.keeper_id)),
    )


async def show_round(desk: Desk, request: Request, *, delivery: int) -> Round:
    """A ping's round, for its keeper or a steward.

    Raises:
        Outlived: there is no such ping.
        NotYours: it is another keeper's.
    """
    async with desk.records.read(request.server, request.actor) as book:
        await require_pinged(book, request, delivery)
        return await round_as_it_stands(book, delivery, request.now)


async def reopen_round(desk: Desk, request: Request, *, seq: int) -> Round:
    """Take an answer back: the ping asks again for what it had asked.

    Raises:
        NothingToUndo, NotYourChange, ChangedSince, BuiltUpon: nothing was put back.
    """
    undone = await undo(desk, request, seq, only=ANSWERS)
    async with desk.records.read(request.server, request.actor) as book:
        return await round_as_it_stands(book, undone.event.subject.id, request.now)


async def bins_of_round(desk: Desk, request: Request, *, delivery: int) -> tuple[BinLabel, ...]:
    """The bins a ping is about, the late ones first.

    Raises:
        Outlived: there is no such ping.
    """
    async with desk.records.read(request.server, request.actor) as book:
        items = await book.occurrences_of(delivery)
    if not items:
        raise Outlived("ping")
    return tuple(dict.fromkeys(BinLabel(item.bin_code, item.bin_name) for item in items))
