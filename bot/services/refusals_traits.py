"""Why a service said no to a trait or a cross: a branch of the tree in `refusals`.

Refusal
├── NoSuchTrait, TraitTextNotRead            a trait that is not on record, or words about one that were not understood
├── ShareNotRead, ModelNotPossible           a figure that was not understood, or a way of inheritance that cannot be
├── InheritanceOpen                          traits of which nobody knows yet how they are inherited
├── Related, Uneven, LooksNotRead            traits that are that to each other already, or cannot be it
└── CrossNotPossible, DaughtersDecided       a cross that this way of inheritance does not allow
"""

from dataclasses import dataclass

from bot.services.refusals import Refusal
from genetics import GeneticsError


@dataclass(eq=False)
class NoSuchTrait(Refusal):
    """No trait of this server has the name; `nearest` are names that look like it."""

    text: str
    nearest: tuple[str, ...] = ()


@dataclass(eq=False)
class InheritanceOpen(Refusal):
    """Something was asked that rests on how these traits are inherited, and nobody has said that yet."""

    names: tuple[str, ...]


@dataclass(eq=False)
class TraitTextNotRead(Refusal):
    """Words about a trait of which a part was not understood: `rest`; `what` says what they are about."""

    what: str
    text: str
    rest: str


@dataclass(eq=False)
class Related(Refusal):
    """Traits that stand in such a relation already: `kind` says which, `names` with whom."""

    kind: str
    names: tuple[str, ...]


@dataclass(eq=False)
class LooksNotRead(Refusal):
    """A table of looks of which a line was not understood: `rest`; or (`most`) more traits than make a look in this way."""

    text: str
    rest: str
    most: int = 0


@dataclass(eq=False)
class Uneven(Refusal):
    """A trait that does not always show, or in one sex only, and so cannot make the look `name` with others that do."""

    trait: str
    name: str


@dataclass(eq=False)
class ShareNotRead(Refusal):
    """A share or chance that was not understood, or (`over`) that is more than all of them; `what` says of what."""

    what: str
    text: str
    over: bool = False


@dataclass(eq=False)
class CrossNotPossible(Refusal):
    """A cross that the way of inheritance does not allow; the error says why. `species` is its scientific name, if known."""

    error: GeneticsError
    species: str | None = None
    alone: str | None = None


@dataclass(eq=False)
class DaughtersDecided(Refusal):
    """A share of daughters was stated where the chromosomes decide it; `system` is how."""

    system: str
    species: str | None = None


@dataclass(eq=False)
class ModelNotPossible(Refusal):
    """A way in which no trait can be inherited or shown; the error says why."""

    error: GeneticsError
