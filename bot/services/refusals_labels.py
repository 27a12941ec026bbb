"""Why a service prints no labels; see `refusals`."""

from dataclasses import dataclass
from datetime import datetime

from bot.services.refusals import Refusal


@dataclass(eq=False)
class NothingToLabel(Refusal):
    """No open bin is among those that were asked for: one's own, on a `shelf`, opened `since` a day, where that was said."""

    shelf: str | None
    since: datetime | None


@dataclass(eq=False)
class RoomNotYours(Refusal):
    """A room in which the person may not write, and in which nothing is posted for them either."""

    room: int


@dataclass(eq=False)
class TooManyLabels(Refusal):
    """More labels than one sheet has."""

    number: int
    most: int
