"""What a care task can be for, to choose from while it is typed."""

from bot.services.care_tasks import shelves_of
from bot.services.care_words import EVERYTHING, SHELF
from bot.services.desk import Desk
from bot.services.finding import matching
from bot.services.request import Request


async def choose_target(desk: Desk, request: Request, text: str) -> tuple[tuple[str, str], ...]:
    """All bins, the actor's shelves, and bins that hold `text`, as pairs of what is shown and what is meant."""
    wanted = text.strip().casefold()
    async with desk.records.read(request.server, request.actor) as book:
        shelves = await shelves_of(book, request.actor)
        bins = matching(text, await book.bins(), request.actor)
    wholes = [EVERYTHING, *(f"{SHELF}{name}" for name in shelves)]
    found = [(whole, whole) for whole in wholes if wanted in whole.casefold()]
    return (*found, *((f"{b.code} {b.name}" if b.name else b.code, b.code) for b in bins))
