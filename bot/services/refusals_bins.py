"""Why a service said no to a count or to a change of a bin; see `refusals`.

Refusal
├── CountUnclear                    a count that can be meant in several ways
├── CorrectedAlready                a count that another stands in for
├── LookFirst                       a question before a bin is disturbed
├── SameBin, ClosedBin              a bin that is merged with itself; one that is closed
├── NoSuchKeeper, KeeperNotPicked, KeepsItAlready    a keeper whom a bin cannot go to
├── NothingSaid                     a move without a shelf and without a keeper
└── DayNotRead                      a day that was not understood
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from bot.records import CountRow
from bot.services.bin_state import BinState
from bot.services.disturbance import Rest
from bot.services.refusals import BinLabel, Refusal


@dataclass(eq=False)
class CountUnclear(Refusal):
    """A count that can be meant in several ways; `readings` are counts, as they can be typed, that say which."""

    text: str
    readings: tuple[str, ...]


@dataclass(eq=False)
class CorrectedAlready(Refusal):
    """A count of this bin that another count stands in for since."""

    label: BinLabel


class Disturb(StrEnum):
    """What somebody is about to do to a bin."""

    SPLIT = "split"
    MERGE = "merge"
    HAND_ON = "hand on"
    KEEP_BACK = "keep young back from"
    TAKE_FROM = "take breeders from"


@dataclass(frozen=True, slots=True)
class Newcomer:
    """A bin whose animals came from elsewhere not long ago."""

    label: BinLabel
    since: datetime


@dataclass(frozen=True, slots=True)
class Shortfall:
    """More animals are to go than were last counted in a bin."""

    label: BinLabel
    taken: int
    count: CountRow


@dataclass(eq=False)
class LookFirst(Refusal):
    """Something to look at and to know before bins are disturbed; the person goes on if all is well.

    `bins` come with what is known of their peace, `kinds` with what lives in each where that differs, and `newcomers` came
    not long ago; `states` are of those that are on hold or in quarantine, `short` of those that hold too few.
    """

    what: Disturb
    bins: tuple[tuple[BinLabel, Rest], ...]
    kinds: tuple[tuple[BinLabel, str], ...] = ()
    newcomers: tuple[Newcomer, ...] = ()
    states: tuple[tuple[BinLabel, BinState], ...] = ()
    short: tuple[Shortfall, ...] = ()

    @property
    def pressing(self) -> bool:
        """The book knows of a reason not to, beyond what every hand at a lid has to look for."""
        return bool(self.states or self.short or any(rest.until is not None for _, rest in self.bins))


@dataclass(eq=False)
class SameBin(Refusal):
    """A bin that would be merged with itself."""

    label: BinLabel


@dataclass(eq=False)
class ClosedBin(Refusal):
    """A bin that is closed, where an open one is needed; `into` is the code of the bin that its animals went into."""

    label: BinLabel
    closed_at: datetime
    into: str | None = None


@dataclass(eq=False)
class NoSuchKeeper(Refusal):
    """Nobody who could keep a bin: a bot."""

    name: str


@dataclass(eq=False)
class KeeperNotPicked(Refusal):
    """A keeper whose name was typed over, so that nobody knows who is meant."""

    name: str


@dataclass(eq=False)
class KeepsItAlready(Refusal):
    """The bin is that keeper's already."""

    label: BinLabel
    keeper_name: str


@dataclass(eq=False)
class NothingSaid(Refusal):
    """A bin is to be moved, and neither a shelf nor a keeper is named."""

    label: BinLabel
