"""Why a service said no. Each carries facts; `cards.refusals` words them.

    Refusal
    ├── NoSuchBin, NoSuchShelf, NoSuchSpecies, NoSuchZone     a name that is not on record, with the nearest that are
    ├── CrossNotRead, HoldingNotRead, CountNotRead, LengthNotRead, TimeNotRead, DaysNotRead, DateNotRead, ParentsNotRead,
    │   WordNotKnown, ObservedNotRead, TextTooLong                something typed that was not understood
    ├── TraitTaken, TraitNotNamed                a trait's name or symbol cannot be used
    ├── NothingStated, MixedStated               a bin's code stands for nothing, or for unknown shares, in a cross
    ├── TwoSpecies, TraitOfAnother               what one species has said of another
    ├── TaskThere, NoSuchTask, NotAway, NoRoomToPost                  a care task that cannot be set
    ├── TooCostly                                a question with an answer too large to work out
    ├── those of inheritance                     see `refusals_traits`
    ├── NotYours, NotYourChange, StewardsOnly    another keeper's bin or ping; what another person did; what is stewards'
    ├── KeepsAlready, KeepsNot                   a co-keeper who is one already, or is none
    ├── QuietNotRead, PrefixNotTaken, NothingSet  settings that cannot be taken
    ├── FigureNotRead, NoOwnCard                 a species card that cannot be changed so
    ├── NoZoneYet, ServersOnly                   something must be done first, or elsewhere
    ├── Superseded                               a newer one has taken its place
    ├── Outlived                                 what a press refers to is no longer there
    ├── TakenBack                                a request that came again after what it did was undone
    ├── NothingToUndo, ChangedSince, BuiltUpon   an undo that cannot be
    ├── those of photos and of scoring them      see `refusals_photos`, `refusals_guides`
    └── those of `refusals_bins`                  counts that can be meant in two ways, and what is done to bins

They are dataclasses that compare by identity and are not frozen: Python sets the traceback of an exception on the object.
"""

from dataclasses import dataclass
from enum import StrEnum

from genetics import GeneticsError, NotationError


@dataclass(frozen=True, slots=True)
class BinLabel:
    """A bin as people tell it from others: its code and, if it has one, its name."""

    code: str
    name: str | None = None


class Refusal(Exception):
    """A service's no to a person: expected, harmless, and with a way on."""


@dataclass(eq=False)
class NoSuchBin(Refusal):
    """No bin of this server has the code; `nearest` are codes that look like it."""

    code: str
    nearest: tuple[BinLabel, ...] = ()


@dataclass(eq=False)
class NoSuchSpecies(Refusal):
    """No species card has the name; `nearest` are names that look like it."""

    text: str
    nearest: tuple[str, ...] = ()


@dataclass(eq=False)
class NoSuchZone(Refusal):
    """The zone database has no such time zone; `nearest` are names that look like it."""

    text: str
    nearest: tuple[str, ...] = ()


@dataclass(eq=False)
class CrossNotRead(Refusal):
    """A cross in which something was not understood; the error knows where. `known` are the traits on record."""

    error: NotationError
    known: tuple[str, ...] = ()


@dataclass(eq=False)
class HoldingNotRead(Refusal):
    """What lives in a bin, in words that were not understood; the error knows where. `known` are the traits on record."""

    error: NotationError
    known: tuple[str, ...] = ()


class CountProblem(StrEnum):
    """What is wrong with a count as typed."""

    NO_NUMBER = "no number"
    NOT_WHOLE = "not whole"
    NEGATIVE = "negative"
    TOO_MANY = "too many"
    LEFT_OVER = "left over"
    NO_FLOOR = "no floor"
    ADDS_UP = "adds up"
    TWICE = "twice"
    NO_SUCH_DAY = "no such day"


@dataclass(eq=False)
class CountNotRead(Refusal):
    """A count that was not understood.

    `rest` is the part that stands in the way: for `ADDS_UP` what the classes come to, for `TWICE` the class. `most` is the
    largest count taken, and for `ADDS_UP` the whole that was said. `readings` are counts that may have been meant.
    """

    text: str
    problem: CountProblem
    rest: str = ""
    most: int = 0
    readings: tuple[str, ...] = ()


@dataclass(eq=False)
class LengthNotRead(Refusal):
    """A body length that was not understood."""

    text: str


@dataclass(eq=False)
class TimeNotRead(Refusal):
    """A time of day that was not understood."""

    text: str


@dataclass(eq=False)
class DaysNotRead(Refusal):
    """Days on which care comes round that were not understood."""

    text: str


@dataclass(eq=False)
class DateNotRead(Refusal):
    """A day that was not understood, or that is past, or too far ahead."""

    text: str
    past: bool = False
    far: bool = False


@dataclass(eq=False)
class NoSuchShelf(Refusal):
    """None of the keeper's open bins stands on a shelf of that name; `known` are those on which some do."""

    text: str
    known: tuple[str, ...] = ()


@dataclass(eq=False)
class NotAway(Refusal):
    """The keeper is not away, nor is about to be."""


