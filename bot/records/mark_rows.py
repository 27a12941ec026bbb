"""What a read of how bins live gives back: frozen rows, ids and numbers and typed text, no sentences. Times are in UTC."""

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from bot.records.kinds import HoldCause, MarkKind


@dataclass(frozen=True, slots=True)
class MarkRow:
    """A hold, a quarantine, a stray animal or an open lid.

    Attributes:
        cause: why it is on hold; None of anything else.
        at: since when, or when it happened.
        until: the day before which a quarantine does not end; None of anything else.
        keeper_id, keeper_name: who wrote it down.
        note: what else was said; None where the reader may not read notes of the bin.
        ended_at: when it was lifted or ended; None while it holds.
    """

    id: int
    bin_id: int
    kind: MarkKind
    cause: HoldCause | None
    at: datetime
    until: datetime | None
    keeper_id: int
    keeper_name: str
    note: str | None
    ended_at: datetime | None


@dataclass(frozen=True, slots=True)
class LookRow:
    """A look at a bin for signs of disease: clean, or something was seen."""

    id: int
    bin_id: int
    at: datetime
    clean: bool
    keeper_name: str
    note: str | None


@dataclass(frozen=True, slots=True)
class BackupRow:
    """A bin that is the backup of another; the code of one that the reader may not read is empty."""

    id: int
    bin_id: int
    code: str
    of_bin_id: int
    of_code: str
    since: datetime


@dataclass(frozen=True, slots=True)
class TemperatureRow:
    """A temperature that was read in a bin, in °C."""

    id: int
    bin_id: int
    at: datetime
    celsius: Fraction
    keeper_name: str


@dataclass(frozen=True, slots=True)
class HandledRow:
    """A pairing that breeders were put into from a bin, or in it (`inside`), and since when they are out of it."""

    id: int
    set_up_at: datetime
    out_at: datetime | None
    inside: bool


@dataclass(frozen=True, slots=True)
class BatchRow:
    """A batch of litter: its keeper's name for it, where it came from, and what was done to it, as typed."""

    id: int
    name: str
    source: str | None
    treatment: str | None
    keeper_id: int
    keeper_name: str
    added_at: datetime


@dataclass(frozen=True, slots=True)
class LitterRow:
    """Litter of a batch that a bin got; of a closed bin, since when it is closed."""

    id: int
    batch_id: int
    bin_id: int
    bin_code: str
    bin_name: str | None
    at: datetime
    closed_at: datetime | None
