"""The dispatcher: finds what is due, posts it, and marks it, so that a kill at any instant loses and doubles nothing.

A delivery is claimed under a lease and posted with a nonce that is fixed from its birth. While the first try is
young, the chat service itself turns a second post with the same nonce into the first. Later the channel's history is
asked for the delivery's mark before anything is posted again. If the history may not be read, the ping goes out once
more and says that it may be a repeat. If the room takes no pings, it goes to its keeper alone, and the server is told
once; if the keeper cannot be reached either, it is tried again after growing pauses and given up after some: what it asked
stands in the book and comes up in the next ping. All of this runs on `real()`; only what is due, and how late, runs on `now()`.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from functools import partial
from typing import TypeVar

from bot.cards.card import Ping
from bot.clock.marks import mark_of
from bot.clock.port import Absent, Gone, NoPermission, Opened, Port, RetryAfter, Sent
from bot.clocks import Clocks
from bot.records.claims import Claimed
from bot.records.dispatch import Dispatch
from bot.rounds import Round, next_dues, round_of

_log = logging.getLogger(__name__)

_SHORTEST_PAUSE = timedelta(seconds=1)
_MOST_DOUBLINGS = 10

Answer = TypeVar("Answer")


class LeaseOver(Exception):
    """The turn of a request came after the lease under which it was to be made. Nothing was asked."""


@dataclass(frozen=True, slots=True)
class Pace:
    """How the dispatcher spends time and requests. Every span is of real time.

    `lease`: how long a claim is ours; longer than the longest rate-limit wait the port accepts.
    `reserve`: the end of a lease in which no answer is waited for any more.
    `nonce_trusted`: how long after the first try the chat service is trusted to know the nonce.
    `skew`: how far the chat service's clock may be behind ours, for reading the history.
    `gap`: the least time between two requests, over all servers.
    `first_pause`, `longest_pause`: the wait after a failure, doubling with each try.
    `blocked_pause`: the wait after neither room nor keeper took a ping, doubling with each time.
    `most_tries`: posts after which a ping that nobody takes is given up.
    `batch`: deliveries claimed at a time; `at_once`: how many of them are on their way together; `most`: in one tick.

    Raises:
        ValueError: the lease leaves nothing beside its reserve, or a number is below 1.
    """

    lease: timedelta = timedelta(minutes=3)
    reserve: timedelta = timedelta(seconds=10)
    nonce_trusted: timedelta = timedelta(seconds=60)
    skew: timedelta = timedelta(minutes=5)
    gap: timedelta = timedelta(milliseconds=40)
    first_pause: timedelta = timedelta(seconds=5)
    longest_pause: timedelta = timedelta(minutes=5)
    blocked_pause: timedelta = timedelta(hours=1)
    most_tries: int = 12
    batch: int = 20
    at_once: int = 4
    most: int = 1000

    def __post_init__(self) -> None:
        if self.lease <= self.reserve:
            raise ValueError(f"a lease of {self.lease} with a reserve of {self.reserve} leaves no time to send")
        if min(self.batch, self.at_once, self.most) < 1:
            raise ValueError(f"batch {self.batch}, at_once {self.at_once} and most {self.most} have to be at least 1")


class Outcome(StrEnum):
    """What became of one claimed delivery in one tick."""

    POSTED = "posted"
    REPEATED = "repeated"
    """Posted, marked "may be a repeat"."""
    FOUND = "found"
    """An earlier try had posted it; the channel's history shows it."""
    SETTLED = "settled"
    """Nothing in it asks for anything any more; closed without a word."""
    DIRECTED = "directed"
    """Its room took no ping, so it went to its keeper alone."""
    POSTPONED = "postponed"
    BLOCKED = "blocked"
    """Neither its room nor its keeper took it; it will be tried again."""
    GIVEN_UP = "given up"
    """Nobody took it often enough. What it asked is asked in the next ping."""
    YIELDED = "yielded"
    """The lease ran out and somebody else has it."""
    FAILED = "failed"
    """An error that is in the log; it will be tried again."""


@dataclass(frozen=True, slots=True)
class Report:
    """The outcomes of one tick, in no order."""

    outcomes: tuple[Outcome, ...]

    def count(self, outcome: Outcome) -> int:
        """How many deliveries ended this way."""
        return self.outcomes.count(outcome)


