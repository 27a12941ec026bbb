"""The dispatcher's own statements: claiming what is due in any server, and marking what became of it.

The only statements of the book that look across servers stand here, each under a name of `UNSCOPED`. Every method is
one transaction. Whoever writes into a server holds that server's row first; a claim skips servers and deliveries that
somebody holds at the moment and so never waits for a lock while it has one.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Select, and_, delete, func, insert, literal, or_, select, tuple_, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.claims import Claimed, read_claims
from bot.records.kinds import DeliveryState, OccurrenceState
from bot.records.redirecting import UNSENT, Redirecting, change, new_nonce
from bot.records.tables import care_tasks, deliveries, occurrences, refusing_rooms, servers
from bot.records.types import UtcDateTime
from bot.records.waiting import add_waiting, asking, hold_quiet, lock, new_ids, put_right

UNSCOPED = frozenset({"claim_stale", "claim_due", "lock_servers", "read_claims", "waiting"})
"""Names of the statements that may run without a server in their WHERE."""

ASKED_AGAIN = timedelta(hours=20)
"""What was asked so long ago and not answered comes up again in a ping that goes out anyway: on the next day, even if that
ping's hour is a little earlier. Nothing is asked twice a day."""


class Dispatch(Redirecting):
    """The dispatcher's side of the book. `now` is the keepers' time, `real` the machine's; both aware."""

    async def put_right(self, now: datetime) -> None:
        """Write the waiting dates that are missing, and move those of keepers who moved to another zone."""
        async with self._unit() as connection:
            await put_right(connection, now)

    async def claim(
        self, *, now: datetime, real: datetime, holder: str, lease: timedelta, limit: int
    ) -> tuple[Claimed, ...]:
        """Take up to `limit` deliveries under a lease that ends at `real + lease`, the servers taking turns.

        First come unsent deliveries whose lease ran out, with the nonce they have; then due occurrences, those of one
        keeper in one room together in a new delivery with a nonce of its own, with what that keeper was asked there on an
        earlier day and has not answered. A second due date of a task for a bin is dropped: it is asked for once. What
        falls into a keeper's quiet hours waits until they end.
        """
        until = real + lease
        async with self._unit() as connection:
            await hold_quiet(connection, now)
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
            return await change(connection, delivery, holder, changes, deliveries.c.lease_until > real)

    async def sent(
        self,
        delivery: Claimed,
        *,
        holder: str,
        now: datetime,
        message_id: int | None,
        next_due: Mapping[int, datetime],
        refused: bool = False,
    ) -> bool:
        """Mark a delivery as posted, its open occurrences as asked, and write when each task is due next.

        `next_due` gives a time for each task of the delivery that comes round; it is left out for a task that has ended
        and for a bin with a later date. An older occurrence that was asked and never answered is dropped.
        `message_id` is None if nothing was posted because nothing asked for it any more, or because it was `refused`
        wherever it was tried: then what it asked counts as asked all the same, and comes up in the next ping.

        Returns False, and changes nothing, if somebody else has taken or sent the delivery. A lease that merely ran
        out is no hindrance: the message stands.
        """
        async with self._unit() as connection:
            await connection.execute(lock(servers.c.server_id == delivery.server))
            changes: dict[str, Any] = {
                "state": DeliveryState.REFUSED if refused else DeliveryState.SENT,
                "sent_at": now,
                "message_id": message_id,
                "lease_until": None,
            }
            if not await change(connection, delivery, holder, changes):
                return False
            if message_id is not None and not delivery.direct:
                here = (refusing_rooms.c.server_id == delivery.server, refusing_rooms.c.id == delivery.home_id)
                await connection.execute(delete(refusing_rooms).where(*here))
            await _mark_asked(connection, delivery, now)
            await _write_next(connection, delivery, next_due)
            return True

    async def put_off(
        self, delivery: Claimed, *, holder: str, until: datetime, blocked: bool = False, untried: bool = False
    ) -> bool:
        """Leave a delivery alone until a time of the machine's clock; anybody may take it then.

        `blocked`: neither its room nor its keeper took it; its room is the first to be tried again. `untried`: no try can
        have left a message, so the next one counts as the first. Returns False, and changes nothing, if the delivery is
        not ours.
        """
        changes: dict[str, Any] = {"lease_until": until}
        if blocked:
            changes |= {"state": DeliveryState.BLOCKED, "channel_id": delivery.home_id, "direct": False}
        if blocked and delivery.direct:
            changes["nonce"] = new_nonce()
        if untried:
            changes["first_tried_at"] = None
        async with self._unit() as connection:
            return await change(connection, delivery, holder, changes)


