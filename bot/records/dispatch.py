"""The dispatcher's own statements: claiming what is due in any server, and marking what became of it.

The only statements of the book that look across servers stand here, each under a name of `UNSCOPED`. Every method is
one transaction. Whoever writes into a server holds that server's row first; a claim skips servers and deliveries that
somebody holds at the moment and so never waits for a lock while it has one.
"""

import secrets
from collections import defaultdict
from collections.abc import AsyncIterator, Collection, Iterable, Mapping
from contextlib import asynccontextmanager
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, func, insert, literal, select, tuple_, update
from sqlalchemy.ext.asyncio import AsyncConnection, AsyncEngine

from bot.guard import unit_of_work
from bot.records.claims import Claimed, read_claims
from bot.records.kinds import DeliveryState, OccurrenceState
from bot.records.tables import bins, care_tasks, deliveries, occurrences, servers
from bot.records.types import UtcDateTime

UNSCOPED = frozenset({"claim_stale", "claim_due", "lock_servers", "read_claims"})
"""Names of the statements that may run without a server in their WHERE."""

_NONCE_BYTES = 12
"""Twice as many characters in hexadecimal; the chat service takes 25."""

_UNSENT = (DeliveryState.SENDING, DeliveryState.BLOCKED)


class Dispatch:
    """The dispatcher's side of the book. `now` is the keepers' time, `real` the machine's; both aware."""

    def __init__(self, writer: AsyncEngine) -> None:
        self._writer = writer

    async def claim(
        self, *, now: datetime, real: datetime, holder: str, lease: timedelta, limit: int
    ) -> tuple[Claimed, ...]:
        """Take up to `limit` deliveries under a lease that ends at `real + lease`, the servers taking turns.

        First come unsent deliveries whose lease ran out, with the nonce they have; then due occurrences, those of one
        keeper in one channel together in a new delivery with a nonce of its own. A second due date of a task that waits
        already is dropped: a task is asked for once.
        """
        until = real + lease
        async with self._unit() as connection:
            nonces = await _take_stale(connection, real, holder, until, limit)
            due = await _due_groups(connection, now, limit - len(nonces), may_wait=not nonces)
            for server, groups in due.items():
                nonces += await _make_deliveries(connection, server, groups, now=now, holder=holder, until=until)
            return await read_claims(connection, nonces)

    async def begin_try(
        self, delivery: Claimed, *, holder: str, real: datetime, until: datetime, maybe_repeat: bool
    ) -> bool:
        """Announce that the next thing done is posting: count the try, note the first, renew the lease.

        The lease then ends at `until`. `maybe_repeat` is what the ping says of itself.

        Returns False, and changes nothing, if the lease has run out or is no longer ours: then nothing may be posted.
        """
        changes: dict[str, Any] = {
            "tries": deliveries.c.tries + 1,
            "first_tried_at": func.coalesce(deliveries.c.first_tried_at, literal(real, UtcDateTime)),
            "lease_until": until,
            "maybe_repeat": maybe_repeat,
        }
        async with self._unit() as connection:
            return await _change(connection, delivery, holder, changes, deliveries.c.lease_until > real)

    async def sent(
        self,
        delivery: Claimed,
        *,
        holder: str,
        now: datetime,
        message_id: int | None,
        next_due: Mapping[int, datetime],
    ) -> bool:
        """Mark a delivery as posted, its open occurrences as asked, and write when each task is due next.

        `next_due` gives a time for each task of the delivery; it is left out for a task that has ended or has a later
        due date already. An older occurrence of such a task that was asked and never answered is dropped.
        `message_id` is None if nothing was posted because nothing asked for it any more.

        Returns False, and changes nothing, if somebody else has taken or sent the delivery. A lease that merely ran
        out is no hindrance: the message stands.
        """
        async with self._unit() as connection:
            await connection.execute(_lock(servers.c.server_id == delivery.server))
            changes: dict[str, Any] = {
                "state": DeliveryState.SENT,
                "sent_at": now,
                "message_id": message_id,
                "lease_until": None,
            }
            if not await _change(connection, delivery, holder, changes):
                return False
            await _mark_asked(connection, delivery, now)
            await _write_next(connection, delivery, next_due)
            return True

    async def put_off(
        self, delivery: Claimed, *, holder: str, until: datetime, blocked: bool = False, untried: bool = False
    ) -> bool:
        """Leave a delivery alone until a time of the machine's clock; anybody may take it then.

        `blocked`: the channel is gone or closed to the bot. `untried`: no try can have left a message, so the next one
        counts as the first. Returns False, and changes nothing, if the delivery is not ours.
        """
        changes: dict[str, Any] = {"lease_until": until}
        if blocked:
            changes["state"] = DeliveryState.BLOCKED
        if untried:
            changes["first_tried_at"] = None
        async with self._unit() as connection:
            return await _change(connection, delivery, holder, changes)

    @asynccontextmanager
    async def _unit(self) -> AsyncIterator[AsyncConnection]:
        with unit_of_work():
            async with self._writer.begin() as connection:
                yield connection


