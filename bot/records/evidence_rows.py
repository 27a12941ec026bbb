"""What a read of verdicts gives back: frozen rows."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any

from bot.records.kinds import DeliveryState


@dataclass(frozen=True, slots=True)
class VerdictRow:
    """A verdict as it was reached.

    Attributes:
        seq: the newest event of the book that it rests on.
        word, leader: the word, and the likeliest explanation.
        posterior, sceptic: of that explanation, 0 to 1.
        broods, young: how many were weighed.
        body: the document with the other explanations.
    """

    id: int
    trait_id: int
    seq: int
    at: datetime
    word: str
    leader: str
    posterior: Fraction
    sceptic: Fraction
    broods: int
    young: int
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class WeighingRow:
    """What was set for the weighing of a trait; `body` is None where nothing but the defaults is weighed with."""

    id: int
    trait_id: int
    body: Mapping[str, Any] | None
    set_by: int
    set_at: datetime


@dataclass(frozen=True, slots=True)
class FollowedRow:
    """A trait whose verdicts are told in a room; `state` is that of the newest telling, None if nothing was told yet."""

    id: int
    trait_id: int
    room_id: int
    keeper_id: int
    since: datetime
    state: DeliveryState | None
