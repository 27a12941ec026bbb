"""Why a service said no to a cross, for what was said of its parents or its young: a branch of the tree in `refusals`.

Refusal
├── NoneOfThatSex            a bin's code stands for no such parent
├── CannotCome, LookNotOwn   a young kept back that no such cross has, or a look that is not one trait's
├── ParentsApart             broods of several dams, of which each says another thing
└── NoRecombination          a cross that tells no distance of two traits
"""

from dataclasses import dataclass
from enum import StrEnum

from bot.services.refusals import BinLabel, Refusal
from genetics import Role


@dataclass(eq=False)
class NoneOfThatSex(Refusal):
    """A bin's code on one side of a cross, but all its founders are recorded as of the other sex."""

    label: BinLabel
    role: Role


@dataclass(eq=False)
class CannotCome(Refusal):
    """A parent is said to be a young that its own parents cannot have; `what` says how it looks."""

    what: str


@dataclass(eq=False)
class LookNotOwn(Refusal):
    """A young is said to show a trait that has no look of its own in that cross: others make a look with it."""

    trait: str


class Unsuited(StrEnum):
    """Why a cross says nothing of how far two traits lie apart."""

    TRAITS = "not two traits"
    OTHER_TRAITS = "other traits than the cross before"
    MODEL = "a trait that is not read by itself, or not on an autosome"
    PARENTS = "no double het with a mate that lets its gametes be read"
    UNCERTAIN = "a parent that is not known"
    PHASES = "two phases stated"
    IMPOSSIBLE = "young that cannot come of it"


@dataclass(eq=False)
class NoRecombination(Refusal):
    """A cross that says nothing of how far two traits lie apart, as typed, and why."""

    why: Unsuited
    cross: str


@dataclass(eq=False)
class ParentsApart(Refusal):
    """Counts of several dams of which each may be of another kind; every dam's brood must be asked for by itself."""
