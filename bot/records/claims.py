"""What the dispatcher reads of the deliveries it has claimed."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any

from sqlalchemy import ColumnElement, Row, Select, and_, case, exists, func, null, or_, select, type_coerce
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.calendar import Cadence
from bot.records.evidence_tables import verdict_news, verdicts
from bot.records.kinds import CareKind, Exactness, HoldCause, MarkKind, OccurrenceState, Privacy
from bot.records.mark_tables import bin_marks
from bot.records.tables import bins, care_tasks, counts, deliveries, keepers, occurrences, servers, texts, traits
from bot.records.types import UtcDateTime

_words = texts.alias("words")
_ACROSS = {"unscoped": "read_claims"}


@dataclass(frozen=True, slots=True)
class LastCount:
    """The newest count of a bin."""

    total: int
    at: datetime
    exactness: Exactness


@dataclass(frozen=True, slots=True)
class DueItem:
    """One due date of a task for one bin, with what a ping says of it.

    `apart`: the bin is in quarantine, or on hold for a suspected disease; `told`: what is in the bin may be said to a room.
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
    apart: bool = False
    told: bool = True


@dataclass(frozen=True, slots=True)
class ToldVerdict:
    """A verdict as it stands in the book: the word, the likeliest explanation (empty: none was weighed), its posterior."""

    word: str
    leader: str
    posterior: Fraction


@dataclass(frozen=True, slots=True)
class VerdictNews:
    """A verdict that is told in a room, with the one before it if there was one; `trait` is the trait's name."""

    trait_id: int
    trait: str
    now: ToldVerdict
    before: ToldVerdict | None