async def _take_stale(
    connection: AsyncConnection, real: datetime, holder: str, until: datetime, limit: int
) -> list[str]:
    """Renew up to `limit` unsent deliveries whose lease ran out; returns their nonces."""
    stale = and_(deliveries.c.state.in_(_UNSENT), deliveries.c.lease_until <= real)
    rank = func.row_number().over(partition_by=deliveries.c.server_id, order_by=deliveries.c.lease_until)
    ranked = select(deliveries.c.nonce, deliveries.c.lease_until, rank.label("rank")).where(stale).subquery()
    chosen = select(ranked.c.nonce).order_by(ranked.c.rank, ranked.c.lease_until).limit(limit)
    # The lease is asked for again outside: only that is looked at anew if somebody changed the row meanwhile.
    locked = (
        select(deliveries.c.nonce)
        .where(deliveries.c.nonce.in_(chosen), stale)
        .with_for_update(skip_locked=True, key_share=True)
    )
    nonces = list((await connection.execute(locked, execution_options={"unscoped": "claim_stale"})).scalars())
    if nonces:
        await connection.execute(
            update(deliveries).where(deliveries.c.nonce.in_(nonces)).values(holder=holder, lease_until=until),
            execution_options={"unscoped": "claim_stale"},
        )
    return nonces


async def _due_groups(
    connection: AsyncConnection, now: datetime, limit: int, *, may_wait: bool
) -> dict[int, list[tuple[int, int]]]:
    """Up to `limit` pairs of keeper and channel with something due, by server; the servers are then locked for us.

    Servers that somebody is writing to are passed over; if all are, the one with the longest due is waited for, as long
    as the transaction holds nothing that its writer could wait for in turn (`may_wait`). Without that, a server whose
    keepers write without a pause would never be pinged.
    """
    server, keeper, channel = occurrences.c.server_id, care_tasks.c.keeper_id, care_tasks.c.channel_id
    groups = (
        _due(select(server, keeper, channel, func.min(occurrences.c.due_at).label("first")), now)
        .group_by(server, keeper, channel)
        .subquery()
    )
    rank = func.row_number().over(partition_by=groups.c.server_id, order_by=groups.c.first)
    ranked = select(groups, rank.label("rank")).subquery()
    chosen = (
        select(ranked.c.server_id, ranked.c.keeper_id, ranked.c.channel_id)
        .order_by(ranked.c.rank, ranked.c.first)
        .limit(limit)
    )
    by_server: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for row in await connection.execute(chosen, execution_options={"unscoped": "claim_due"}):
        by_server[row.server_id].append((row.keeper_id, row.channel_id))
    if not by_server:
        return {}
    locks = _lock(servers.c.server_id.in_(list(by_server)), skip_locked=True)
    locked = list((await connection.execute(locks, execution_options={"unscoped": "lock_servers"})).scalars())
    if not locked and may_wait:
        longest = next(iter(by_server))
        await connection.execute(_lock(servers.c.server_id == longest))
        locked = [longest]
    return {server_id: by_server[server_id] for server_id in locked}


async def _make_deliveries(
    connection: AsyncConnection,
    server: int,
    groups: Collection[tuple[int, int]],
    *,
    now: datetime,
    holder: str,
    until: datetime,
) -> list[str]:
    """Put what is due for each keeper and channel of a locked server into a new delivery; returns the nonces."""
    due = _due(
        select(occurrences.c.id, occurrences.c.task_id, care_tasks.c.keeper_id, care_tasks.c.channel_id), now
    ).where(
        occurrences.c.server_id == server,
        tuple_(care_tasks.c.keeper_id, care_tasks.c.channel_id).in_(groups),
    )
    asked: defaultdict[tuple[int, int], dict[int, int]] = defaultdict(dict)
    again: list[int] = []
    # The server's row is held by now, so nobody else can have taken these or can take them.
    for row in await connection.execute(due.order_by(occurrences.c.due_at, occurrences.c.id)):
        tasks = asked[row.keeper_id, row.channel_id]
        if row.task_id in tasks:
            again.append(row.id)
        else:
            tasks[row.task_id] = row.id
    if again:
        await _change_occurrences(connection, server, again, {"state": OccurrenceState.DROPPED})
    nonces: list[str] = []
    ids = await _new_ids(connection, server, len(asked))
    for delivery_id, ((keeper, channel), tasks) in zip(ids, asked.items(), strict=True):
        nonces.append(secrets.token_hex(_NONCE_BYTES))
        await connection.execute(
            insert(deliveries).values(
                server_id=server,
                id=delivery_id,
                channel_id=channel,
                keeper_id=keeper,
                nonce=nonces[-1],
                state=DeliveryState.SENDING,
                holder=holder,
                lease_until=until,
                tries=0,
                maybe_repeat=False,
                created_at=now,
            )
        )
        await _change_occurrences(connection, server, tasks.values(), {"delivery_id": delivery_id})
    return nonces


