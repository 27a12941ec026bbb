"""What a read gives back: frozen rows, ids and numbers and typed text, no sentences. Times are aware and in UTC."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any, NamedTuple

from bot.records.kinds import (
    CloseReason,
    Dominance,
    Exactness,
    Moved,
    ParentRole,
    Privacy,
    RelationKind,
    Seen,
    Sex,
    SexSystem,
    Stage,
    State,
    Thoroughness,
    Units,
)


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who writes, where, on which request, and when.

    Attributes:
        server: the server's snowflake.
        actor: the keeper's snowflake.
        actor_name: how the chat shows the keeper; kept with the keeper, never in an event.
        request_id: the interaction's snowflake; the same request twice is one event.
        now: the keepers' time, aware.

    Raises:
        ValueError: `now` has no zone.
    """

    server: int
    actor: int
    actor_name: str
    request_id: int
    now: datetime

    def __post_init__(self) -> None:
        if self.now.tzinfo is None:
            raise ValueError(f"a stamp needs a time with a zone, not {self.now!r}")


@dataclass(frozen=True, slots=True)
class Subject:
    """What an event is about: a kind of thing ("bin", "trait", "event", ...) and its id."""

    kind: str
    id: int


@dataclass(frozen=True, slots=True)
class ServerRow:
    """A server's own settings. `zone` is an IANA name or None.

    Attributes:
        inbreeding_note, inbreeding_warning: from which expected F (0 to 1) of the young on a pairing is remarked upon, and
            warned of; None where no steward set it.
        origin_kinship: the kinship (0 to 1/2) taken for two founders of one origin; None where no steward set it.
        channel_id: the room that pings go to unless a keeper chose one; None where no steward set it.
    """

    id: int
    zone: str | None
    bin_prefix: str
    created_at: datetime
    inbreeding_note: Fraction | None = None
    inbreeding_warning: Fraction | None = None
    origin_kinship: Fraction | None = None
    channel_id: int | None = None


@dataclass(frozen=True, slots=True)
class KeeperRow:
    """A person in one server. `name` is empty once erased; `zone` is an IANA name or None.

    `quiet_from` and `quiet_to` are minutes of the local day (0 to 1439) between which no ping may come, both or neither;
    the span may go over midnight. `channel_id` is the room that pings go to, if one was chosen.
    """

    id: int
    name: str
    zone: str | None
    created_at: datetime
    quiet_from: int | None = None
    quiet_to: int | None = None
    units: Units | None = None
    channel_id: int | None = None
    away_from: datetime | None = None
    away_until: datetime | None = None

    def is_away(self, now: datetime) -> bool:
        """Whether the keeper is away at this time and wants no ping."""
        return self.away_from is not None and self.away_until is not None and self.away_from <= now < self.away_until


@dataclass(frozen=True, slots=True)
class CardRow:
    """A server's own species card: figures as a document, what was read for them, and who set it."""

    id: int
    key: str
    sex_system: SexSystem
    body: Mapping[str, Any]
    source: str | None
    set_by: int
    set_at: datetime


@dataclass(frozen=True, slots=True)
class TraitRow:
    """A trait of a server. `symbol` is its letter in gene notation; `species_key` None means any species.

    `model` is the text of the document that says how it is inherited and shown beyond its dominance; None says no more.
    It stays text because most readers need none of it, and because text can be remembered by.
    """

    id: int
    name: str
    symbol: str
    dominance: Dominance
    species_key: str | None
    author_id: int
    created_at: datetime
    retired_at: datetime | None
    model: str | None = None


@dataclass(frozen=True, slots=True)
class RelationRow:
    """What several traits are to each other. `members` are ids of traits in the order that `body` speaks of.

    `looks` are the names of the classes that they make together; `body` is the text of the document that says the rest.
    """

    id: int
    kind: RelationKind
    name: str | None
    looks: tuple[str, ...]
    body: str
    author_id: int
    members: tuple[int, ...]


class Heredity(NamedTuple):
    """The traits in use, by name, and what they are to each other, oldest first."""

    traits: tuple[TraitRow, ...]
    relations: tuple[RelationRow, ...]


