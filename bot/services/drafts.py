"""What a person typed and the bot could not take: kept for a day, for that person alone."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.refusals import Outlived
from bot.services.request import Request

KEPT_FOR = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Draft:
    """A kept draft: its id, what it was to become, and the fields as typed."""

    id: int
    kind: str
    fields: Mapping[str, str]


async def keep(desk: Desk, request: Request, kind: str, fields: Mapping[str, str]) -> int:
    """Keep what was typed; returns the draft's id in this server."""
    async with desk.records.write(request.stamp) as book:
        return await book.add_draft(kind, fields, request.now + KEPT_FOR)


async def take(desk: Desk, request: Request, draft: str) -> Draft:
    """The person's own draft.

    Raises:
        Outlived: there is none of that id: it is over a day old, or another person's.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await book.draft(row_id(draft), request.actor, request.now)
    if row is None:
        raise Outlived("draft")
    return Draft(row.id, row.kind, row.fields)


async def use(desk: Desk, request: Request, draft: str) -> Draft:
    """The person's own draft, taken out, so that a second press finds nothing to do twice.

    Raises:
        Outlived: as `take`.
    """
    async with desk.records.write(request.stamp) as book:
        row = await book.draft(row_id(draft), request.actor, request.now)
        if row is None:
            raise Outlived("draft")
        await book.drop_draft(row.id)
    return Draft(row.id, row.kind, row.fields)
