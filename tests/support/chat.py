"""A society in a running chat: the real bot, logged in to the stand-in, with the demo book. What tests of `bot.chat` use."""

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import timedelta

from bot.clocks import MovableClocks
from bot.practice.exchange import Exchange
from bot.practice.outcome import Outcome
from bot.practice.registered import commands_of
from bot.practice.sending import sendable
from bot.practice.service import Service
from bot.practice.typed import read_line
from bot.practice.values import Message, Person, Place, Room
from bot.records import Records
from bot.services.desk import Desk
from bot.services.society import found_society, shipped_society
from bot.services.species import shipped_species
from bot.wiring import Bot, assembled, run, use_service

WREN = Person(910000000000000101, "Wren", manager=True)
MOSS = Person(910000000000000102, "Moss")
TAMSIN = Person(910000000000000103, "Tamsin")
BINS = Room(910000000000000011, "bins")
CARE = Room(910000000000000012, "care")
HOLLOW_LOG = Place(910000000000000001, "Hollow Log Society", (BINS, CARE), (WREN, MOSS, TAMSIN))
STRANGER = Person(920000000000000101, "Stranger", manager=True)
ELSEWHERE_ROOM = Room(920000000000000011, "elsewhere")
ELSEWHERE = Place(920000000000000001, "Another Society", (ELSEWHERE_ROOM,), (STRANGER,))


@dataclass(frozen=True, slots=True)
class Chat:
    """The stand-in, the bot in this loop, and the clocks the bot goes by. People type commands as in the practice room."""

    service: Service
    bot: Bot
    clocks: MovableClocks

    async def type(self, line: str, person: Person = WREN, room: Room = BINS, place: Place = HOLLOW_LOG) -> Outcome:
        """Send a typed command, as `person`."""
        typed = read_line(line, commands_of(self.service.commands_in(place)))
        return await self.service.command(place, room, person, typed.command.path, sendable(typed.options))

    async def press(self, message: Message | None, label: str, person: Person = WREN) -> Outcome:
        """Press the button that reads `label`."""
        assert message is not None, "there is no message to press on"
        return await self.service.press(message, message.button(label).custom_id, person)

    async def move(self, by: timedelta) -> None:
        """Move the keepers' time and let the bot act on it."""
        self.clocks.move(by)
        await self.bot.clockwork.wake()


async def fill_with_society(database: str, clocks: MovableClocks) -> None:
    """Write the demo society into an empty, migrated database."""
    records = await Records.open(database)
    await found_society(Desk(records, shipped_species()), shipped_society(), clocks.now())
    await records.close()


@asynccontextmanager
async def chat_on(database: str, recorder: Callable[[Exchange], None] | None = None) -> AsyncIterator[Chat]:
    """The bot on this database, connected; the demo society is in the book."""
    clocks = MovableClocks()
    await fill_with_society(database, clocks)
    service = Service([HOLLOW_LOG, ELSEWHERE], recorder=recorder)
    await service.start()
    use_service(service.base_url.removesuffix("/api/v10"))
    async with assembled(database, clocks, timedelta(minutes=5)) as bot:
        leave = asyncio.Event()
        running = asyncio.create_task(run(bot, service.token, leave, timedelta(seconds=5)))
        await service.wait_ready()
        yield Chat(service, bot, clocks)
        leave.set()
        await running
    await service.stop()
