"""The practice room put together: the stand-in service, the real bot connected to it, and a book."""

import asyncio
import sys
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from bot.cards.render import REFUSAL_ACCENT
from bot.clocks import MovableClocks
from bot.practice.ask import ask_once
from bot.practice.front import Front
from bot.practice.guide import Seat
from bot.practice.service import Service
from bot.practice.terminal import Terminal
from bot.practice.values import Person, Place, Room
from bot.records import NotOpened, Records
from bot.services.desk import Desk
from bot.services.society import Society, found_society, shipped_society
from bot.services.species import shipped_species
from bot.wiring import Bot, assembled, run, use_service

_TICK = timedelta(seconds=1)
_GRACE = timedelta(seconds=5)


class NoSuchServerError(ValueError):
    """The book has no keepers in the server asked for, or several servers and none was chosen; `known` are the ids."""

    def __init__(self, asked: int | None, known: tuple[int, ...]) -> None:
        super().__init__(asked, known)
        self.asked = asked
        self.known = known

    def __str__(self) -> str:
        if not self.known:
            return "Nobody has written in that book yet. Leave --book out to practise on the demo book."
        if len(self.known) == 1:
            return f"That book holds one server, {self.known[0]}. Leave --server out, or give that one."
        servers = ", ".join(map(str, self.known))
        return f"That book holds the servers {servers}. Choose one with --server {self.known[0]}."


class NoSuchPersonError(ValueError):
    """Nobody of that name is in the book; `known` are those who are."""

    def __init__(self, asked: str, known: tuple[str, ...]) -> None:
        super().__init__(asked, known)
        self.asked = asked
        self.known = known

    def __str__(self) -> str:
        return f"No keeper {self.asked} in that book. Choose one with --as: {', '.join(self.known)}."


@dataclass(frozen=True, slots=True)
class PracticeRoom:
    """A running stand-in with the bot logged in to it; people sit in `place`. `pings`: the clock runs."""

    service: Service
    bot: Bot
    clocks: MovableClocks
    place: Place
    pings: bool

    async def move(self, by: timedelta) -> None:
        """Move the keepers' time, and let the bot look for what is due at once."""
        self.clocks.move(by)
        if self.pings:
            await self.bot.clockwork.wake()


@asynccontextmanager
async def practice_room(book: Path | None, server: int | None, *, pings: bool) -> AsyncIterator[PracticeRoom]:
    """Open the practice room: on the demo book, made anew in a temporary folder, or on the SQLite file `book`.

    A file that is not there is made, with the demo society in it. The pings of a book that was not made for practice are
    left alone, whatever `pings` says: they are for its keepers' own channels.

    Raises:
        NoSuchServerError: it is not clear which of the book's servers is meant, or there is no such one.
        NotOpened: the file can't be made, or holds no book.
    """
    clocks = MovableClocks()
    with tempfile.TemporaryDirectory(prefix="mancabook-") as folder:
        if book is None:
            database = _address(Path(folder) / "demo.db")
            await _found(database, clocks)
        else:
            database = _address(book)
            if _is_missing(book):
                await _make(book, server, clocks)
        place = await _place(database, server)
        pings = pings and place.id == shipped_society().server
        service = Service([place])
        await service.start()
        try:
            use_service(service.base_url.removesuffix("/api/v10"))
            async with assembled(database, clocks, _TICK, new_service=True, pings=pings) as bot:
                leave = asyncio.Event()
                running = asyncio.create_task(run(bot, service.token, leave, _GRACE))
                try:
                    await service.wait_ready()
                    yield PracticeRoom(service, bot, clocks, place, pings)
                finally:
                    leave.set()
                    await running
        finally:
            await service.stop()


def _address(file: Path) -> str:
    return f"sqlite+aiosqlite:///{file}"


def _is_missing(book: Path) -> bool:
    return not book.exists()