def _due(what: Select[Any], now: datetime) -> Select[Any]:
    """Restrict a selection to what is due, in no delivery, and of a task and bin that have not ended."""
    return (
        what.select_from(occurrences)
        .join(
            care_tasks,
            and_(care_tasks.c.server_id == occurrences.c.server_id, care_tasks.c.id == occurrences.c.task_id),
        )
        .join(bins, and_(bins.c.server_id == care_tasks.c.server_id, bins.c.id == care_tasks.c.bin_id))
        .where(
            occurrences.c.state == OccurrenceState.DUE,
            occurrences.c.delivery_id.is_(None),
            occurrences.c.due_at <= now,
            care_tasks.c.ended_at.is_(None),
            bins.c.closed_at.is_(None),
        )
    )


async def _mark_asked(connection: AsyncConnection, delivery: Claimed, now: datetime) -> None:
    """The delivery's open occurrences become asked; others of it that are due, and older unanswered ones, are
    dropped."""
    server, mine = delivery.server, occurrences.c.delivery_id == delivery.id
    asked = [item.occurrence_id for item in delivery.open_items]
    tasks = [item.task_id for item in delivery.open_items]
    due = occurrences.c.state == OccurrenceState.DUE
    in_server = occurrences.c.server_id == server
    await connection.execute(
        update(occurrences)
        .where(in_server, mine, due, occurrences.c.id.in_(asked))
        .values(state=OccurrenceState.ASKED, asked_at=now)
    )
    await connection.execute(update(occurrences).where(in_server, mine, due).values(state=OccurrenceState.DROPPED))
    await connection.execute(
        update(occurrences)
        .where(
            in_server,
            occurrences.c.task_id.in_(tasks),
            occurrences.c.state == OccurrenceState.ASKED,
            occurrences.c.delivery_id != delivery.id,
        )
        .values(state=OccurrenceState.DROPPED)
    )


async def _write_next(connection: AsyncConnection, delivery: Claimed, next_due: Mapping[int, datetime]) -> None:
    """Write the next due date of each task that lives on and has no later one waiting."""
    tasks = {item.task_id: item.due_at for item in delivery.items}
    if not tasks:
        return
    alive = select(care_tasks.c.id).where(
        care_tasks.c.server_id == delivery.server, care_tasks.c.id.in_(list(tasks)), care_tasks.c.ended_at.is_(None)
    )
    later = select(occurrences.c.task_id, occurrences.c.due_at, occurrences.c.state).where(
        occurrences.c.server_id == delivery.server,
        occurrences.c.task_id.in_(list(tasks)),
        occurrences.c.due_at > min(tasks.values()),
    )
    wanted = set((await connection.execute(alive)).scalars())
    for row in await connection.execute(later):
        waits = row.state == OccurrenceState.DUE and row.due_at > tasks[row.task_id]
        if waits or row.due_at == next_due[row.task_id]:
            wanted.discard(row.task_id)
    ids = await _new_ids(connection, delivery.server, len(wanted))
    rows = [
        {
            "server_id": delivery.server,
            "id": occurrence_id,
            "task_id": task_id,
            "due_at": next_due[task_id],
            "state": OccurrenceState.DUE,
        }
        for occurrence_id, task_id in zip(ids, sorted(wanted), strict=True)
    ]
    if rows:
        await connection.execute(insert(occurrences), rows)


async def _new_ids(connection: AsyncConnection, server: int, number: int) -> range:
    """The next ids of a server whose row is held."""
    if not number:
        return range(0)
    count_up = (
        update(servers)
        .where(servers.c.server_id == server)
        .values(next_id=servers.c.next_id + number)
        .returning(servers.c.next_id)
    )
    after: int = (await connection.execute(count_up)).scalar_one()
    return range(after - number, after)


def _lock(which: ColumnElement[bool], *, skip_locked: bool = False) -> Select[Any]:
    """Hold servers' rows against every other writer until the transaction ends. SQLite holds the whole file anyway."""
    return select(servers.c.server_id).where(which).with_for_update(skip_locked=skip_locked, key_share=True)


async def _change(
    connection: AsyncConnection,
    delivery: Claimed,
    holder: str,
    changes: Mapping[str, Any],
    *conditions: ColumnElement[bool],
) -> bool:
    """Change a delivery that is unsent and ours; whether it was."""
    changed = await connection.execute(
        update(deliveries)
        .where(
            deliveries.c.server_id == delivery.server,
            deliveries.c.id == delivery.id,
            deliveries.c.holder == holder,
            deliveries.c.state.in_(_UNSENT),
            *conditions,
        )
        .values(changes)
    )
    return changed.rowcount == 1


async def _change_occurrences(
    connection: AsyncConnection, server: int, ids: Iterable[int], changes: Mapping[str, Any]
) -> None:
    await connection.execute(
        update(occurrences).where(occurrences.c.server_id == server, occurrences.c.id.in_(list(ids))).values(changes)
    )
