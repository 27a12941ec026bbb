"""What a read of breeding records gives back: frozen rows, ids and numbers and typed text, no sentences. Times are in UTC."""

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import NamedTuple

from bot.records.kinds import Appearance, BreederRole, BroodReason, DamHistory, Sex
from bot.records.rows import FounderState


@dataclass(frozen=True, slots=True)
class BreedersRow:
    """Animals chosen to breed: one, or some alike, with what is stated of each.

    Attributes:
        name: what keepers call it; None if it has no name of its own.
        number: how many, at least 1.
        from_bin_id, from_code: the bin they were taken from; None if from no bin of the book.
        described: what they are was said, so that a trait without a state means wild; if not, it is what their bin holds.
    """

    id: int
    name: str | None
    sex: Sex
    number: int
    from_bin_id: int | None
    from_code: str | None
    described: bool
    added_at: datetime
    states: tuple[FounderState, ...] = ()


@dataclass(frozen=True, slots=True)
class PairedRow:
    """Breeders in one pairing: what they do there, and for dams whether they were unmated before it."""

    pairing_id: int
    breeders_id: int
    role: BreederRole
    history: DamHistory | None


@dataclass(frozen=True, slots=True)
class PairingRow:
    """A pairing: set up in a bin, and the dates of what happened since.

    Attributes:
        number: counts the server's pairings; "P-" and the number is its code.
        trait_id: the trait it is to tell about, if that was said.
        separate_by: when its young must be parted by sex, so that they cannot mate.
        parents_out_by: when its breeders must be out, before the first young can breed.
        reason: why it was ended, as typed.
    """

    id: int
    number: int
    bin_id: int
    bin_code: str
    bin_name: str | None
    species_key: str
    trait_id: int | None
    keeper_id: int
    keeper_name: str
    note: str | None
    set_up_at: datetime
    gravid_at: datetime | None
    young_at: datetime | None
    separate_by: datetime | None
    parents_out_by: datetime | None
    out_at: datetime | None
    ended_at: datetime | None
    reason: str | None


@dataclass(frozen=True, slots=True)
class BroodRow:
    """Young seen of a pairing, or of no pairing in a bin.

    Attributes:
        number: counts the broods of its pairing; of its bin, if it has no pairing.
        born, dead: how many, as well as is known; None means it was not said.
        mothers: how many females it may be of; None if its mother is known or nothing was said.
    """

    id: int
    number: int
    bin_id: int
    bin_code: str
    pairing_id: int | None
    pairing_number: int | None
    why: BroodReason
    seen_on: datetime
    born: int | None
    dead: int | None
    mothers: int | None
    keeper_id: int
    keeper_name: str
    note: str | None
    logged_at: datetime


class Shown(NamedTuple):
    """How young look for one trait: in full, or in part."""

    trait_id: int
    look: Appearance


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """So many young that look alike. Without `shown` they look wild."""

    id: int
    sex: Sex
    number: int
    shown: tuple[Shown, ...] = ()


@dataclass(frozen=True, slots=True)
class ScoringRow:
    """One look at a brood, with what was counted.

    Attributes:
        age_days: the young's age when they were scored.
        length_mm: their length then.
        unsure: looked at and not sure; unscored: alive and not looked at.
    """

    id: int
    brood_id: int
    at: datetime
    keeper_id: int
    keeper_name: str
    age_days: int | None
    length_mm: Fraction | None
    unsure: int
    unscored: int
    typed: str | None
    scores: tuple[ScoreRow, ...] = ()
