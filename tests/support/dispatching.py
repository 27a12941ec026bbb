"""Dispatchers as processes would have them, over one shore, with clocks that stand where care falls due."""

from collections.abc import Awaitable, Callable, Mapping
from datetime import datetime, timedelta

from bot.clock.dispatcher import Dispatcher, Outcome, Pace
from bot.records import DeliveryRow, Records
from bot.records.claims import Claimed
from bot.records.dispatch import Dispatch
from bot.rounds import Round
from tests.support.pings import START, Composer, Hands, Shore, notice

HOUR = timedelta(hours=1)
WEEK = timedelta(days=7)
DUE = START + HOUR
PACE = Pace(gap=timedelta(), batch=4)
SECOND = timedelta(seconds=1)
AFTER_LEASE = PACE.lease + SECOND
"""Also past the time in which the nonce is trusted, and past the time in which the shore knows it."""


class Bench:
    """A shore, clocks that stand where care falls due, and dispatchers as processes would have them."""

    def __init__(self, records: Records) -> None:
        self.records = records
        self.clocks = Hands(DUE)
        self.shore = Shore(self.clocks)
        self.compose = Composer()

    def dispatcher(self, holder: str = "a", pace: Pace = PACE, dispatch: Dispatch | None = None) -> Dispatcher:
        return Dispatcher(
            dispatch or self.records.dispatch(), self.shore, self.clocks, self.compose, notice, holder=holder, pace=pace
        )

    async def tick(self, holder: str = "a") -> list[Outcome]:
        return sorted((await self.dispatcher(holder).tick()).outcomes)

    def texts(self) -> list[str]:
        return [message.text for message in self.shore.standing()]

    async def delivery(self, number: int, server: int = 5) -> DeliveryRow:
        async with self.records.read(server) as book:
            row = await book.delivery(number)
        assert row is not None
        return row


class Probed(Dispatch):
    """The dispatcher's statements, with `at` awaited before and after each transaction, under the names given here."""

    def __init__(self, inner: Dispatch, at: Callable[[str], Awaitable[None]]) -> None:
        self._inner = inner
        self._at = at

    async def put_right(self, now: datetime) -> None:
        await self._at("put right")
        await self._inner.put_right(now)
        await self._at("was put right")

    async def claim(
        self, *, now: datetime, real: datetime, holder: str, lease: timedelta, limit: int
    ) -> tuple[Claimed, ...]:
        await self._at("claim")
        claimed = await self._inner.claim(now=now, real=real, holder=holder, lease=lease, limit=limit)
        await self._at("claimed")
        return claimed

    async def begin_try(
        self, delivery: Claimed, *, holder: str, real: datetime, until: datetime, maybe_repeat: bool
    ) -> bool:
        await self._at("begin")
        ours = await self._inner.begin_try(delivery, holder=holder, real=real, until=until, maybe_repeat=maybe_repeat)
        await self._at("begun")
        return ours

    async def sent(
        self,
        delivery: Claimed,
        *,
        holder: str,
        now: datetime,
        message_id: int | None,
        next_due: Mapping[int, datetime],
        refused: bool = False,
    ) -> bool:
        await self._at("mark")
        ours = await self._inner.sent(
            delivery, holder=holder, now=now, message_id=message_id, next_due=next_due, refused=refused
        )
        await self._at("marked")
        return ours

    async def redirect(self, delivery: Claimed, *, holder: str, channel_id: int, until: datetime) -> Claimed | None:
        await self._at("redirect")
        moved = await self._inner.redirect(delivery, holder=holder, channel_id=channel_id, until=until)
        await self._at("redirected")
        return moved

    async def room_refused(self, server: int, room: int, now: datetime) -> bool:
        await self._at("refused")
        untold = await self._inner.room_refused(server, room, now)
        await self._at("noted")
        return untold

    async def rooms_to_tell(self, server: int) -> tuple[int, ...]:
        return await self._inner.rooms_to_tell(server)

    async def server_told(self, server: int, room: int, now: datetime) -> None:
        await self._at("tell")
        await self._inner.server_told(server, room, now)
        await self._at("told")

    async def put_off(
        self, delivery: Claimed, *, holder: str, until: datetime, blocked: bool = False, untried: bool = False
    ) -> bool:
        await self._at("put off")
        ours = await self._inner.put_off(delivery, holder=holder, until=until, blocked=blocked, untried=untried)
        await self._at("was put off")
        return ours


async def round_at(records: Records, at: datetime) -> Round | None:
    """The last round that goes out at a time, if one does."""
    hands, compose = Hands(at), Composer()
    await Dispatcher(records.dispatch(), Shore(hands), hands, compose, notice, holder="a", pace=PACE).tick()
    return compose.rounds[-1] if compose.rounds else None
