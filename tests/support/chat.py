"""A society in a running chat: the real bot, logged in to the stand-in, with the demo book. What tests of `bot.chat` use."""

import asyncio
import json
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any, cast

from discord import ui

from bot.clocks import MovableClocks, SystemClocks
from bot.practice.exchange import Exchange
from bot.practice.outcome import Outcome
from bot.practice.registered import commands_of
from bot.practice.sending import sendable
from bot.practice.service import Service
from bot.practice.typed import read_line, read_unfinished
from bot.practice.values import Attachment, Choice, FormShown, Message, Person, Place, Room
from bot.records import EventRow, Records, Stamp
from bot.services.desk import Desk
from bot.services.society import found_society
from bot.services.species import shipped_species
from bot.wiring import Bot, assembled, run, use_service
from tests.support.societies import small_society
from tests.support.wire import HandClock

WREN = Person(910000000000000101, "Wren", manager=True)
MOSS = Person(910000000000000102, "Moss")
TAMSIN = Person(910000000000000103, "Tamsin")
BINS = Room(910000000000000011, "bins")
CARE = Room(910000000000000012, "care")
HOLLOW_LOG = Place(910000000000000001, "Hollow Log Society", (BINS, CARE), (WREN, MOSS, TAMSIN))
STRANGER = Person(920000000000000101, "Stranger", manager=True)
ELSEWHERE_ROOM = Room(920000000000000011, "elsewhere")
ELSEWHERE = Place(920000000000000001, "Another Society", (ELSEWHERE_ROOM,), (STRANGER, MOSS))

ALREADY_ANSWERED, TOO_LATE = 40060, 10062

NOWHERE = cast(Place, SimpleNamespace(id=None))
"""Where a direct message is: in no place. The chat's own screen offers no command there; a forged client may send one."""


@dataclass(slots=True)
class Chat:
    """The stand-in, the bot in this loop, and the clocks the bot goes by. People type commands as in the practice room.

    `clock` is the stand-in's. `exchanges` are the bot's HTTP requests so far, and `expected` the codes with which the
    stand-in may have refused some of them; any other refusal fails the test when it ends.
    """

    service: Service
    bot: Bot
    clocks: MovableClocks
    clock: HandClock
    exchanges: list[Exchange] = field(repr=False)
    expected: set[int] = field(default_factory=set)

    async def type(self, line: str, person: Person = WREN, room: Room = BINS, place: Place = HOLLOW_LOG) -> Outcome:
        """Send a typed command, as `person`."""
        typed = read_line(line, commands_of(self.service.commands_in(place)))
        return await self.service.command(place, room, person, typed.command.path, sendable(typed.options))

    async def say(self, text: str, *files: Attachment, person: Person = WREN, room: Room = BINS) -> Message:
        """Post a message of a person, with files."""
        return await self.service.say(room, person, text, files)

    async def menu(self, message: Message, entry: str, person: Person = WREN) -> Outcome:
        """Choose an entry of a message's menu."""
        return await self.service.menu(message, entry, person)

    async def press(self, message: Message | None, label: str, person: Person = WREN) -> Outcome:
        """Press the button that reads `label`."""
        assert message is not None, "there is no message to press on"
        return await self.service.press(message, message.button(label).custom_id, person)

    async def submit(self, form: FormShown | None, **values: str) -> Outcome:
        """Submit a form; what is not named keeps what stood in it."""
        assert form is not None, "no form opened"
        return await self.service.submit(form, values)

    async def offered(
        self, line: str, person: Person = WREN, room: Room = BINS, place: Place = HOLLOW_LOG
    ) -> tuple[Choice, ...]:
        """What is offered while the last option of `line` is being typed."""
        typed = read_unfinished(line, commands_of(self.service.commands_in(place)))
        options = sendable(typed.options)
        return await self.service.complete(place, room, person, typed.command.path, options, typed.focused)

    async def plant(self, custom_id: str, channel: Room | int = BINS, *, layout: bool = False) -> Message:
        """A message of the bot's with a button of any id under it, as an older or a forged one might have.

        It is a plain one, as pings are, or with `layout` one like a reply.
        """
        number = channel if isinstance(channel, int) else channel.id
        room = self.bot.client.get_partial_messageable(number)
        button: ui.Button[Any] = ui.Button(label="planted", custom_id=custom_id)
        if layout:
            card = ui.LayoutView(timeout=None)
            card.add_item(ui.TextDisplay("planted")).add_item(ui.ActionRow(button))
            card.stop()
            posted = await room.send(view=card)
        else:
            view = ui.View(timeout=None)
            view.add_item(button)
            view.stop()
            posted = await room.send("planted", view=view)
        return self.service.message(posted.id)

    async def forge(
        self, custom_id: str, person: Person = WREN, channel: Room | int = BINS, *, layout: bool = False
    ) -> Outcome:
        """Press a button of any id."""
        return await self.service.press(await self.plant(custom_id, channel, layout=layout), custom_id, person)

    async def again(self, outcome: Outcome) -> None:
        """Deliver an interaction a second time, and wait until the bot has tried to answer it and was told it had."""
        self.expected.add(ALREADY_ANSWERED)
        before = len(outcome.refusals)
        await self.service.redeliver(outcome)
        assert await outcome.until(lambda seen: len(seen.refusals) > before, 5)
        assert outcome.refusals[-1].code == ALREADY_ANSWERED

    async def move(self, by: timedelta) -> None:
        """Move the keepers' time and let the bot act on it."""
        self.clocks.move(by)
        await self.bot.clockwork.wake()

    async def events(self, place: Place = HOLLOW_LOG) -> list[EventRow]:
        """Every change in a place's book, oldest first."""
        found: list[EventRow] = []
        async with self.bot.records.read(place.id) as book:
            while (event := await book.event(len(found) + 1)) is not None:
                found.append(event)
        return found

    @asynccontextmanager
    async def book_held(self, place: Place = HOLLOW_LOG) -> AsyncIterator[None]:
        """Nobody else can write into a place's book while the block runs: whoever wants to waits."""
        stamp = Stamp(server=place.id, actor=1, actor_name="holder", request_id=1 << 60, now=self.clocks.now())
        async with self.bot.records.write(stamp):
            yield

    def refused(self) -> list[int]:
        """The codes of the requests that the stand-in refused; the status where it named no code."""
        return [_code(each) for each in self.exchanges if each.status >= 400]

    def sent(self, method: str, ending: str) -> list[Exchange]:
        """The bot's requests of a method whose path ends so."""
        return [each for each in self.exchanges if each.method == method and each.path.endswith(ending)]


