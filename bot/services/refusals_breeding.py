"""Why something about a pairing or a brood was not taken."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from bot.services.refusals import Refusal
from genetics import NotationError


class BreedersProblem(StrEnum):
    """What is wrong with breeders as typed."""

    NO_NUMBER = "no number"
    NO_STOCK = "no stock"
    WRONG_SEX = "wrong sex"
    TOO_MANY = "too many"
    TWICE = "twice"


@dataclass(eq=False)
class BreedersNotRead(Refusal):
    """Dams or sires (`role`) that were not understood; `part` is the part of the text that stands in the way."""

    role: str
    part: str
    problem: BreedersProblem


@dataclass(eq=False)
class BreedersLookNotRead(Refusal):
    """What breeders are, in words that were not understood; the error knows where. `known` are the traits on record."""

    error: NotationError
    known: tuple[str, ...] = ()


@dataclass(eq=False)
class NoSuchPairing(Refusal):
    """No pairing has this code; `last` is the newest number there is, 0 if there is none."""

    text: str
    last: int = 0


@dataclass(eq=False)
class NoSuchBrood(Refusal):
    """No brood has this code; `known` are the codes of the pairing's or bin's broods."""

    text: str
    known: tuple[str, ...] = ()


@dataclass(eq=False)
class ClonalPairing(Refusal):
    """A species whose females have young without males was given sires."""

    species: str


@dataclass(eq=False)
class DamElsewhere(Refusal):
    """Dams (by their name, if they have one) that are in a running pairing, of this code, in another bin."""

    code: str
    name: str | None


@dataclass(eq=False)
class NobodyOn(Refusal):
    """A pairing without dams, or without sires where the dams carry no sperm."""

    role: str


@dataclass(eq=False)
class SpeciesNotSaid(Refusal):
    """Nobody of the pairing comes from a bin, so its species is not known."""


@dataclass(eq=False)
class PairingOver(Refusal):
    """The pairing was ended before."""

    code: str
    ended_at: datetime


@dataclass(eq=False)
class NotedAlready(Refusal):
    """Something of a pairing that stands in the book since a day, said again without a day that would correct it."""

    what: str
    code: str
    at: datetime


@dataclass(eq=False)
class NotInOrder(Refusal):
    """A date of a pairing that comes before what it must follow: `what` was on a day before `first`, at `at`."""

    what: str
    first: str
    at: datetime


@dataclass(eq=False)
class ScoresNotRead(Refusal):
    """A scored brood that was not understood at `rest`; `known` are the traits on record."""

    text: str
    rest: str
    known: tuple[str, ...] = ()


@dataclass(eq=False)
class ScoresUnclear(Refusal):
    """A scored brood that can be meant in several ways, or in one if a slip is put right; `readings` are texts that say which."""

    text: str
    readings: tuple[str, ...]


@dataclass(eq=False)
class LookHasDoses(Refusal):
    """A trait that shows in part with one dose and in full with two was named without saying which; `readings` say it."""

    text: str
    name: str
    readings: tuple[str, ...] = ()


@dataclass(eq=False)
class MoreThanBorn(Refusal):
    """More young were scored, unsure, unscored or dead than were born."""

    born: int
    accounted: int


@dataclass(eq=False)
class NothingScored(Refusal):
    """A brood was to be scored again without a single young."""


@dataclass(eq=False)
class MoreThanScored(Refusal):
    """More young were to be kept back of a kind than are left of those `scored`."""

    wanted: int
    scored: int