class Dispatcher:
    """Sends what is due. One per process; any number of processes may share a database.

    `holder` names this process in leases, in at most 64 characters, and is never used by another one, nor by this one
    after a restart. `compose` puts a round into words; it must give the ping the button that `marks` describes. `notice`
    says that a room takes no pings.
    """

    def __init__(
        self,
        dispatch: Dispatch,
        port: Port,
        clocks: Clocks,
        compose: Callable[[Round], Ping],
        notice: Callable[[int], Ping],
        *,
        holder: str,
        pace: Pace,
    ) -> None:
        self._dispatch = dispatch
        self._port = port
        self._clocks = clocks
        self._compose = compose
        self._notice = notice
        self._holder = holder
        self._pace = pace
        self._turn = asyncio.Lock()
        self._at_once = asyncio.Semaphore(pace.at_once)
        self._next_request = 0.0

    async def tick(self) -> Report:
        """Claim and send until nothing is due, or `most` deliveries have been handled. Ticks wait for each other.

        No error leaves it: what fails is logged, counted as failed and stays due.
        """
        async with self._turn:
            outcomes: list[Outcome] = []
            try:
                await self._dispatch.put_right(self._clocks.now())
            except Exception:
                _log.exception("the waiting dates could not be put right")
                outcomes.append(Outcome.FAILED)
            while len(outcomes) < self._pace.most:
                try:
                    claimed = await self._dispatch.claim(
                        now=self._clocks.now(),
                        real=self._clocks.real(),
                        holder=self._holder,
                        lease=self._pace.lease,
                        limit=min(self._pace.batch, self._pace.most - len(outcomes)),
                    )
                except Exception:
                    _log.exception("what is due could not be claimed")
                    outcomes.append(Outcome.FAILED)
                    break
                if not claimed:
                    break
                async with asyncio.TaskGroup() as group:
                    tasks = [group.create_task(self._deliver(delivery)) for delivery in claimed]
                outcomes += [task.result() for task in tasks]
            return Report(tuple(outcomes))

    async def _deliver(self, delivery: Claimed) -> Outcome:
        async with self._at_once:
            pause = self._growing_pause(delivery)
            try:
                return await self._send(delivery)
            except LeaseOver:
                # Nothing was asked of the chat service, so there is nothing to be patient with.
                _log.warning("delivery %d of server %d: its turn came after its lease", delivery.id, delivery.server)
                pause = _SHORTEST_PAUSE
            except TimeoutError:
                _log.warning("delivery %d of server %d: no answer in time", delivery.id, delivery.server)
            except Exception:
                _log.exception("delivery %d of server %d failed", delivery.id, delivery.server)
            try:
                put_off = await self._put_off(delivery, pause)
            except Exception:
                _log.exception("delivery %d of server %d stays under its lease", delivery.id, delivery.server)
                return Outcome.FAILED
            return Outcome.YIELDED if put_off is Outcome.YIELDED else Outcome.FAILED

    async def _send(self, delivery: Claimed) -> Outcome:
        if not delivery.open_items and delivery.news is None:
            return await self._close(delivery, None, Outcome.SETTLED)
        first = delivery.first_tried_at
        clean, repeat = first is None, False
        if first is not None and self._clocks.real() - first > self._pace.nonce_trusted:
            look = partial(self._port.find, delivery.channel_id, mark_of(delivery), first - self._pace.skew)
            match await self._ask(delivery.lease_until, look):
                case Sent(message_id):
                    return await self._close(delivery, message_id, Outcome.FOUND)
                case RetryAfter(seconds):
                    return await self._put_off(delivery, timedelta(seconds=seconds))
                case Gone():
                    return await self._refused(delivery, doubtful=True)
                case NoPermission():
                    repeat = True
                case Absent():
                    clean = True
        return await self._post(delivery, clean, repeat)

    async def _post(self, delivery: Claimed, clean: bool, repeat: bool) -> Outcome:
        """Post it.

        `clean`: no earlier try can have left a message, so a plain refusal leaves none either. `repeat`: one may have,
        and nothing could tell.
        """
        ping = self._compose(round_of(delivery, self._clocks.now(), repeat))
        real = self._clocks.real()
        until = real + self._pace.lease
        delivery = replace(delivery, lease_until=until)
        if not await self._dispatch.begin_try(
            delivery, holder=self._holder, real=real, until=until, maybe_repeat=repeat
        ):
            return Outcome.YIELDED
        match await self._ask(until, partial(self._port.post, delivery.channel_id, ping, delivery.nonce)):
            case Sent(message_id):
                if repeat:
                    _log.warning("delivery %d of server %d may be a repeat", delivery.id, delivery.server)
                usual = Outcome.DIRECTED if delivery.direct else Outcome.POSTED
                return await self._close(delivery, message_id, Outcome.REPEATED if repeat else usual)
            case RetryAfter(seconds):
                return await self._put_off(delivery, timedelta(seconds=seconds))
            case Gone() | NoPermission():
                return await self._refused(delivery, doubtful=repeat or not clean)

    async def _refused(self, delivery: Claimed, *, doubtful: bool) -> Outcome:
        """It was not taken where it was to go: send it to its keeper alone, or, if that is where it was to go, wait.

        `doubtful`: an earlier try may have left a message all the same.
        """
        _log.warning("channel %d of server %d refuses pings", delivery.channel_id, delivery.server)
        if delivery.news is not None:
            # What is told to a room is for nobody alone. Who asks for the trait reads that it was refused.
            return await self._give_up(delivery)
        if delivery.direct:
            return await self._block(delivery, untried=not doubtful)
        match await self._ask(delivery.lease_until, partial(self._port.reach, delivery.keeper_id)):
            case Opened(channel_id):
                moved = await self._dispatch.redirect(
                    delivery,
                    holder=self._holder,
                    channel_id=channel_id,
                    until=self._clocks.real() + self._pace.lease,
                )
                outcome = Outcome.YIELDED if moved is None else await self._post(moved, True, doubtful)
            case RetryAfter(seconds):
                return await self._put_off(delivery, timedelta(seconds=seconds), untried=not doubtful)
            case _:
                outcome = await self._block(delivery, untried=not doubtful)
        await self._tell(delivery)
        return outcome

    async def _tell(self, delivery: Claimed) -> None:
        """Tell the server once that a room takes no pings, in a room where it will be seen."""
        server, refusing = delivery.server, delivery.home_id
        if not await self._dispatch.room_refused(server, refusing, self._clocks.now()):
            return
        known = (*await self._dispatch.rooms_to_tell(server), *await self._port.notice_rooms(server))
        for room in dict.fromkeys(room for room in known if room != refusing):
            # One nonce for one room: told twice within minutes by two processes, it is told once.
            told = partial(self._port.post, room, self._notice(refusing), f"r{refusing}")
            if isinstance(await self._ask(self._clocks.real() + self._pace.lease, told), Sent):
                await self._dispatch.server_told(server, refusing, self._clocks.now())
                return

    async def _ask(self, until: datetime, request: Callable[[], Awaitable[Answer]]) -> Answer:
        """Put one request to the chat service, in its turn, and wait no longer than a lease that ends at `until`.

        Raises:
            LeaseOver: its turn came too late, and nothing was asked.
            TimeoutError: no answer in that time. Whether the request took effect is then unknown.
        """
        clock = asyncio.get_running_loop().time
        wait = self._next_request - clock()
        self._next_request = max(self._next_request, clock()) + self._pace.gap.total_seconds()
        if wait > 0:
            await asyncio.sleep(wait)
        # Looked at once more with no await before the request: this process may have been asleep since the lease began.
        left = (until - self._pace.reserve - self._clocks.real()).total_seconds()
        if left <= 0:
            raise LeaseOver
        async with asyncio.timeout(left):
            return await request()

    async def _close(self, delivery: Claimed, message_id: int | None, outcome: Outcome) -> Outcome:
        now = self._clocks.now()
        closed = await self._dispatch.sent(
            delivery, holder=self._holder, now=now, message_id=message_id, next_due=next_dues(delivery, now)
        )
        return outcome if closed else Outcome.YIELDED

    async def _put_off(
        self, delivery: Claimed, pause: timedelta, *, blocked: bool = False, untried: bool = False
    ) -> Outcome:
        until = self._clocks.real() + max(pause, _SHORTEST_PAUSE)
        ours = await self._dispatch.put_off(
            delivery, holder=self._holder, until=until, blocked=blocked, untried=untried
        )
        if not ours:
            return Outcome.YIELDED
        return Outcome.BLOCKED if blocked else Outcome.POSTPONED

    async def _block(self, delivery: Claimed, *, untried: bool) -> Outcome:
        """Nobody took it: wait longer each time, and give it up after some."""
        if delivery.tries >= self._pace.most_tries:
            return await self._give_up(delivery)
        # A time is two posts: to the room and to the keeper.
        pause = self._pace.blocked_pause * 2 ** min(delivery.tries // 2, _MOST_DOUBLINGS)
        return await self._put_off(delivery, pause, blocked=True, untried=untried)

    async def _give_up(self, delivery: Claimed) -> Outcome:
        now = self._clocks.now()
        closed = await self._dispatch.sent(
            delivery, holder=self._holder, now=now, message_id=None, next_due=next_dues(delivery, now), refused=True
        )
        return Outcome.GIVEN_UP if closed else Outcome.YIELDED

    def _growing_pause(self, delivery: Claimed) -> timedelta:
        """After a failure: twice as long with each try, to a limit."""
        times: int = 2 ** min(delivery.tries, _MOST_DOUBLINGS)
        return min(self._pace.first_pause * times, self._pace.longest_pause)