def _code(exchange: Exchange) -> int:
    try:
        told: Any = json.loads(exchange.response or "{}")
    except ValueError:
        told = {}
    return int(told.get("code") or exchange.status) if isinstance(told, dict) else exchange.status


def first_line(outcome: Outcome) -> str:
    """The line of the answer that a person reads first."""
    assert outcome.message is not None, outcome
    return outcome.message.text.partition("\n")[0]


def labels(outcome: Outcome) -> list[str]:
    """What can be pressed under the answer."""
    return [button.label for button in outcome.messages[-1].buttons]


def only_for(person: Person, outcome: Outcome) -> Message:
    """The answer, which only this person can see."""
    message = outcome.messages[-1]
    assert message.ephemeral
    assert message.viewer_id == person.id
    return message


def some_thursday() -> datetime:
    """A Thursday noon near today: the demo society's care falls due on the Sunday after it, whatever day the test runs."""
    noon = SystemClocks().now().replace(hour=12, minute=0, second=0, microsecond=0)
    return noon + timedelta(days=3 - noon.weekday())


def clocks_at(moment: datetime) -> MovableClocks:
    """Clocks that show this moment now."""
    return MovableClocks(moment - SystemClocks().now())


async def fill_with_society(database: str, clocks: MovableClocks) -> None:
    """Write the demo society into an empty, migrated database."""
    records = await Records.open(database)
    await found_society(Desk(records, shipped_species()), small_society(), clocks.now())
    await records.close()


@asynccontextmanager
async def bot_at(service: Service, database: str, clocks: MovableClocks) -> AsyncIterator[Bot]:
    """The bot on this database, connected to this stand-in; logged out when the block ends."""
    use_service(service.base_url.removesuffix("/api/v10"))
    async with assembled(database, clocks, timedelta(minutes=5)) as bot:
        leave = asyncio.Event()
        running = asyncio.create_task(run(bot, service.token, leave, timedelta(seconds=5)))
        await service.wait_ready()
        try:
            yield bot
        finally:
            leave.set()
            await running


@asynccontextmanager
async def chat_on(
    database: str,
    now: datetime,
    recorder: Callable[[Exchange], None] | None = None,
    places: Sequence[Place] = (HOLLOW_LOG, ELSEWHERE),
) -> AsyncIterator[Chat]:
    """The bot on a database that the society is in, connected; the keepers' time begins at `now`."""
    clocks, clock = clocks_at(now), HandClock()
    exchanges: list[Exchange] = []

    def record(exchange: Exchange) -> None:
        exchanges.append(exchange)
        if recorder is not None:
            recorder(exchange)

    service = Service(places, recorder=record, clock=clock)
    await service.start()
    async with bot_at(service, database, clocks) as bot:
        yield Chat(service, bot, clocks, clock, exchanges)
        service.faults.clear()
    await service.stop()
