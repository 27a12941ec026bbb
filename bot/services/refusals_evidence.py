"""Why there is no verdict."""

from dataclasses import dataclass
from fractions import Fraction

from bot.services.programme import Omitted
from bot.services.refusals import Refusal
from genetics.errors import EvidenceRefused


@dataclass(eq=False)
class NothingToWeigh(Refusal):
    """No scored brood bears on the trait; `omitted` are those that do and were left out, with the reason."""

    trait: str
    omitted: tuple[tuple[str, Omitted], ...] = ()


@dataclass(eq=False)
class RecordsContradict(Refusal):
    """The records of a trait cannot be weighed; the error says why, `about` what people call that which is in the way."""

    trait: str
    error: EvidenceRefused
    about: str | None = None


@dataclass(eq=False)
class PriorsNotRead(Refusal):
    """A part of typed priors or figures that is no name with a percentage, or that leaves one explanation alone."""

    text: str


@dataclass(eq=False)
class SpanNotPossible(Refusal):
    """A figure from `low` to `high` that must lie between `least` and `most`, in this order."""

    figure: str
    low: Fraction
    high: Fraction
    least: Fraction
    most: Fraction


@dataclass(eq=False)
class NotFollowed(Refusal):
    """The verdicts of the trait are told in no room."""

    trait: str


@dataclass(eq=False)
class TooLong(Refusal):
    """The weighing of a trait was given up after so many seconds; `most` is the largest group of unmarked animals in it."""

    trait: str
    seconds: float
    most: str
