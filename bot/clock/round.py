"""A round: what one ping asks for, ready to be put into words."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.calendar import next_weekly, weeklies_within
from bot.records.claims import Claimed, DueItem, LastCount
from bot.records.kinds import CareKind


@dataclass(frozen=True, slots=True)
class RoundItem:
    """One thing asked of one bin.

    `late` is how long ago it was due, never negative. `missed` is how many weekly times before the one asked for now
    went by without being done, whether the bot was away or the keeper did not answer.
    """

    kind: CareKind
    bin_code: str
    bin_name: str | None
    species_key: str
    due_at: datetime
    late: timedelta
    missed: int
    count: LastCount | None


@dataclass(frozen=True, slots=True)
class Round:
    """Everything one delivery asks of one keeper in one channel, the longest due first.

    `maybe_repeat` is true when an earlier try may have been posted and nothing could tell; the ping has to say so.
    """

    server: int
    delivery_id: int
    channel_id: int
    keeper_id: int
    keeper_name: str
    now: datetime
    maybe_repeat: bool
    items: tuple[RoundItem, ...]


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
        items=tuple(_item(due, now, ZoneInfo(claimed.zone)) for due in claimed.open_items),
    )


def next_dues(claimed: Claimed, now: datetime) -> dict[int, datetime]:
    """When each task of the delivery is due again: its first weekly time after both `now` and the time it was due."""
    zone = ZoneInfo(claimed.zone)
    return {
        due.task_id: next_weekly(max(now, due.due_at), due.weekday, due.minute_of_day, zone) for due in claimed.items
    }


def _item(due: DueItem, now: datetime, zone: ZoneInfo) -> RoundItem:
    passed = weeklies_within(due.since, now, due.weekday, due.minute_of_day, zone)
    return RoundItem(
        kind=due.kind,
        bin_code=due.bin_code,
        bin_name=due.bin_name,
        species_key=due.species_key,
        due_at=due.due_at,
        late=max(now - due.due_at, timedelta()),
        missed=max(passed - 1, 0),
        count=due.count,
    )