@dataclass(frozen=True, slots=True)
class Claimed:
    """A delivery under a lease of ours, as it stood when claimed.

    `home_id` is the room it was asked for in; `channel_id` where it goes, which is the keeper's own if `direct`.
    `lease_until` and `first_tried_at` are of the machine's clock, the latter None if nothing was ever sent there for it.
    `zone` is the keeper's time zone by its IANA name, or else the server's, or else UTC. `items` are the longest due
    first; one that asks nothing may tell `news`.
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
    news: VerdictNews | None = None

    @property
    def open_items(self) -> tuple[DueItem, ...]:
        """Those that still ask for something."""
        return tuple(item for item in self.items if item.open)


async def read_claims(connection: AsyncConnection, nonces: Collection[str]) -> tuple[Claimed, ...]:
    """The deliveries with these nonces, in this order, with everything in them. Four statements, and one for each that asks nothing."""
    if not nonces:
        return ()
    claimed = list(await connection.execute(_deliveries_of(nonces), execution_options=_ACROSS))
    of: defaultdict[int, list[int]] = defaultdict(list)
    for row in claimed:
        of[row.server_id].append(row.id)
    mine = or_(*(_asked(server, occurrences.c.delivery_id.in_(ids)) for server, ids in of.items()))
    items: defaultdict[tuple[int, int], list[DueItem]] = defaultdict(list)
    for delivery, item in await _due(connection, mine):
        items[delivery].append(item)
    found: dict[str, Claimed] = {}
    for row in claimed:
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
            news=None if items[row.server_id, row.id] else await _news(connection, row.server_id, row.id),
        )
    return tuple(found[nonce] for nonce in nonces)


async def _news(connection: AsyncConnection, server: int, delivery_id: int) -> VerdictNews | None:
    """The verdict that a delivery tells, if it tells one, and the one before it."""
    told = verdicts.alias("told")
    wanted = (
        select(verdicts.c.trait_id, texts.c.body, verdicts.c.word, verdicts.c.leader, verdicts.c.posterior)
        .select_from(verdict_news)
        .join(told, and_(told.c.server_id == verdict_news.c.server_id, told.c.id == verdict_news.c.verdict_id))
        .join(
            verdicts,
            and_(
                verdicts.c.server_id == told.c.server_id,
                verdicts.c.trait_id == told.c.trait_id,
                verdicts.c.id <= told.c.id,
            ),
        )
        .join(traits, and_(traits.c.server_id == told.c.server_id, traits.c.id == told.c.trait_id))
        .join(texts, and_(texts.c.server_id == traits.c.server_id, texts.c.id == traits.c.name_id))
        .where(verdict_news.c.server_id == server, verdict_news.c.delivery_id == delivery_id)
        .order_by(verdicts.c.id.desc())
        .limit(2)
    )
    rows = list(await connection.execute(wanted))
    if not rows:
        return None
    now, *before = (ToldVerdict(row.word, row.leader, row.posterior) for row in rows)
    return VerdictNews(rows[0].trait_id, rows[0].body, now, before[0] if before else None)


async def read_items(
    connection: AsyncConnection, server: int, *, delivery_id: int | None = None, ids: Collection[int] = ()
) -> tuple[DueItem, ...]:
    """What one delivery of a server asks, or certain due dates of it, the longest due first."""
    mine = occurrences.c.id.in_(ids) if delivery_id is None else occurrences.c.delivery_id == delivery_id
    return tuple(item for _, item in await _due(connection, _asked(server, mine)))


def _asked(server: int, these: ColumnElement[bool]) -> ColumnElement[bool]:
    return and_(occurrences.c.server_id == server, these)


async def _due(connection: AsyncConnection, mine: ColumnElement[bool]) -> list[tuple[tuple[int, int], DueItem]]:
    """The due dates that are meant, the longest due first, each with the delivery (server, id) that asks for it.

    Bins and their counts are asked for by themselves. Joined in one statement, a database that does not know yet how many
    rows there are pairs each task of a server with each of its bins: seconds, where this takes milliseconds.
    """
    rows = list(await connection.execute(_items().where(mine), execution_options=_ACROSS))
    if not rows:
        return []
    places = and_(
        bins.c.server_id.in_(sorted({row.server_id for row in rows})),
        bins.c.id.in_(sorted({row.bin_id for row in rows})),
    )
    there = {
        (row.server_id, row.id): row
        for row in await connection.execute(_places().where(places), execution_options=_ACROSS)
    }
    newest = await _newest(connection, list(there.values()))
    return [((row.server_id, row.delivery_id), _item(row, there[row.server_id, row.bin_id], newest)) for row in rows]


_Newest = dict[tuple[int, int], LastCount]


async def _newest(connection: AsyncConnection, places: Collection[Row[Any]]) -> _Newest:
    """The newest count of each of these bins, if it may be said and is of a number."""
    told = [row for row in places if row.privacy != Privacy.BIN]
    if not told:
        return {}
    correction = counts.alias("correction")
    corrected = exists().where(correction.c.server_id == counts.c.server_id, correction.c.corrects_id == counts.c.id)
    place = func.row_number().over(
        partition_by=(counts.c.server_id, counts.c.bin_id), order_by=(counts.c.at.desc(), counts.c.id.desc())
    )
    ranked = (
        select(counts.c.server_id, counts.c.bin_id, counts.c.total, counts.c.at, counts.c.exactness)
        .add_columns(place.label("place"))
        .where(
            counts.c.server_id.in_(sorted({row.server_id for row in told})),
            counts.c.bin_id.in_(sorted({row.id for row in told})),
            ~corrected,
        )
        .subquery()
    )
    wanted = select(ranked).where(ranked.c.place == 1, ranked.c.total.is_not(None))
    found = await connection.execute(wanted, execution_options=_ACROSS)
    return {(row.server_id, row.bin_id): LastCount(row.total, row.at, row.exactness) for row in found}


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
            occurrences.c.bin_id,
        )
        .select_from(occurrences)
        .join(care_tasks, and_(care_tasks.c.server_id == server, care_tasks.c.id == occurrences.c.task_id))
        .outerjoin(_words, and_(_words.c.server_id == server, _words.c.id == care_tasks.c.text_id))
        .order_by(occurrences.c.due_at, occurrences.c.id)
    )


def _places() -> Select[Any]:
    """Bins as a ping names them."""
    # A ping is read by the whole room.
    name = case((bins.c.privacy != Privacy.BIN, texts.c.body), else_=null()).label("name")
    columns = (bins.c[key] for key in ("server_id", "id", "code", "opened_at", "closed_at", "species_key", "privacy"))
    named = and_(texts.c.server_id == bins.c.server_id, texts.c.id == bins.c.name_id)
    mark = bin_marks.c
    apart = exists().where(
        mark.server_id == bins.c.server_id,
        mark.bin_id == bins.c.id,
        mark.ended_at.is_(None),
        or_(mark.kind == MarkKind.QUARANTINE, mark.cause.in_((HoldCause.BLUE_SHEEN, HoldCause.DISEASE))),
    )
    return select(*columns, name, apart.label("apart")).select_from(bins.outerjoin(texts, named))


def _item(row: Row[Any], place: Row[Any], newest: _Newest) -> DueItem:
    return DueItem(
        occurrence_id=row.id,
        task_id=row.task_id,
        kind=row.kind,
        text=row.words,
        cadence=Cadence.of(row.rhythm, row.days, row.minute_of_day),
        due_at=row.due_at,
        state=row.state,
        done_by=row.done_by,
        open=row.state == OccurrenceState.DUE and row.ended_at is None and place.closed_at is None,
        since=max(row.last_done or max(row.created_at, place.opened_at), row.paused_until or row.created_at),
        bin_id=row.bin_id,
        bin_code=place.code,
        bin_name=place.name,
        species_key=place.species_key,
        count=newest.get((row.server_id, row.bin_id)),
        apart=place.apart,
        told=place.privacy != Privacy.BIN,
    )
