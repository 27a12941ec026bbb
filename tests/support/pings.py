"""A shore for the dispatcher to send to, clocks moved by hand, and care that falls due."""

import secrets
from collections import deque
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from enum import Enum, auto
from zoneinfo import ZoneInfo

from bot.calendar import Cadence, first_due, weekly
from bot.cards import verbs
from bot.cards.card import Button, Ping
from bot.cards.ids import CustomId
from bot.clock.port import Absent, Found, Gone, NoPermission, Opened, Posted, Reached, RetryAfter, Sent
from bot.guard import assert_no_unit_open
from bot.records import CareKind, Records, Stamp, Subject
from bot.rounds import Round

START = datetime(2027, 3, 1, 12, tzinfo=UTC)
"""A Monday."""

REPEAT = "(may be a repeat)"


def direct(keeper: int) -> int:
    """The channel of direct messages to a keeper."""
    return 800_000 + keeper


def notice(room: int) -> Ping:
    """That a room takes no pings."""
    return Ping(f"room {room} takes no pings")


class Crash(BaseException):
    """The process ends here. Not an Exception: nothing in the bot may catch it and tidy up."""


@dataclass
class Hands:
    """Both clocks, moved by hand."""

    at: datetime = START
    ahead: timedelta = timedelta()

    def now(self) -> datetime:
        return self.at + self.ahead

    def real(self) -> datetime:
        return self.at

    def wait(self, span: timedelta) -> None:
        self.at += span


class Fault(Enum):
    """What goes wrong with one post."""

    LOST = auto()
    """The request never arrives; a wait is proposed."""
    UNHEARD = auto()
    """It is posted, but the answer does not come back."""
    RESET = auto()
    """The connection breaks before it arrives."""
    RESET_AFTER = auto()
    """It is posted, then the connection breaks."""
    SLOW_DOWN = auto()
    """Not posted: a rate limit of 90 seconds."""
    CRASH = auto()
    """The process ends before it arrives."""
    CRASH_AFTER = auto()
    """It is posted, then the process ends."""


@dataclass(frozen=True)
class Message:
    """What stands, or stood, in a channel."""

    id: int
    channel: int
    marks: tuple[str, ...]
    nonce: str
    at: datetime
    text: str
    deleted: bool = False


async def _nothing(where: str) -> None:
    return None


@dataclass
class Shore:
    """A chat service with faults. Knows a nonce for `remembers` after the message, deleted or not."""

    clocks: Hands
    remembers: timedelta = timedelta(minutes=2)
    messages: list[Message] = field(default_factory=list)
    faults: deque[Fault] = field(default_factory=deque)
    gone: set[int] = field(default_factory=set)
    closed: set[int] = field(default_factory=set)
    unreadable: set[int] = field(default_factory=set)
    shut: set[int] = field(default_factory=set)
    """Keepers who take no direct messages."""
    public: tuple[int, ...] = ()
    """Rooms for notices to everybody."""
    posts: int = 0
    looks: int = 0
    at: Callable[[str], Awaitable[None]] = _nothing
    """Awaited with "post", "posted", "find" and "found" at those moments."""

    async def post(self, channel_id: int, ping: Ping, nonce: str) -> Posted:
        assert_no_unit_open("posting a ping")
        self.posts += 1
        await self.at("post")
        fault = self.faults.popleft() if self.faults else None
        match fault:
            case Fault.LOST:
                return RetryAfter(2)
            case Fault.SLOW_DOWN:
                return RetryAfter(90)
            case Fault.RESET:
                raise ConnectionResetError("reset before")
            case Fault.CRASH:
                raise Crash
        if channel_id in self.gone:
            return Gone()
        if channel_id in self.closed:
            return NoPermission()
        message = self._accept(channel_id, ping, nonce)
        await self.at("posted")
        match fault:
            case Fault.UNHEARD:
                return RetryAfter(2)
            case Fault.RESET_AFTER:
                raise ConnectionResetError("reset after")
            case Fault.CRASH_AFTER:
                raise Crash
        return Sent(message.id)

    async def reach(self, keeper_id: int) -> Reached:
        assert_no_unit_open("opening a direct channel")
        await self.at("reach")
        return NoPermission() if keeper_id in self.shut else Opened(direct(keeper_id))

    async def notice_rooms(self, server: int) -> tuple[int, ...]:
        assert_no_unit_open("asking for rooms")
        return self.public

    async def find(self, channel_id: int, mark: str, since: datetime) -> Found:
        assert_no_unit_open("looking for a ping")
        self.looks += 1
        await self.at("find")
        if channel_id in self.gone:
            return Gone()
        if channel_id in self.unreadable or channel_id in self.closed:
            return NoPermission()
        found = [m for m in self.standing() if m.channel == channel_id and mark in m.marks and m.at >= since]
        await self.at("found")
        return Sent(found[0].id) if found else Absent()

    def standing(self) -> list[Message]:
        """What can be read in the channels."""
        return [message for message in self.messages if not message.deleted]

    def delete(self, message_id: int) -> None:
        """A moderator takes a message away."""
        self.messages = [replace(m, deleted=True) if m.id == message_id else m for m in self.messages]

    def _accept(self, channel: int, ping: Ping, nonce: str) -> Message:
        for message in self.messages:
            if message.nonce == nonce and self.clocks.real() - message.at <= self.remembers:
                return message
        marks = tuple(str(CustomId(button.verb, button.argument)) for button in ping.buttons)
        message = Message(9000 + len(self.messages), channel, marks, nonce, self.clocks.real(), ping.text)
        self.messages.append(message)
        return message


