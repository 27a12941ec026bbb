"""A society whose bot is killed again and again: pings fall due, keepers log counts, and nobody waits for anybody."""

import asyncio
import itertools
import random
import signal
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from enum import StrEnum

from sqlalchemy import select, update

from bot.cards import verbs
from bot.cards.ids import CustomId
from bot.practice.exchange import Exchange
from bot.practice.faults import Hold
from bot.practice.outcome import Outcome
from bot.practice.values import Message, Person, Place, Room
from bot.records import CareKind, DeliveryRow, DeliveryState, OccurrenceRow, OccurrenceState, Records, Stamp, Subject
from bot.records.engines import make_engines
from bot.records.tables import counts, deliveries, events
from tests.support.pings import Care, add_care
from tests.support.processes import BotProcess, Machine
from tests.support.wire import HandClock

COUNTING = Room(930000000000000011, "counting")
CARE_ROOMS = tuple(Room(930000000000000020 + n, f"care-{n}") for n in range(3))
PEOPLE = tuple(Person(930000000000000100 + n, f"Keeper {n}") for n in range(4))
PLACE = Place(930000000000000001, "A Society of Bad Luck", (COUNTING, *CARE_ROOMS), PEOPLE)

POSTS, ANSWERS = "/channels/*/messages", "/interactions/*/callback"
OUTAGE = timedelta(seconds=240)
"""Longer than the stand-in remembers a nonce."""


class When(StrEnum):
    """The part of a process's life in which it is killed."""

    STARTING = "starting"
    RUNNING = "running"
    SENT_NOT_TAKEN = "a ping is on the wire"
    TAKEN_NOT_HEARD = "a ping is posted, the answer not read"
    ANSWER_NOT_TAKEN = "an answer is on the wire"
    ANSWER_NOT_HEARD = "an answer is shown, the bot does not know"


@dataclass(frozen=True, slots=True)
class Kill:
    """One kill: in which part of the life, after how long there, and whether a long outage follows."""

    when: When
    after: float
    outage: bool


def planned(chance: random.Random, kills: int) -> list[Kill]:
    """The kills of a run, every part of a life among them, each at a random moment of it."""
    parts = list(itertools.islice(itertools.cycle([*When, When.STARTING, When.RUNNING, When.TAKEN_NOT_HEARD]), kills))
    chance.shuffle(parts)
    # What was posted and not heard of meets both defences: the nonce while it is young, the channel's history afterwards.
    outages = {when: itertools.cycle([True, False]) for when in When}
    return [Kill(when, chance.uniform(0, 1), next(outages[when])) for when in parts]


