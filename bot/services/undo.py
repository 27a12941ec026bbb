"""Taking back a change: one's own, or as a steward anybody's."""

from collections.abc import Collection
from dataclasses import dataclass

from bot.records import Changed, Depended, EventRow, Irreversible, Subject, WriteBook
from bot.services.access import is_steward
from bot.services.desk import Desk
from bot.services.refusals import BuiltUpon, ChangedSince, NothingToUndo, NotYourChange
from bot.services.request import Request

EVENT = "event"
CARE_ADDED = "care.added"


@dataclass(frozen=True, slots=True)
class Undone:
    """The change that was taken back."""

    event: EventRow


async def undo(desk: Desk, request: Request, seq: int, *, only: Collection[str] = ()) -> Undone:
    """Put back what the event changed, if nothing has changed since. A person undoes what they did, a steward anything.

    What took something back is not undone in its turn. `only` names the kinds of event that are meant, if not all are.

    Raises:
        NothingToUndo, NotYourChange, ChangedSince, BuiltUpon: nothing was put back.
    """
    try:
        async with desk.records.write(request.stamp) as book:
            event = await book.event(seq)
            if event is None:
                raise NothingToUndo
            if event.actor_id != request.actor and not is_steward(request):
                keeper = await book.keeper(event.actor_id)
                raise NotYourChange(keeper_name=keeper.name if keeper else "")
            if event.subject.kind == EVENT or (only and event.kind not in only):
                raise NothingToUndo
            if book.repeat is None:
                if await book.events(EVENT, seq, limit=1):
                    raise NothingToUndo
                await _take_back(book, event)
            return Undone(event)
    except Changed as error:
        raise ChangedSince from error
    except Depended as error:
        raise BuiltUpon from error
    except Irreversible as error:
        raise NothingToUndo from error


async def _take_back(book: WriteBook, event: EventRow) -> None:
    try:
        await book.undo(event)
    except (Changed, Depended):
        if event.kind != CARE_ADDED:
            raise
        # The clock has asked for it since, so the task has a past that stays in the book.
        await book.end_task(event.subject.id)
        await book.log("care.ended", Subject(EVENT, event.seq))
