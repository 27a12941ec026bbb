"""What a read of finds gives back: ids and numbers and typed text, no sentences. Times are in UTC."""

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from bot.records.kinds import Sex, Stage


@dataclass(frozen=True, slots=True)
class FindRow:
    """An odd animal that was found; what was not said of it is None.

    Attributes:
        number: counts the server's finds; people say "find 3".
        breeders_id: the animal among those that can be put into a pairing.
        sex: the animal's; UNKNOWN while it cannot be read.
        pouch_filled: she carried eggs or young.
        moulted_at: the day of its last moult.
        such, looked_at: how many such animals were seen, of how many that were looked at.
        sheen: an iridescent blue-violet sheen; slow: slow or limp.
        typed: the animal in the finder's words; None where the reader may not read the bin's notes, like `note`.
    """

    id: int
    number: int
    bin_id: int
    bin_code: str
    bin_name: str | None
    species_key: str
    trait_id: int
    trait_name: str
    breeders_id: int
    sex: Sex
    keeper_id: int
    keeper_name: str
    found_at: datetime
    logged_at: datetime
    stage: Stage | None
    pouch_filled: bool | None
    length_mm: Fraction | None
    moulted_at: datetime | None
    such: int | None
    looked_at: int | None
    sheen: bool | None
    slow: bool | None
    typed: str | None
    note: str | None
