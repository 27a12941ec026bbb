"""The port through which the clock sends. The chat side implements it; tests give it other shores."""

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from bot.cards.card import Ping


@dataclass(frozen=True, slots=True)
class Sent:
    """The message stands in the channel, or stood there and was deleted; then it has no id any more."""

    message_id: int | None


@dataclass(frozen=True, slots=True)
class Gone:
    """There is no such channel any more."""


@dataclass(frozen=True, slots=True)
class NoPermission:
    """The channel is there, but the bot may not do this in it."""


@dataclass(frozen=True, slots=True)
class RetryAfter:
    """Not now: the service said how long to wait, or did not answer and a first pause is proposed."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Absent:
    """The channel's history was read as far as asked, and no message carries the mark."""


@dataclass(frozen=True, slots=True)
class Opened:
    """The way to a keeper alone is open: this channel."""

    channel_id: int


Posted = Sent | Gone | NoPermission | RetryAfter
Reached = Opened | Gone | NoPermission | RetryAfter
Found = Sent | Absent | Gone | NoPermission | RetryAfter


class Port(Protocol):
    """Sending, as far as the clock needs it. Every method refuses to run inside an open unit of work."""

    async def post(self, channel_id: int, ping: Ping, nonce: str) -> Posted:
        """Post a ping. Posting again with the same nonce within a few minutes yields the first message, not a second."""
        ...

    async def reach(self, keeper_id: int) -> Reached:
        """Open the channel of direct messages to a keeper; opened before, it is the same."""
        ...

    async def notice_rooms(self, server: int) -> tuple[int, ...]:
        """Rooms in which a server expects notices to everybody, the best first; none may be known."""
        ...

    async def find(self, channel_id: int, mark: str, since: datetime) -> Found:
        """Look among the bot's own messages in the channel since a time for one with a button whose custom id is `mark`."""
        ...
