"""A round: what one ping asks of one keeper, ready to be put into words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.calendar import Cadence, missed_within, next_due
from bot.records.claims import Claimed, DueItem, LastCount, VerdictNews
from bot.records.kinds import CareKind, OccurrenceState


@dataclass(frozen=True, slots=True)
class RoundItem:
    """One thing asked of one bin; `text` are the keeper's own words for it, where it has no kind of its own.

    `late` is how long ago it was first due since it was last done, never negative. `missed` is how many due times before
    the one asked for now went by without being done, whether the bot was away or the keeper did not answer. `state` says
    whether it is still open, and what became of it if not. `apart`: the bin is in quarantine or held for a suspected disease, and
    `own_tools`: that may be said.
    """

    occurrence_id: int
    kind: CareKind
    text: str | None
    cadence: Cadence
    bin_code: str
    bin_name: str | None
    species_key: str
    due_at: datetime
    late: timedelta
    missed: int
    count: LastCount | None
    state: OccurrenceState = OccurrenceState.DUE
    apart: bool = False
    own_tools: bool = False

    @property
    def open(self) -> bool:
        """Whether it still wants an answer."""
        return self.state in (OccurrenceState.DUE, OccurrenceState.ASKED)


@dataclass(frozen=True, slots=True)
class Round:
    """Everything one delivery asks of one keeper in one room: the open ones first, of these what has a day that must not pass, then the longest late.

    `maybe_repeat` is true when an earlier try may have been posted and nothing could tell; the ping has to say so. One that
    asks nothing tells `news`.
    """

    server: int
    delivery_id: int
    channel_id: int
    keeper_id: int
    keeper_name: str
    now: datetime
    maybe_repeat: bool
    items: tuple[RoundItem, ...]
    news: VerdictNews | None = None

    @property
    def open_items(self) -> tuple[RoundItem, ...]:
        """Those that still want an answer."""
        return tuple(item for item in self.items if item.open)


def round_of(claimed: Claimed, now: datetime, maybe_repeat: bool) -> Round:
    """The round of a claimed delivery as it stands at `now`, the keepers' time."""
    return Round(
        server=claimed.server,
        delivery_id=claimed.id,
        channel_id=claimed.channel_id,
        keeper_id=claimed.keeper_id,
        keeper_name=claimed.keeper_name,
        now=now,
        maybe_repeat=maybe_repeat,
        items=items_of(claimed.open_items, now, ZoneInfo(claimed.zone)),
        news=claimed.news,
    )


def items_of(dues: Iterable[DueItem], now: datetime, zone: ZoneInfo) -> tuple[RoundItem, ...]:
    """Due dates as items of a round, in its order: a day that must not pass first, bins that are kept apart last."""
    return tuple(sorted((_item(due, now, zone) for due in dues), key=_place))


def _place(item: RoundItem) -> tuple[bool, bool, bool, int, timedelta, datetime, int]:
    rank = item.kind.rank
    return (not item.open, rank > 0, item.apart, rank, -item.late, item.due_at, item.occurrence_id)


def next_dues(claimed: Claimed, now: datetime) -> dict[int, datetime]:
    """When each task of the delivery that comes round is due again: its first time after both `now` and that asked for."""
    zone = ZoneInfo(claimed.zone)
    found = {due.task_id: _next(due, now, zone) for due in claimed.items}
    return {task: due for task, due in found.items() if due is not None}


def _next(due: DueItem, now: datetime, zone: ZoneInfo) -> datetime | None:
    after = max(now, due.due_at)
    return next_due(after, due.cadence, zone, after)


def _item(due: DueItem, now: datetime, zone: ZoneInfo) -> RoundItem:
    passed = missed_within(due.since, now, due.cadence, zone)
    missed = max(passed - 1, 0)
    first = next_due(due.since, due.cadence, zone, due.since) if missed else None
    return RoundItem(
        occurrence_id=due.occurrence_id,
        kind=due.kind,
        text=due.text,
        cadence=due.cadence,
        bin_code=due.bin_code,
        bin_name=due.bin_name,
        species_key=due.species_key,
        due_at=due.due_at,
        late=max(now - min(due.due_at, first or due.due_at), timedelta()),
        missed=missed,
        count=due.count,
        state=due.state,
        apart=due.apart,
        own_tools=due.apart and due.told,
    )