@dataclass
class Composer:
    """Puts rounds into words and keeps them."""

    rounds: list[Round] = field(default_factory=list)

    def __call__(self, asked: Round) -> Ping:
        self.rounds.append(asked)
        text = " ".join(item.bin_code for item in asked.items)
        return Ping(
            text=f"{text} {REPEAT}" if asked.maybe_repeat else text,
            buttons=(Button("Done", verbs.CARE_DONE, str(asked.delivery_id)),),
            keepers=(asked.keeper_id,),
        )


@dataclass(frozen=True)
class Care:
    """A weekly task and its first due date."""

    server: int
    keeper: int
    channel: int
    bin_id: int
    code: str
    task: int
    occurrence: int
    due: datetime


def stamp(server: int, keeper: int, now: datetime) -> Stamp:
    """A request of its own."""
    return Stamp(server=server, actor=keeper, actor_name=f"keeper {keeper}", request_id=secrets.randbits(60), now=now)


async def add_care(
    records: Records,
    server: int,
    keeper: int = 1,
    channel: int = 70,
    *,
    weekday: int = 0,
    minute_of_day: int = 13 * 60,
    cadence: Cadence | None = None,
    kind: CareKind = CareKind.MOISTURE,
    zone: str | None = None,
    name: str | None = None,
    added: datetime = START,
    due: datetime | None = None,
) -> Care:
    """A bin of its own with a task, weekly if no `cadence` says otherwise; due Monday at 13:00 UTC unless told."""
    cadence = cadence or weekly(weekday, minute_of_day)
    async with records.write(stamp(server, keeper, added)) as book:
        if zone is not None:
            await book.set_keeper(zone=zone)
        made = await book.add_bin(species_key="porcellio-laevis", name=name)
        text = "mist the springtails" if kind is CareKind.OTHER else None
        task = await book.add_task(bin_id=made.id, kind=kind, text=text, cadence=cadence, channel_id=channel)
        first = due or first_due(added, cadence, ZoneInfo(zone or "UTC"))
        assert first is not None
        occurrence = await book.add_occurrence(task, made.id, first, zone or "UTC")
        await book.log("care.add", Subject("task", task))
    return Care(server, keeper, channel, made.id, made.code, task, occurrence, first)


async def finish(records: Records, care: Care, occurrence: int, now: datetime) -> None:
    """The keeper presses *Done*."""
    async with records.write(stamp(care.server, care.keeper, now)) as book:
        await book.finish_occurrence(occurrence)
        await book.log("care.done", Subject("occurrence", occurrence))


async def put_off(records: Records, care: Care, occurrence: int, now: datetime, until: datetime) -> None:
    """The keeper presses *Later*."""
    async with records.write(stamp(care.server, care.keeper, now)) as book:
        await book.put_off_occurrence(occurrence, until)
        await book.log("care.later", Subject("occurrence", occurrence))
