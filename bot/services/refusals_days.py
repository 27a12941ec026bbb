"""Why a day, an age or a temperature was not taken."""

from dataclasses import dataclass
from datetime import date

from bot.services.refusals import Refusal


@dataclass(eq=False)
class DayNotRead(Refusal):
    """A day that was not understood, or an age."""

    text: str
    age: bool = False


@dataclass(eq=False)
class DayAhead(Refusal):
    """A day that has not come yet (`ahead`), or one too long ago to be meant."""

    text: str
    day: date
    ahead: bool


@dataclass(eq=False)
class TemperatureNotRead(Refusal):
    """A temperature that was not understood, or that no bin has."""

    text: str


@dataclass(eq=False)
class DatedRests(Refusal):
    """A task that has one day, and would be let rest past it."""