async def _take_stale(
    connection: AsyncConnection, real: datetime, holder: str, until: datetime, limit: int
) -> list[str]:
    """Renew up to `limit` unsent deliveries whose lease ran out; returns their nonces."""
    stale = and_(deliveries.c.state.in_(UNSENT), deliveries.c.lease_until <= real)
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
    locks = lock(servers.c.server_id.in_(list(by_server)), skip_locked=True)
    locked = list((await connection.execute(locks, execution_options={"unscoped": "lock_servers"})).scalars())
    if not locked and may_wait:
        longest = next(iter(by_server))
        await connection.execute(lock(servers.c.server_id == longest))
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
    """Put what is due for each keeper and room of a locked server into a new delivery; returns the nonces."""
    mine = and_(occurrences.c.server_id == server, tuple_(care_tasks.c.keeper_id, care_tasks.c.channel_id).in_(groups))
    columns = select(
        occurrences.c.id,
        occurrences.c.task_id,
        occurrences.c.bin_id,
        occurrences.c.state,
        care_tasks.c.keeper_id,
        care_tasks.c.channel_id,
    )
    asked: defaultdict[tuple[int, int], dict[tuple[int, int], int]] = defaultdict(dict)
    again: list[int] = []
    # The server's row is held by now, so nobody else can have taken these or can take them.
    for wanted in (_due(columns, now), _unanswered(columns, now)):
        for row in await connection.execute(wanted.where(mine).order_by(occurrences.c.due_at, occurrences.c.id)):
            pairs = asked[row.keeper_id, row.channel_id]
            if (row.task_id, row.bin_id) not in pairs:
                pairs[row.task_id, row.bin_id] = row.id
            elif row.state == OccurrenceState.DUE:
                # One that was asked stays as it is until the newer one has been posted.
                again.append(row.id)
    if again:
        await _change_occurrences(connection, server, again, {"state": OccurrenceState.DROPPED})
    nonces: list[str] = []
    ids = await new_ids(connection, server, len(asked))
    for delivery_id, ((keeper, channel), pairs) in zip(ids, asked.items(), strict=True):
        nonces.append(new_nonce())
        await connection.execute(
            insert(deliveries).values(
                server_id=server,
                id=delivery_id,
                home_id=channel,
                channel_id=channel,
                direct=False,
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
        changes = {"delivery_id": delivery_id, "state": OccurrenceState.DUE}
        await _change_occurrences(connection, server, pairs.values(), changes)
    return nonces


def _due(what: Select[Any], now: datetime) -> Select[Any]:
    """Restrict a selection to what is due and in no delivery, of tasks that ask at this time."""
    return asking(what, now).where(
        occurrences.c.state == OccurrenceState.DUE,
        occurrences.c.delivery_id.is_(None),
        occurrences.c.due_at <= now,
        or_(occurrences.c.held_until.is_(None), occurrences.c.held_until <= now),
    )


def _unanswered(what: Select[Any], now: datetime) -> Select[Any]:
    """Restrict a selection to what was asked on an earlier day and not answered, of tasks that ask at this time."""
    return asking(what, now).where(
        occurrences.c.state == OccurrenceState.ASKED, occurrences.c.asked_at <= now - ASKED_AGAIN
    )


async def _mark_asked(connection: AsyncConnection, delivery: Claimed, now: datetime) -> None:
    """The delivery's open occurrences become asked; others of it that are due, and older unanswered ones, are
    dropped."""
    server, mine = delivery.server, occurrences.c.delivery_id == delivery.id
    asked = [item.occurrence_id for item in delivery.open_items]
    pairs = [(item.task_id, item.bin_id) for item in delivery.open_items]
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
            tuple_(occurrences.c.task_id, occurrences.c.bin_id).in_(pairs),
            occurrences.c.state == OccurrenceState.ASKED,
            occurrences.c.delivery_id != delivery.id,
        )
        .values(state=OccurrenceState.DROPPED)
    )


async def _write_next(connection: AsyncConnection, delivery: Claimed, next_due: Mapping[int, datetime]) -> None:
    """Write the next due date of each task and bin, if both live on and no later date waits."""
    pairs = {(item.task_id, item.bin_id): item.due_at for item in delivery.items if item.task_id in next_due}
    if not pairs:
        return
    tasks = {task for task, _ in pairs}
    alive = select(care_tasks.c.id).where(
        care_tasks.c.server_id == delivery.server, care_tasks.c.id.in_(list(tasks)), care_tasks.c.ended_at.is_(None)
    )
    later = select(occurrences.c.task_id, occurrences.c.bin_id, occurrences.c.due_at, occurrences.c.state).where(
        occurrences.c.server_id == delivery.server,
        occurrences.c.task_id.in_(list(tasks)),
        occurrences.c.due_at > min(pairs.values()),
    )
    living = set((await connection.execute(alive)).scalars())
    wanted = {pair for pair in pairs if pair[0] in living}
    for row in await connection.execute(later):
        pair = (row.task_id, row.bin_id)
        if pair not in wanted:
            continue
        waits = row.state == OccurrenceState.DUE and row.due_at > pairs[pair]
        if waits or row.due_at == next_due[row.task_id]:
            wanted.discard(pair)
    await add_waiting(
        connection, delivery.server, [(*pair, next_due[pair[0]], delivery.zone) for pair in sorted(wanted)]
    )


async def _change_occurrences(
    connection: AsyncConnection, server: int, ids: Iterable[int], changes: Mapping[str, Any]
) -> None:
    await connection.execute(
        update(occurrences).where(occurrences.c.server_id == server, occurrences.c.id.in_(list(ids))).values(changes)
    )