@dataclass(frozen=True, slots=True)
class BinRow:
    """A bin with its name, note, owner and shelf. `name`, `note` and `shelf` are None when none was given, empty when erased.

    `shared` says whether the reader is one of its co-keepers. A note that the reader may not read is None.
    """

    id: int
    code: str
    species_key: str
    name: str | None
    note: str | None
    keeper_id: int
    keeper_name: str
    opened_at: datetime
    closed_at: datetime | None
    shelf: str | None = None
    privacy: Privacy = Privacy.OPEN
    shared: bool = False


@dataclass(frozen=True, slots=True)
class ClosingRow:
    """Why a bin is closed; `into_bin_id` and `into_code` name the bin that its animals went to, where one did."""

    id: int
    bin_id: int
    reason: CloseReason
    into_bin_id: int | None
    into_code: str | None
    note: str | None


@dataclass(frozen=True, slots=True)
class TransferRow:
    """Animals that went from one bin into another, with the codes of both; `number` None if nobody counted them."""

    id: int
    at: datetime
    moved: Moved
    from_bin_id: int
    from_code: str
    to_bin_id: int
    to_code: str
    number: int | None
    exactness: Exactness | None


@dataclass(frozen=True, slots=True)
class Holding:
    """One line of what is recorded of a bin: a bin, one group of its founders, one trait stated of them.

    `founder_id`, `number`, `sex` and `described` are None when the bin has no founders; `number` also when it was not
    said. `trait_id`, `state` and `chance` are None when no trait is stated of the group, which then is wild if
    `described`, and unknown if not. `chance` is the stated chance of carrying, where one was stated.
    """

    bin_id: int
    code: str
    bin_name: str | None
    species_key: str
    founder_id: int | None
    number: int | None
    sex: Sex | None
    described: bool | None
    trait_id: int | None
    state: State | None
    chance: Fraction | None
    privacy: Privacy = Privacy.OPEN


class FounderState(NamedTuple):
    """What is stated of a group of founders for one trait."""

    trait_id: int
    state: State
    chance: Fraction | None


@dataclass(frozen=True, slots=True)
class FounderRow:
    """A group of alike animals a bin was founded with: how many, their sex, where from, and what is stated of them.

    `number` is None when it was not said; `brood_id` is the brood they were kept back from, if from one. `described` tells animals stated to be wild (no states) from animals of whom
    nothing was said (no states either).
    """

    id: int
    bin_id: int
    number: int | None
    sex: Sex
    described: bool
    origin: str | None
    length_mm: Fraction | None
    added_at: datetime
    brood_id: int | None = None
    states: tuple[FounderState, ...] = ()


@dataclass(frozen=True, slots=True)
class ParentRow:
    """A bin that gave animals to a bin, with its code and what it gave."""

    id: int
    bin_id: int
    parent_bin_id: int
    code: str
    role: ParentRole


@dataclass(frozen=True, slots=True)
class CountRow:
    """A count of a bin: the whole number understood, the text typed, who counted, and how.

    `total` is of the whole bin. Where only a part was looked through, `seen` were counted in that `share` of it. `low` and
    `high` are the bounds of a range. `corrects_id` names the count that this one stands in for.
    """

    id: int
    bin_id: int
    at: datetime
    keeper_id: int
    keeper_name: str
    total: int
    exactness: Exactness
    typed: str | None
    note: str | None
    low: int | None = None
    high: int | None = None
    seen: int | None = None
    share: Fraction | None = None
    thoroughness: Thoroughness | None = None
    corrects_id: int | None = None


@dataclass(frozen=True, slots=True)
class CountPartRow:
    """What a count says of one class: of a stage, a sex, showing some traits (their ids) or, if `wild`, none.

    `number` stands where `said` is `COUNTED`, with how it is known; `low` and `high` are the bounds of a range.
    """

    id: int
    count_id: int
    said: Seen
    stage: Stage | None
    sex: Sex | None
    wild: bool
    number: int | None
    exactness: Exactness | None
    low: int | None
    high: int | None
    traits: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class DraftRow:
    """What a person typed and has not got through yet."""

    id: int
    keeper_id: int
    kind: str
    fields: Mapping[str, str]
    expires_at: datetime


@dataclass(frozen=True, slots=True)
class EventRow:
    """One change a person asked for. `before` and `after` are documents of row images (journal.py)."""

    seq: int
    at: datetime
    actor_id: int
    request_id: int
    kind: str
    subject: Subject
    before: Mapping[str, Any]
    after: Mapping[str, Any]
    version: int
