"""What a read of photos gives back: ids, numbers and typed text; the pictures themselves only where they are asked for."""

from dataclasses import dataclass
from datetime import datetime

from bot.records.kinds import Media, Privacy


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """A photo, without its bytes.

    Attributes:
        bin_id, bin_code, bin_name: the bin it was taken of, None where it was filed under a trait alone.
        find_id, find_number: the find whose animal it shows.
        trait_id, trait_name: the trait that it is kept for.
        taken_at: when it was taken, as far as its keeper said.
        alternative: what it shows, in words; None where nobody said, empty when erased.
        width, height: in pixels.
        size: in bytes.
        privacy: that of the bin.
    """

    id: int
    bin_id: int | None
    bin_code: str | None
    bin_name: str | None
    find_id: int | None
    find_number: int | None
    trait_id: int | None
    trait_name: str | None
    taken_at: datetime
    alternative: str | None
    keeper_id: int
    keeper_name: str
    added_at: datetime
    removed_at: datetime | None
    media: Media
    width: int
    height: int
    size: int
    sha256: str
    privacy: Privacy | None


@dataclass(frozen=True, slots=True)
class PhotoFile:
    """A picture as it is kept: JPEG or PNG, upright, without anything that was written beside the pixels.

    Attributes:
        width, height: in pixels.
        sha256: of `body`, in hexadecimal.
    """

    media: Media
    width: int
    height: int
    sha256: str
    body: bytes