async def _make(book: Path, server: int | None, clocks: MovableClocks) -> None:
    """Make a book with the demo society in it: whole, or not at all."""
    # Beside the book, for only within one file system is a file moved in one step.
    unfinished = book.with_name(f"{book.name}.unfinished")
    _remove(unfinished)
    try:
        await _found(_address(unfinished), clocks)
        await _place(_address(unfinished), server)
        unfinished.rename(book)
    finally:
        _remove(unfinished)


def _remove(file: Path) -> None:
    """Remove a database that is not open, with what a process that was killed may have left beside it."""
    for ending in ("", "-wal", "-shm"):
        file.with_name(file.name + ending).unlink(missing_ok=True)


async def _found(database: str, clocks: MovableClocks) -> None:
    records = await Records.open(database, alone=True)
    try:
        await found_society(Desk(records, shipped_species()), shipped_society(), clocks.now())
    finally:
        await records.close()


async def _place(database: str, server: int | None) -> Place:
    """The server that people sit in."""
    society = shipped_society()
    records = await Records.open(database)
    try:
        known = await records.servers()
        if server is None and len(known) == 1:
            server = known[0]
        if server not in known or server is None:
            raise NoSuchServerError(server, known)
        if server == society.server:
            return _of_society(society)
        async with records.read(server) as open_book:
            keepers = await open_book.keepers()
        people = tuple(Person(keeper.id, keeper.name or "(erased)", manager=True) for keeper in keepers)
        return Place(server, "your book", (Room(server + 1, "bins"),), people)
    finally:
        await records.close()


def _of_society(society: Society) -> Place:
    return Place(
        id=society.server,
        name=society.name,
        rooms=tuple(Room(number, name) for number, name in society.rooms),
        people=tuple(Person(keeper.id, keeper.name, manager=keeper.steward) for keeper in society.keepers),
    )


async def practise(book: Path | None, server: int | None, person: str | None, pictures: Path) -> int:
    """Sit in the practice room at this terminal until the input ends. Returns the exit status."""
    try:
        missing = book is not None and _is_missing(book)
        async with practice_room(book, server, pings=True) as room:
            terminal = Terminal(room.clocks.now)
            if missing:
                sys.stderr.write(f"There was no {book} yet; it is made, with the demo society in it.\n")
            if not room.pings:
                terminal.write("This book was not made for practice: its pings are left alone.")
            front = Front(
                room.service,
                _seat(room.place, person),
                read=terminal.read,
                write=terminal.write,
                move=room.move,
                pictures=pictures,
                screen=terminal.screen,
            )
            return await front.run()
    except (NoSuchServerError, NoSuchPersonError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    except NotOpened as error:
        sys.stderr.write(f"That book can't be opened: {error.reason}.\n")
        return 2


async def ask(line: str, book: Path | None, server: int | None, person: str | None, pictures: Path) -> int:
    """Send one command through the bot and print the reply. Returns 0, 1 if the bot refused, 2 if nobody could ask."""
    try:
        if book is not None and _is_missing(book):
            sys.stderr.write(f"There is no book {book}. `mancabook practice --book {book}` makes one.\n")
            return 2
        async with practice_room(book, server, pings=False) as room:
            terminal = Terminal(room.clocks.now)
            return await ask_once(
                room.service,
                _seat(room.place, person),
                line,
                terminal.write,
                complain=terminal.complain,
                refusal_accent=REFUSAL_ACCENT,
                pictures=pictures,
                screen=terminal.screen(),
            )
    except (NoSuchServerError, NoSuchPersonError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    except NotOpened as error:
        sys.stderr.write(f"That book can't be opened: {error.reason}.\n")
        return 2


def _seat(place: Place, person: str | None) -> Seat:
    wanted = (person or "").removeprefix("@").casefold()
    for who in place.people:
        if not wanted or who.name.casefold() == wanted:
            return Seat(place, place.rooms[0], who)
    raise NoSuchPersonError(person or "", tuple(who.name for who in place.people))
