"""A keeper's own settings, the server's, and taking one's words out of the book."""

import re
from dataclasses import dataclass
from typing import Any

from bot.records import Book, EventRow, KeeperRow, ServerRow, Subject, Units
from bot.services.access import require_steward
from bot.services.desk import Desk
from bot.services.refusals import NothingSet, PrefixNotTaken, QuietNotRead, TimeNotRead, WordNotKnown
from bot.services.request import Request
from bot.services.times import read_time, zone_named

KEEPER, SERVER = "keeper", "server"
KEEPER_SET, SERVER_SET, ERASED = "keeper.set", "server.set", "keeper.erased"
LONGEST_PREFIX = 8
"""Of a bin code, in characters: it has to fit on a lid."""

UNITS = {"metric": Units.METRIC, "imperial": Units.IMPERIAL}
"""The units a keeper can choose, by the words they type."""

_OFF = frozenset({"off", "none", "no", "never"})
_BETWEEN = re.compile(r"\s*(?:-|–|\bto\b|\buntil\b)\s*", re.IGNORECASE)
_PREFIX = re.compile(r"[^\W\d_]+-?")


@dataclass(frozen=True, slots=True)
class Settings:
    """What is set for a keeper and for the server; None where nobody set anything yet. `event` can take a change back."""

    keeper: KeeperRow | None
    server: ServerRow | None
    event: int | None = None


async def settings_of(desk: Desk, request: Request) -> Settings:
    """What is set for the person who asks, and for the server."""
    async with desk.records.read(request.server, request.actor) as book:
        return await _settings(book, request)


async def set_keeper(
    desk: Desk, request: Request, *, zone: str = "", quiet: str = "", units: str = "", channel: int | None = None
) -> Settings:
    """Change what is given, and leave the rest.

    `quiet` is like "22:00-07:00", or "off"; `channel` is the room that pings go to.

    Raises:
        NothingSet, NoSuchZone, QuietNotRead, WordNotKnown: nothing was written.
    """
    changes: dict[str, Any] = {}
    if zone.strip():
        changes["zone"] = zone_named(zone)
    if quiet.strip():
        changes["quiet_from"], changes["quiet_to"] = read_quiet(quiet)
    if units.strip():
        changes["units"] = _units(units)
    if channel is not None:
        changes["channel_id"] = channel
    if not changes:
        raise NothingSet
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            await book.change_keeper(**changes)
            event = await book.log(KEEPER_SET, Subject(KEEPER, request.actor))
        return await _settings(book, request, event)


async def set_server(
    desk: Desk, request: Request, *, zone: str = "", prefix: str = "", channel: int | None = None
) -> Settings:
    """Change the server's settings that are given, and leave the rest. Bins that are open keep their codes.

    Raises:
        StewardsOnly, NothingSet, NoSuchZone, PrefixNotTaken: nothing was written.
    """
    require_steward(request, "change the server's settings")
    changes: dict[str, Any] = {}
    if zone.strip():
        changes["zone"] = zone_named(zone)
    if prefix.strip():
        changes["bin_prefix"] = _prefix(prefix.strip())
    if channel is not None:
        changes["channel_id"] = channel
    if not changes:
        raise NothingSet
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            await book.change_server(**changes)
            event = await book.log(SERVER_SET, Subject(SERVER, request.server))
        return await _settings(book, request, event)


async def erase_texts(desk: Desk, request: Request) -> None:
    """Blank everything the person who asks has typed into this server's book, and their name. It cannot be undone.

    What happened stays, without the words: bins, counts and dates, and the names of traits, in which others' records are
    written.
    """
    async with desk.records.write(request.stamp) as book:
        if book.repeat is None:
            await book.erase_keeper_texts(request.actor)
            await book.log(ERASED, Subject(KEEPER, request.actor))


async def units_of(book: Book, request: Request) -> Units | None:
    """The units that the person who asks reads first; None where they chose none."""
    keeper = await book.keeper(request.actor)
    return keeper.units if keeper else None


def read_quiet(text: str) -> tuple[int | None, int | None]:
    """Quiet hours as minutes of the day, from and to: "22:00-07:00", "10pm to 7am"; "off" gives neither.

    >>> read_quiet("22:00-07:00"), read_quiet("off")
    ((1320, 420), (None, None))

    Raises:
        QuietNotRead: they are not two different times.
    """
    if text.strip().casefold() in _OFF:
        return None, None
    ends = _BETWEEN.split(text.strip())
    try:
        times = [read_time(end) for end in ends]
    except TimeNotRead as error:
        raise QuietNotRead(text=text) from error
    if len(times) != 2 or times[0] == times[1]:
        raise QuietNotRead(text=text)
    return times[0], times[1]


def _units(text: str) -> Units:
    found = UNITS.get(text.strip().casefold())
    if found is None:
        raise WordNotKnown(what="set of units", text=text, known=tuple(UNITS))
    return found


def _prefix(text: str) -> str:
    if len(text) > LONGEST_PREFIX or not _PREFIX.fullmatch(text):
        raise PrefixNotTaken(text=text, most=LONGEST_PREFIX)
    return text.upper()


async def _settings(book: Book, request: Request, event: EventRow | None = None) -> Settings:
    return Settings(await book.keeper(request.actor), await book.server_row(), event.seq if event else None)
