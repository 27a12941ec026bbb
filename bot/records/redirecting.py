"""What the dispatcher writes of rooms that take no pings: the way to the keeper instead, and that the server was told."""

import secrets
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection, AsyncEngine

from bot.guard import unit_of_work
from bot.records.claims import Claimed
from bot.records.kinds import DeliveryState
from bot.records.tables import deliveries, refusing_rooms, servers
from bot.records.waiting import lock

UNSENT = (DeliveryState.SENDING, DeliveryState.BLOCKED)
"""The states of a delivery that has still to be sent."""

_NONCE_BYTES = 12
"""Twice as many characters in hexadecimal; the chat service takes 25."""


class Redirecting:
    """The part of the dispatcher's statements that is about rooms that take no pings."""

    def __init__(self, writer: AsyncEngine) -> None:
        self._writer = writer

    async def redirect(self, delivery: Claimed, *, holder: str, channel_id: int, until: datetime) -> Claimed | None:
        """Its room took it not: it goes to its keeper alone, in this channel, with a nonce of its own.

        The lease then ends at `until`. Returns the delivery as it stands then; None, changing nothing, if it is not ours.
        """
        nonce = new_nonce()
        changes = {
            "channel_id": channel_id,
            "direct": True,
            "nonce": nonce,
            "first_tried_at": None,
            "state": DeliveryState.SENDING,
            "lease_until": until,
        }
        async with self._unit() as connection:
            if not await change(connection, delivery, holder, changes):
                return None
        return replace(
            delivery, channel_id=channel_id, direct=True, nonce=nonce, first_tried_at=None, lease_until=until
        )

    async def room_refused(self, server: int, room: int, now: datetime) -> bool:
        """Note that a room takes no pings; whether its server has yet to be told."""
        here = (refusing_rooms.c.server_id == server, refusing_rooms.c.id == room)
        async with self._unit() as connection:
            await connection.execute(lock(servers.c.server_id == server))
            found = (await connection.execute(select(refusing_rooms.c.told_at).where(*here))).first()
            if found is None:
                await connection.execute(insert(refusing_rooms).values(server_id=server, id=room, since=now))
            return found is None or found.told_at is None

    async def server_told(self, server: int, room: int, now: datetime) -> None:
        """Remember that a server was told of a room that takes no pings."""
        here = (refusing_rooms.c.server_id == server, refusing_rooms.c.id == room)
        async with self._unit() as connection:
            await connection.execute(update(refusing_rooms).where(*here).values(told_at=now))

    async def rooms_to_tell(self, server: int) -> tuple[int, ...]:
        """Where a server can be told of a room that takes no pings, the best first: its own choice, then where a ping came
        last."""
        taken = (
            select(deliveries.c.channel_id)
            .where(
                deliveries.c.server_id == server,
                deliveries.c.state == DeliveryState.SENT,
                deliveries.c.direct.is_(False),
                deliveries.c.message_id.is_not(None),
                deliveries.c.channel_id.not_in(select(refusing_rooms.c.id).where(refusing_rooms.c.server_id == server)),
            )
            .order_by(deliveries.c.id.desc())
            .limit(1)
        )
        chosen = select(servers.c.channel_id).where(servers.c.server_id == server)
        async with self._unit() as connection:
            rooms = [(await connection.execute(wanted)).scalar() for wanted in (chosen, taken)]
        return tuple(dict.fromkeys(room for room in rooms if room is not None))

    @asynccontextmanager
    async def _unit(self) -> AsyncIterator[AsyncConnection]:
        with unit_of_work():
            async with self._writer.begin() as connection:
                yield connection


def new_nonce() -> str:
    """A nonce never used before."""
    return secrets.token_hex(_NONCE_BYTES)


async def change(
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
            deliveries.c.state.in_(UNSENT),
            *conditions,
        )
        .values(changes)
    )
    return changed.rowcount == 1
