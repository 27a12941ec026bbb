"""What a read of care gives back: frozen rows, ids and numbers and typed text, no sentences. Times are aware and in UTC."""

from dataclasses import dataclass
from datetime import date, datetime

from bot.calendar import Cadence, Rhythm
from bot.records.kinds import CareKind, CareScope, DeliveryState, OccurrenceState


@dataclass(frozen=True, slots=True)
class TaskRow:
    """A care task: what it asks for, of which bins, on which days, and whether it rests.

    `bin_id` is set for the scope of one bin, `shelf` (its name) for that of a shelf. `text` are the keeper's own words, for
    the kind OTHER. `days` is the number of its `cadence`, `minute_of_day` 0 to 1439 of the keeper's local day. It rests from
    `paused_at` to `paused_until`, or until further notice.
    """

    id: int
    scope: CareScope
    bin_id: int | None
    shelf: str | None
    keeper_id: int
    kind: CareKind
    text: str | None
    rhythm: Rhythm
    days: int
    minute_of_day: int
    channel_id: int
    created_at: datetime
    ended_at: datetime | None
    paused_at: datetime | None
    paused_until: datetime | None

    @property
    def cadence(self) -> Cadence:
        """When it comes round."""
        return Cadence.of(self.rhythm, self.days, self.minute_of_day)

    def rests(self, now: datetime) -> bool:
        """Whether it is paused at this time."""
        return self.paused_at is not None and (self.paused_until is None or now < self.paused_until)


@dataclass(frozen=True, slots=True)
class DatedRow:
    """A dated task that goes on: what is asked, of which bin and keeper, on which day, and what of the book it is about."""

    id: int
    task_id: int
    kind: CareKind
    bin_id: int
    keeper_id: int
    day: date
    about_kind: str
    about_id: int


@dataclass(frozen=True, slots=True)
class DeathRow:
    """Animals found dead in a bin: when, by whom, how many, and what was said of them."""

    id: int
    bin_id: int
    at: datetime
    keeper_id: int
    keeper_name: str
    number: int
    note: str | None


@dataclass(frozen=True, slots=True)
class OccurrenceRow:
    """One due date of a task for one bin, with what is asked and the bin's code and name."""

    id: int
    task_id: int
    kind: CareKind
    text: str | None
    bin_id: int
    bin_code: str
    bin_name: str | None
    due_at: datetime
    zone: str | None
    state: OccurrenceState
    delivery_id: int | None
    asked_at: datetime | None
    done_at: datetime | None
    done_by: int | None


@dataclass(frozen=True, slots=True)
class DeliveryRow:
    """One ping: where it goes, the nonce fixed for it, who holds it, and what became of it.

    `home_id` is the room it was asked for in; `direct` says that it goes to the keeper alone instead, in `channel_id`.
    `first_tried_at` and `lease_until` are of the machine's clock; `created_at` and `sent_at` of the keepers'.
    """

    id: int
    home_id: int
    channel_id: int
    direct: bool
    keeper_id: int
    nonce: str
    state: DeliveryState
    holder: str | None
    lease_until: datetime | None
    first_tried_at: datetime | None
    tries: int
    message_id: int | None
    maybe_repeat: bool
    created_at: datetime
    sent_at: datetime | None
