"""Why a scoring guide was not changed, or photos were not scored."""

from dataclasses import dataclass

from bot.services.refusals import Refusal


@dataclass(eq=False)
class GuideFull(Refusal):
    """A guide that has as many photos as it takes."""

    most: int


@dataclass(eq=False)
class NoPhotoGiven(Refusal):
    """A guide was to be added to without a photo."""


@dataclass(eq=False)
class PhotoKeptPrivate(Refusal):
    """A photo of a private bin, which others could not see."""

    number: int


@dataclass(eq=False)
class InGuideAlready(Refusal):
    """A photo that stands in the guide, at `place`."""

    number: int
    place: int


@dataclass(eq=False)
class NotInGuide(Refusal):
    """A place at which a guide of `photos` photos has none."""

    text: str
    photos: int


@dataclass(eq=False)
class OrderNotRead(Refusal):
    """An order that does not name each of the guide's `photos` places once."""

    text: str
    photos: int


@dataclass(eq=False)
class ExtentNotRead(Refusal):
    """An extent that is no whole number from 0 to 5, or that does not go with what was said to be shown."""

    text: str
    fits: bool = True


@dataclass(eq=False)
class TooFewToScore(Refusal):
    """Fewer than `least` photos, or more than `most`, for keepers to score."""

    found: int
    least: int
    most: int


@dataclass(eq=False)
class ScoreFirst(Refusal):
    """The guide or the results were asked for by somebody who has yet to say what they see; `number` names the set."""

    number: int
    left: int


@dataclass(eq=False)
class ThroughAlready(Refusal):
    """An answer to photos that the person has said to be through with."""

    number: int


@dataclass(eq=False)
class NoSuchSet(Refusal):
    """Photos to be scored that are not there."""
