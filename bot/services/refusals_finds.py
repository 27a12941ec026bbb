"""Why something about an odd animal was not taken, or is asked about first: a branch of the tree in `refusals`.

Refusal
├── NoSuchFind, AnimalNotRead, AnimalContradicts      a find that is not there, or words about an animal that cannot be
├── SheenMeant, SameOrAnother, TraitMeant             something that can be meant in two ways
├── TraitNeeded, NameForAnother                       what is odd about it needs a name, or one of its own
└── NobodyToPing, PhotoLater                          a find that sets no ping any more, or whose photo was not kept
"""

from dataclasses import dataclass
from datetime import datetime

from bot.services.refusals import BinLabel, Refusal


@dataclass(eq=False)
class NoSuchFind(Refusal):
    """No find has this number; `last` is the newest that the person may read, 0 if there is none."""

    text: str
    last: int = 0


@dataclass(eq=False)
class AnimalNotRead(Refusal):
    """Words about an animal in which a figure, or what was denied, was not understood: `part`."""

    text: str
    part: str


@dataclass(eq=False)
class AnimalContradicts(Refusal):
    """Two things that were said of one animal and cannot both be."""

    first: str
    second: str


@dataclass(eq=False)
class SheenMeant(Refusal):
    """A word like blue stands among the animal's words, and nobody said whether it has a sheen."""

    word: str


@dataclass(eq=False)
class TraitNeeded(Refusal):
    """Nobody said what to call what is odd about the animal."""


@dataclass(eq=False)
class TraitMeant(Refusal):
    """No trait has this name, but some have names that look like it: it may be new, or a slip of the thumb."""

    name: str
    nearest: tuple[str, ...]


@dataclass(eq=False)
class SameOrAnother(Refusal):
    """A trait has that name. Does this animal show the same, or another that only looks like it?

    Attributes:
        name: the trait's.
        found: where animals with it were found before, with the day, the newest first; as far as the person may read that.
    """

    name: str
    found: tuple[tuple[BinLabel, datetime], ...] = ()


@dataclass(eq=False)
class NameForAnother(Refusal):
    """It is another trait than the one of this name, and so needs a name of its own; `free` are some that are free.

    `species` is that of the trait on record, where it is another than the animal's.
    """

    name: str
    free: tuple[str, ...]
    species: str | None = None


@dataclass(eq=False)
class NobodyToPing(Refusal):
    """A find's pings were taken back, came already, or were never set."""

    number: int


@dataclass(eq=False)
class PhotoLater(Refusal):
    """There is no time for a photo now; the find it came with was logged without it."""
