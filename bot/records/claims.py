"""What the dispatcher reads of the deliveries it has claimed."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Row, Select, and_, case, exists, func, null, select, type_coerce
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.calendar import Cadence
from bot.records.kinds import CareKind, Exactness, OccurrenceState, Privacy
from bot.records.tables import bins, care_tasks, counts, deliveries, keepers, occurrences, servers, texts
from bot.records.types import UtcDateTime

_words = texts.alias("words")


@dataclass(frozen=True, slots=True)
class LastCount:
    """The newest count of a bin."""

    total: int
    at: datetime
    exactness: Exactness


@dataclass(frozen=True, slots=True)
class DueItem:
    """One due date of a task for one bin, with what a ping says of it.

    `open` is false once it was answered, put off or given up, or its task or bin has ended. `since` is when the task was
    last done for the bin, or else when there were both, or else when it ended a rest. `text` are the keeper's own words.
    """

    occurrence_id: int
    task_id: int
    kind: CareKind
    text: str | None
    cadence: Cadence
    due_at: datetime
    state: OccurrenceState
    done_by: int | None
    open: bool
    since: datetime
    bin_id: int
    bin_code: str
    bin_name: str | None
    species_key: str
    count: LastCount | None


@dataclass(frozen=True, slots=True)
class Claimed:
    """A delivery under a lease of ours, as it stood when claimed.

    `home_id` is the room it was asked for in; `channel_id` where it goes, which is the keeper's own if `direct`.
    `lease_until` and `first_tried_at` are of the machine's clock, the latter None if nothing was ever sent there for it.
    `zone` is the keeper's time zone by its IANA name, or else the server's, or else UTC. `items` are the longest due
    first.
    """

    server: int
    id: int
    home_id: int
    channel_id: int
    direct: bool
    keeper_id: int
    keeper_name: str
    zone: str
    nonce: str
    lease_until: datetime
    first_tried_at: datetime | None
    tries: int
    items: tuple[DueItem, ...]

    @property
    def open_items(self) -> tuple[DueItem, ...]:
        """Those that still ask for something."""
        return tuple(item for item in self.items if item.open)


async def read_claims(connection: AsyncConnection, nonces: Collection[str]) -> tuple[Claimed, ...]:
    """The deliveries with these nonces, in this order, with everything in them. Two statements."""
    if not nonces:
        return ()
    items: defaultdict[tuple[int, int], list[DueItem]] = defaultdict(list)
    wanted = _items().join(deliveries, _of_delivery()).where(deliveries.c.nonce.in_(nonces))
    for row in await connection.execute(wanted, execution_options={"unscoped": "read_claims"}):
        items[row.server_id, row.delivery_id].append(_item(row))
    found: dict[str, Claimed] = {}
    for row in await connection.execute(_deliveries_of(nonces), execution_options={"unscoped": "read_claims"}):
        found[row.nonce] = Claimed(
            server=row.server_id,
            id=row.id,
            home_id=row.home_id,
            channel_id=row.channel_id,
            direct=row.direct,
            keeper_id=row.keeper_id,
            keeper_name=row.keeper_name,
            zone=row.keeper_zone or row.server_zone or "UTC",
            nonce=row.nonce,
            lease_until=row.lease_until,
            first_tried_at=row.first_tried_at,
            tries=row.tries,
            items=tuple(items[row.server_id, row.id]),
        )
    return tuple(found[nonce] for nonce in nonces)


async def read_items(
    connection: AsyncConnection, server: int, *, delivery_id: int | None = None, ids: Collection[int] = ()
) -> tuple[DueItem, ...]:
    """What one delivery of a server asks, or certain due dates of it, the longest due first."""
    mine = occurrences.c.id.in_(ids) if delivery_id is None else occurrences.c.delivery_id == delivery_id
    wanted = _items().where(occurrences.c.server_id == server, mine)
    return tuple(_item(row) for row in await connection.execute(wanted))


def _of_delivery() -> ColumnElement[bool]:
    return and_(occurrences.c.server_id == deliveries.c.server_id, occurrences.c.delivery_id == deliveries.c.id)


def _deliveries_of(nonces: Collection[str]) -> Select[Any]:
    return (
        select(deliveries, keepers.c.name.label("keeper_name"), keepers.c.zone.label("keeper_zone"))
        .add_columns(servers.c.zone.label("server_zone"))
        .join(keepers, and_(keepers.c.server_id == deliveries.c.server_id, keepers.c.id == deliveries.c.keeper_id))
        .join(servers, servers.c.server_id == deliveries.c.server_id)
        .where(deliveries.c.nonce.in_(nonces))
    )


def _items() -> Select[Any]:
    server = occurrences.c.server_id
    earlier = occurrences.alias("earlier")
    last_done = (
        select(func.max(earlier.c.done_at))
        .where(
            earlier.c.server_id == server,
            earlier.c.task_id == occurrences.c.task_id,
            earlier.c.bin_id == occurrences.c.bin_id,
            earlier.c.state == OccurrenceState.DONE,
        )
        .scalar_subquery()
    )
    newer, correction = counts.alias("newer"), counts.alias("correction")
    newest = (
        select(newer.c.id)
        .where(
            newer.c.server_id == server,
            newer.c.bin_id == bins.c.id,
            ~exists().where(correction.c.server_id == server, correction.c.corrects_id == newer.c.id),
        )
        .order_by(newer.c.at.desc(), newer.c.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    return (
        select(
            server,
            occurrences.c.delivery_id,
            occurrences.c.id,
            occurrences.c.due_at,
            occurrences.c.state,
            occurrences.c.done_by,
            care_tasks.c.id.label("task_id"),
            care_tasks.c.kind,
            _words.c.body.label("words"),
            care_tasks.c.rhythm,
            care_tasks.c.days,
            care_tasks.c.minute_of_day,
            care_tasks.c.ended_at,
            care_tasks.c.created_at,
            care_tasks.c.paused_until,
            type_coerce(last_done, UtcDateTime).label("last_done"),
            bins.c.opened_at,
            bins.c.id.label("bin_id"),
            bins.c.code,
            bins.c.closed_at,
            bins.c.species_key,
            # A ping is read by the whole room.
            case((bins.c.privacy != Privacy.BIN, texts.c.body), else_=null()).label("bin_name"),
            counts.c.total,
            counts.c.at.label("counted_at"),
            counts.c.exactness,
        )
        .select_from(occurrences)
        .join(care_tasks, and_(care_tasks.c.server_id == server, care_tasks.c.id == occurrences.c.task_id))
        .join(bins, and_(bins.c.server_id == server, bins.c.id == occurrences.c.bin_id))
        .outerjoin(_words, and_(_words.c.server_id == server, _words.c.id == care_tasks.c.text_id))
        .outerjoin(texts, and_(texts.c.server_id == server, texts.c.id == bins.c.name_id))
        .outerjoin(counts, and_(counts.c.server_id == server, counts.c.id == newest, bins.c.privacy != Privacy.BIN))
        .order_by(occurrences.c.due_at, occurrences.c.id)
    )


def _item(row: Row[Any]) -> DueItem:
    return DueItem(
        occurrence_id=row.id,
        task_id=row.task_id,
        kind=row.kind,
        text=row.words,
        cadence=Cadence.of(row.rhythm, row.days, row.minute_of_day),
        due_at=row.due_at,
        state=row.state,
        done_by=row.done_by,
        open=row.state == OccurrenceState.DUE and row.ended_at is None and row.closed_at is None,
        since=max(row.last_done or max(row.created_at, row.opened_at), row.paused_until or row.created_at),
        bin_id=row.bin_id,
        bin_code=row.code,
        bin_name=row.bin_name,
        species_key=row.species_key,
        count=None if row.total is None else LastCount(row.total, row.counted_at, row.exactness),
    )
