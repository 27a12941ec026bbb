"""Why a photo was not taken, or not found."""

from dataclasses import dataclass
from enum import StrEnum

from bot.services.refusals import BinLabel, Refusal


class PhotoFault(StrEnum):
    """What is wrong with a file that was to be a photo."""

    NO_PICTURE = "no picture"
    MOVES = "moves"
    TOO_MANY_PIXELS = "too many pixels"
    DAMAGED = "damaged"


@dataclass(eq=False)
class PhotoNotTaken(Refusal):
    """A file that can't be kept as a photo."""

    fault: PhotoFault


@dataclass(eq=False)
class PhotoTooLarge(Refusal):
    """A file of more than `most` bytes."""

    most: int


@dataclass(eq=False)
class PhotoGone(Refusal):
    """A file that the chat does not give out any more, or that is none of the chat's."""


@dataclass(eq=False)
class PhotoThere(Refusal):
    """The same picture is filed under the same thing already, as photo `number`."""

    number: int


@dataclass(eq=False)
class NoSuchPhoto(Refusal):
    """A photo that is not there: never, or removed, or of a bin that the person may not read."""

    text: str


@dataclass(eq=False)
class NothingPhotographed(Refusal):
    """No bin, find or trait of this name, with the nearest bins and the nearest traits."""

    text: str
    bins: tuple[BinLabel, ...] = ()
    traits: tuple[str, ...] = ()


@dataclass(eq=False)
class NoPhotoThere(Refusal):
    """A message without a picture, from which one was to be filed."""
