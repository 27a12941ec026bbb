"""The two clocks of the bot.

`now()` is the keepers' time: due dates and ages. The practice room moves it. `real()` is the machine's: leases, the age of
a nonce, the chat service's own limits. Mixing them up would let a moved clock break a lease.
"""

from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clocks(Protocol):
    """Where times come from. Both methods return aware UTC times."""

    def now(self) -> datetime:
        """The keepers' time."""
        ...

    def real(self) -> datetime:
        """The machine's time."""
        ...


class SystemClocks:
    """Both clocks are the machine's."""

    def now(self) -> datetime:
        """The machine's time."""
        return datetime.now(UTC)

    def real(self) -> datetime:
        """The machine's time."""
        return datetime.now(UTC)


class MovableClocks:
    """Clocks whose `now()` runs ahead of (or behind) `real()` by a distance that can be changed."""

    def __init__(self, ahead: timedelta = timedelta()) -> None:
        self._ahead = ahead

    def now(self) -> datetime:
        """The machine's time, moved."""
        return datetime.now(UTC) + self._ahead

    def real(self) -> datetime:
        """The machine's time."""
        return datetime.now(UTC)

    def move(self, by: timedelta) -> None:
        """Move `now()` by this much from where it stands."""
        self._ahead += by