@dataclass(eq=False)
class NoSuchTask(Refusal):
    """There is no care task of that number that still asks, or that rests, or none at all."""


@dataclass(eq=False)
class WordNotKnown(Refusal):
    """A word that is none of the `known` ones for `what`."""

    what: str
    text: str
    known: tuple[str, ...]


@dataclass(eq=False)
class ParentsNotRead(Refusal):
    """Parent bins that were not understood; `rest` is the part in the way."""

    text: str
    rest: str


@dataclass(eq=False)
class TextTooLong(Refusal):
    """A text over the length the book takes, in characters."""

    what: str
    length: int
    most: int


@dataclass(eq=False)
class ObservedNotRead(Refusal):
    """Counts of a brood of which a part was not understood: `rest`; `known` are the traits of the cross.

    `doses`: all that is missing is whether young show one dose of a trait or two; `bare`: what the numbers are of.
    """

    text: str
    rest: str
    known: tuple[str, ...]
    doses: bool = False
    bare: bool = False


@dataclass(eq=False)
class TwoSpecies(Refusal):
    """Bins of different species where one species is needed: to cross, or as parents; scientific names."""

    first: str
    second: str


@dataclass(eq=False)
class TraitOfAnother(Refusal):
    """A trait that the book knows of one species, stated of another; scientific names."""

    trait: str
    species: str
    other: str


@dataclass(eq=False)
class TaskThere(Refusal):
    """The keeper has that very task already: the same bin (None: the same shelf, or all bins), kind, days and time."""

    label: BinLabel | None


@dataclass(eq=False)
class NoRoomToPost(Refusal):
    """The bot may not post in the channel where the pings would come."""


@dataclass(eq=False)
class TraitTaken(Refusal):
    """Another trait of this server has the name or the symbol already."""

    text: str
    is_symbol: bool
    holder: str


@dataclass(eq=False)
class TraitNotNamed(Refusal):
    """A trait's name or symbol that the notation could not tell from its own words."""

    name: str
    symbol: str
    error: GeneticsError


@dataclass(eq=False)
class NothingStated(Refusal):
    """A bin's code in a cross, but the book does not say what its animals carry."""

    label: BinLabel


@dataclass(eq=False)
class MixedStated(Refusal):
    """A bin's code in a cross, but its founders differ; `kinds` are their notations with how many animals of each (None: not said)."""

    label: BinLabel
    kinds: tuple[tuple[str, int | None], ...]


@dataclass(eq=False)
class TooCostly(Refusal):
    """A question whose answer is too large to work out; the error says what would fit."""

    error: GeneticsError


@dataclass(eq=False)
class NotYours(Refusal):
    """Only the keeper named may do this; or, if `stewards`, a steward for them."""

    what: str
    keeper_name: str
    stewards: bool = True


@dataclass(eq=False)
class StewardsOnly(Refusal):
    """Only stewards may do `what`."""

    what: str


@dataclass(eq=False)
class KeepsAlready(Refusal):
    """The person named keeps that bin already, as its owner or beside them."""

    label: BinLabel
    name: str


@dataclass(eq=False)
class KeepsNot(Refusal):
    """The person named is no co-keeper of that bin."""

    label: BinLabel
    name: str


@dataclass(eq=False)
class QuietNotRead(Refusal):
    """Quiet hours that were not understood."""

    text: str


@dataclass(eq=False)
class PrefixNotTaken(Refusal):
    """What bin codes cannot begin with; `most` is the longest beginning in characters."""

    text: str
    most: int


@dataclass(eq=False)
class FigureNotRead(Refusal):
    """A figure of a species card that was not understood; `share`: it is a share of 1."""

    text: str
    share: bool


@dataclass(eq=False)
class NoOwnCard(Refusal):
    """The server has no card of its own for the species; its scientific name."""

    species: str


@dataclass(eq=False)
class NothingSet(Refusal):
    """Settings were to be changed, and none was given."""


@dataclass(eq=False)
class NotYourChange(Refusal):
    """Only whoever made a change can undo it: the keeper named, or a steward."""

    keeper_name: str


@dataclass(eq=False)
class NoZoneYet(Refusal):
    """The book does not know the keeper's time zone, so it cannot know when their evening is."""


@dataclass(eq=False)
class Outlived(Refusal):
    """What the press or form refers to is no longer there: a draft over a day old, a ping that was taken back."""

    what: str


@dataclass(eq=False)
class Superseded(Refusal):
    """A newer ping asks for what this one asked."""


@dataclass(eq=False)
class ServersOnly(Refusal):
    """Asked in a direct message; the book belongs to a server."""


@dataclass(eq=False)
class TakenBack(Refusal):
    """The request was done before and what it made was undone since; doing it again now is not what was asked for."""

    what: str


@dataclass(eq=False)
class NothingToUndo(Refusal):
    """The change was undone already, or is not there."""


@dataclass(eq=False)
class ChangedSince(Refusal):
    """Something was changed after it, so that taking it back would take the later change along."""


@dataclass(eq=False)
class BuiltUpon(Refusal):
    """Something else in the book rests on it."""