@dataclass(slots=True)
class BadLuck:
    """The society: what fell due, and what every keeper was told about the counts they logged."""

    machine: Machine
    records: Records
    clock: HandClock
    chance: random.Random
    bins: dict[int, str] = field(default_factory=dict)
    cares: list[Care] = field(default_factory=list)
    logged: dict[int, Outcome] = field(default_factory=dict)
    _totals: "itertools.count[int]" = field(default_factory=lambda: itertools.count(1000))
    _asking: list["asyncio.Task[None]"] = field(default_factory=list)

    async def found(self) -> None:
        """Give each keeper a bin to count."""
        for person in PEOPLE:
            async with self.records.write(self._stamp(person)) as book:
                made = await book.add_bin(species_key="porcellio-laevis")
                await book.log("bin.opened", Subject("bin", made.id))
            self.bins[person.id] = made.code

    async def let_fall_due(self) -> None:
        """A weekly task of every keeper in every care channel is an hour late; next week's is far away."""
        due = (datetime.now(UTC) - timedelta(hours=1)).replace(second=0, microsecond=0)
        for person, room in itertools.product(PEOPLE, CARE_ROOMS):
            self.cares.append(
                await add_care(
                    self.records,
                    PLACE.id,
                    person.id,
                    room.id,
                    weekday=due.weekday(),
                    minute_of_day=due.hour * 60 + due.minute,
                    kind=self.chance.choice(list(CareKind)),
                    added=due - timedelta(days=1),
                    due=due,
                )
            )

    async def live_and_die(self, kill: Kill) -> None:
        """Start the bot, let the keepers log counts, and kill it."""
        bot = await self.machine.spawn()
        if kill.when is When.STARTING:
            await asyncio.sleep(kill.after)
            await self._end(bot)
        else:
            await self.machine.service.wait_ready(20)
            asking = [asyncio.create_task(self._log_counts(bot, person)) for person in PEOPLE]
            self._asking += asking
            await self._run_until(kill, bot)
        if kill.outage:
            await self._pass_an_outage()

    async def _run_until(self, kill: Kill, bot: BotProcess) -> None:
        hold: Hold | None = None
        match kill.when:
            case When.SENT_NOT_TAKEN | When.TAKEN_NOT_HEARD:
                # A dozen pings go out in the first half second.
                await asyncio.sleep(kill.after * 0.3)
                hold = self._hold(POSTS, heard=kill.when is When.TAKEN_NOT_HEARD)
            case When.ANSWER_NOT_TAKEN | When.ANSWER_NOT_HEARD:
                await asyncio.sleep(kill.after)
                hold = self._hold(ANSWERS, heard=kill.when is When.ANSWER_NOT_HEARD)
            case _:
                await asyncio.sleep(kill.after)
        if hold is not None:
            try:
                await hold.reached(5)
            except TimeoutError as error:
                raise AssertionError(f"nothing came to be held; the bot said: {bot.said()}") from error
        await self._end(bot)
        if hold is not None:
            hold.release()

    def _hold(self, path: str, *, heard: bool) -> Hold:
        return self.machine.service.faults.hold("POST", path, after_accepting=heard)

    async def _end(self, bot: BotProcess) -> None:
        assert bot.process.returncode is None, bot.said()
        bot.send(signal.SIGKILL)
        assert await bot.ended() == -signal.SIGKILL
        await self.machine.service.wait_gone()

    async def _log_counts(self, bot: BotProcess, person: Person) -> None:
        """One count after another, as long as the bot lives; now and then the wire stutters."""
        faults = self.machine.service.faults
        while bot.process.returncode is None and self.machine.service.gateway.online:
            if self.chance.random() < 0.1:
                faults.deliver_twice_next()
            if self.chance.random() < 0.03:
                faults.fail_next("POST", ANSWERS)
            total = next(self._totals)
            line = f"/count log bin:{self.bins[person.id]} count:{total}"
            self.logged[total] = await self.machine.type(line, person, COUNTING, PLACE)
            await asyncio.sleep(self.chance.uniform(0.02, 0.2))

    async def _pass_an_outage(self) -> None:
        """Minutes go by before the bot is started again: for the service, and for the rows that the bot left behind."""
        self.clock.move(OUTAGE.total_seconds())
        engines = make_engines(self.machine.database)
        here = deliveries.c.server_id == PLACE.id
        async with engines.writer.begin() as connection:
            for row in await connection.execute(select(deliveries).where(here)):
                if row.state == DeliveryState.SENDING:
                    moved = {
                        "lease_until": row.lease_until - OUTAGE,
                        "first_tried_at": row.first_tried_at and row.first_tried_at - OUTAGE,
                    }
                    await connection.execute(update(deliveries).where(here, deliveries.c.id == row.id).values(moved))
        await engines.close()

    async def calm_down(self) -> None:
        """A last process that nobody kills, until nothing is left to send; then it is stopped."""
        await asyncio.gather(*self._asking)
        self.machine.service.faults.clear()
        bot = await self.machine.start()
        async with asyncio.timeout(30):
            while not all(o.state is OccurrenceState.ASKED for o in await self.asked()):  # noqa: ASYNC110 - another process
                await asyncio.sleep(0.1)
        bot.send(signal.SIGTERM)
        assert await bot.ended() == 0, bot.said()

    async def asked(self) -> list[OccurrenceRow]:
        """The occurrence of each care that fell due."""
        async with self.records.read(PLACE.id) as book:
            rows = [await book.occurrence(care.occurrence) for care in self.cares]
        return [row for row in rows if row is not None]

    async def deliveries(self, state: DeliveryState) -> dict[int, DeliveryRow]:
        """The deliveries of all those that are in this state, by id."""
        numbers = {row.delivery_id for row in await self.asked()}
        async with self.records.read(PLACE.id) as book:
            rows = [await book.delivery(number) for number in numbers if number is not None]
        return {row.id: row for row in rows if row is not None and row.state is state}

    def posted(self) -> list[str]:
        """The nonces of the bot's posts, as often as it sent them."""
        return [str(e.body["nonce"]) for e in self._requests("POST") if isinstance(e.body, dict)]

    def looks(self) -> list[Exchange]:
        """The times a channel's history was read."""
        return self._requests("GET")

    def _requests(self, method: str) -> list[Exchange]:
        return [e for e in self.machine.exchanges if e.method == method and e.template.endswith("/messages")]

    def pings(self) -> dict[str, list[Message]]:
        """Every ping that stands in the chat, by its mark."""
        found: dict[str, list[Message]] = {}
        for room in PLACE.rooms:
            for message in self.machine.service.messages(room):
                if message.interaction_id is None:
                    mark = next(
                        b.custom_id for b in message.buttons if b.custom_id.startswith(str(CustomId(verbs.CARE_DONE)))
                    )
                    found.setdefault(mark, []).append(message)
        return found

    def acknowledged(self) -> set[int]:
        """The counts whose keepers read that they are in the book."""
        return {total for total, outcome in self.logged.items() if f"{total:,}** counted" in outcome.text}

    async def written(self) -> "Counter[int]":
        """How often each count stands in the book."""
        engines = make_engines(self.machine.database)
        async with engines.reader.connect() as connection:
            totals = await connection.execute(select(counts.c.total).where(counts.c.server_id == PLACE.id))
            found = Counter(totals.scalars())
        await engines.close()
        return found

    async def events_of_counts(self) -> "Counter[int]":
        """How many events each interaction with a count has left."""
        engines = make_engines(self.machine.database)
        async with engines.reader.connect() as connection:
            here = events.c.server_id == PLACE.id
            asked = await connection.execute(select(events.c.request_id).where(here, events.c.kind == "count.logged"))
            found = Counter(asked.scalars())
        await engines.close()
        return found

    def _stamp(self, person: Person) -> Stamp:
        number = self.chance.getrandbits(40)
        return Stamp(PLACE.id, person.id, person.name, number, datetime.now(UTC))
