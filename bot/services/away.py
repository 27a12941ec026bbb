"""Being away: some days without pings."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.calendar import instant
from bot.records import Book, EventRow, OccurrenceRow, Subject
from bot.services.care_tasks import zone_of
from bot.services.desk import Desk
from bot.services.refusals import DateNotRead, NotAway, TakenBack
from bot.services.request import Request
from bot.services.times import read_day

KEEPER = "keeper"
AWAY, BACK = "care.away", "care.back"


@dataclass(frozen=True, slots=True)
class Absence:
    """The days a keeper is away: from a midnight to another, in the zone; and the event.

    `passing` are the days that fall into it and must not pass.
    """

    start: datetime
    end: datetime
    zone: str
    event: int
    passing: tuple[OccurrenceRow, ...] = ()


@dataclass(frozen=True, slots=True)
class Return:
    """A keeper is back, and how many things were due meanwhile and are asked for now; and the event."""

    waiting: int
    event: int


async def go_away(desk: Desk, request: Request, *, start: str, end: str) -> Absence:
    """Ping the actor of nothing from one day, or from today, until the day of their return. Then one ping says what waits.

    Raises:
        DateNotRead: a day was not understood, is past, or comes before the other; NoZoneYet. Nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            zone = ZoneInfo(await zone_of(book, request.actor))
            today = instant(request.now.astimezone(zone).date(), 0, zone)
            begins = read_day(start, request.now, zone) if start.strip() else today
            ends = read_day(end, request.now, zone)
            if ends <= begins:
                raise DateNotRead(end, past=True)
            await book.set_away(begins, ends)
            event = await book.log(AWAY, Subject(KEEPER, request.actor))
        return await _absence(book, event)


async def _absence(book: Book, event: EventRow) -> Absence:
    row = next((row for row in event.after["rows"] if row["table"] == "keepers"), None)
    if row is None:
        raise TakenBack("absence")
    days = [datetime.fromisoformat(row[name]) for name in ("away_from", "away_until")]
    wanted = await book.open_for(event.actor_id, event.at, days[1])
    passing = tuple(due for due in wanted if due.kind.rank == 0 and due.due_at >= days[0])
    return Absence(days[0], days[1], await zone_of(book, event.actor_id), event.seq, passing)


async def come_back(desk: Desk, request: Request) -> Return:
    """End an absence now.

    Raises:
        NotAway: the actor is not away, nor is about to be.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            keeper = await book.keeper(request.actor)
            if keeper is None or keeper.away_until is None or keeper.away_until <= request.now:
                raise NotAway
            await book.set_away(None, None)
            event = await book.log(BACK, Subject(KEEPER, request.actor))
        waiting = await book.open_for(request.actor, request.now, request.now)
        return Return(len(waiting), event.seq)
