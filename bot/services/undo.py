"""Taking back one's own change."""

from dataclasses import dataclass

from bot.records import Changed, Depended, EventRow, Irreversible
from bot.services.desk import Desk
from bot.services.refusals import BuiltUpon, ChangedSince, NothingToUndo, NotYourChange
from bot.services.request import Request

EVENT = "event"


@dataclass(frozen=True, slots=True)
class Undone:
    """The change that was taken back."""

    event: EventRow


async def undo(desk: Desk, request: Request, seq: int) -> Undone:
    """Put back what the event changed, if nothing has changed since. A person undoes only what they did themselves.

    Raises:
        NothingToUndo, NotYourChange, ChangedSince, BuiltUpon: nothing was put back.
    """
    try:
        async with desk.records.write(request.stamp) as book:
            event = await book.event(seq)
            if event is None:
                raise NothingToUndo
            if event.actor_id != request.actor:
                keeper = await book.keeper(event.actor_id)
                raise NotYourChange(keeper_name=keeper.name if keeper else "")
            if book.repeat is None:
                if await book.events(EVENT, seq, limit=1):
                    raise NothingToUndo
                await book.undo(event)
            return Undone(event)
    except Changed as error:
        raise ChangedSince from error
    except Depended as error:
        raise BuiltUpon from error
    except Irreversible as error:
        raise NothingToUndo from error
