"""Writing verdicts, and how a trait is to be weighed, into one server's book."""

from collections.abc import Mapping
from datetime import UTC, datetime
from fractions import Fraction
from typing import Any, Final

from bot.records import evidence_tables, tables
from bot.records.evidence_rows import FollowedRow
from bot.records.kinds import DeliveryState
from bot.records.redirecting import new_nonce
from bot.records.writing import Writing

NEVER_HELD: Final = datetime.fromtimestamp(0, UTC)
"""When the lease of a delivery ran out that nobody has taken yet."""


class EvidenceWriting(Writing):
    """The part of a book that writes verdicts."""

    async def add_verdict(
        self,
        trait_id: int,
        *,
        seq: int,
        word: str,
        leader: str,
        posterior: Fraction,
        sceptic: Fraction,
        broods: int,
        young: int,
        body: Mapping[str, Any],
    ) -> int:
        """Take down what the broods say once event `seq` stands. It follows from the book, so it leaves no event."""
        verdict_id = self._take_id()
        await self._put(
            evidence_tables.verdicts,
            id=verdict_id,
            trait_id=trait_id,
            seq=seq,
            at=self.stamp.now,
            word=word,
            leader=leader,
            posterior=posterior,
            sceptic=sceptic,
            broods=broods,
            young=young,
            body=dict(body),
        )
        return verdict_id

    async def set_weighing(self, trait_id: int, body: Mapping[str, Any] | None) -> int:
        """Set with which priors and grids a trait is weighed, None for the defaults; returns the id of the setting."""
        values: dict[str, Any] = {
            "body": None if body is None else dict(body),
            "set_by": self.stamp.actor,
            "set_at": self.stamp.now,
        }
        row = await self.weighing(trait_id)
        if row is None:
            return await self._add(evidence_tables.evidence_settings, trait_id=trait_id, **values)
        await self._change(evidence_tables.evidence_settings, row.id, noted=tuple(values), **values)
        return row.id

    async def follow(self, trait_id: int, room_id: int) -> int:
        """Have the verdicts of a trait told in a room from now on; returns the id of that wish."""
        values: dict[str, Any] = {"room_id": room_id, "keeper_id": self.stamp.actor, "since": self.stamp.now}
        row = await self.followed(trait_id)
        if row is None:
            return await self._add(evidence_tables.followed_traits, trait_id=trait_id, **values)
        await self._change(evidence_tables.followed_traits, row.id, **values)
        return row.id

    async def unfollow(self, followed_id: int) -> None:
        """Have them told no more.

        Raises:
            Missing: this server has no such wish.
        """
        await self._remove(evidence_tables.followed_traits, followed_id)

    async def tell_verdict(self, verdict_id: int, followed: FollowedRow) -> int:
        """Have a verdict told in the room of who follows its trait; returns the delivery, which the clock takes at its next
        tick. It follows from the book, so it leaves no event.
        """
        delivery_id = self._take_id()
        await self._put(
            tables.deliveries,
            id=delivery_id,
            home_id=followed.room_id,
            channel_id=followed.room_id,
            direct=False,
            keeper_id=followed.keeper_id,
            nonce=new_nonce(),
            state=DeliveryState.SENDING,
            holder=None,
            lease_until=NEVER_HELD,
            first_tried_at=None,
            tries=0,
            message_id=None,
            maybe_repeat=False,
            created_at=self.stamp.now,
            sent_at=None,
        )
        news_id = self._take_id()
        await self._put(evidence_tables.verdict_news, id=news_id, verdict_id=verdict_id, delivery_id=delivery_id)
        return delivery_id
