"""People who ask the services for something, without a chat."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import count

from bot.records import CountRow, EventRow, Records
from bot.services.desk import Desk
from bot.services.request import Request, Role
from bot.services.species import shipped_species
from bot.services.weighing import LIBRARIES as WEIGHING
from bot.workers import Workers

SERVER, ELSEWHERE = 930000000000000001, 930000000000000002
WREN, MOSS, TAMSIN = 930000000000000101, 930000000000000102, 930000000000000103
NAMES = {WREN: "Wren", MOSS: "Moss", TAMSIN: "Tamsin"}
THURSDAY = datetime(2026, 3, 5, 12, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Asking:
    """The services' desk on one book, and requests to it, each with an id of its own."""

    desk: Desk
    numbers: "count[int]"

    def by(
        self,
        who: int = WREN,
        *,
        steward: bool = False,
        server: int = SERVER,
        after: timedelta = timedelta(),
        channel: int = 930000000000000011,
    ) -> Request:
        """A new request, `after` so long."""
        return Request(
            server=server,
            actor=who,
            actor_name=NAMES[who],
            request_id=next(self.numbers),
            now=THURSDAY + after,
            roles=frozenset({Role.STEWARD}) if steward else frozenset(),
            channel=channel,
        )

    async def events(self, server: int = SERVER) -> list[EventRow]:
        """Every change in a server's book, oldest first."""
        found: list[EventRow] = []
        async with self.desk.records.read(server) as book:
            while (event := await book.event(len(found) + 1)) is not None:
                found.append(event)
        return found

    async def counts(self, code: str) -> tuple[CountRow, ...]:
        """The counts of a bin, newest first."""
        async with self.desk.records.read(SERVER) as book:
            row = await book.bin_by_code(code)
            return await book.counts(row.id, limit=99) if row else ()


def asking_of(records: Records) -> Asking:
    """A desk on this book."""
    return Asking(Desk(records, shipped_species(), Workers(preloaded=WEIGHING)), count(SERVER))


def again(request: Request, after: timedelta = timedelta(hours=1)) -> Request:
    """The same request, delivered again later."""
    return replace(request, now=request.now + after)
