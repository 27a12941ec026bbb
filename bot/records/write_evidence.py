"""Writing verdicts, and how a trait is to be weighed, into one server's book."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from bot.records import evidence_tables
from bot.records.writing import Writing


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
