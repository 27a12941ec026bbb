"""What can be asked about verdicts and what is set for them in one server's book."""

from typing import Final

from sqlalchemy import and_, bindparam, func, select

from bot.records import evidence_tables, tables
from bot.records.evidence_rows import FollowedRow, VerdictRow, WeighingRow
from bot.records.reading import Reading
from bot.records.scoping import pick, within

_NEWEST_EVENT: Final = select(func.max(tables.events.c.seq)).where(within(tables.events))
_VERDICTS: Final = (
    pick(VerdictRow, evidence_tables.verdicts)
    .where(within(evidence_tables.verdicts), evidence_tables.verdicts.c.trait_id == bindparam("trait_id"))
    .order_by(evidence_tables.verdicts.c.id.desc())
    .limit(bindparam("limit"))
)
_WEIGHING: Final = pick(WeighingRow, evidence_tables.evidence_settings).where(
    within(evidence_tables.evidence_settings), evidence_tables.evidence_settings.c.trait_id == bindparam("trait_id")
)
_told = evidence_tables.verdict_news
_NEWEST_TELLING: Final = (
    select(tables.deliveries.c.state)
    .join(
        _told,
        and_(_told.c.server_id == tables.deliveries.c.server_id, _told.c.delivery_id == tables.deliveries.c.id),
    )
    .join(
        evidence_tables.verdicts,
        and_(
            evidence_tables.verdicts.c.server_id == _told.c.server_id,
            evidence_tables.verdicts.c.id == _told.c.verdict_id,
        ),
    )
    .where(
        tables.deliveries.c.server_id == evidence_tables.followed_traits.c.server_id,
        evidence_tables.verdicts.c.trait_id == evidence_tables.followed_traits.c.trait_id,
        tables.deliveries.c.home_id == evidence_tables.followed_traits.c.room_id,
        tables.deliveries.c.created_at >= evidence_tables.followed_traits.c.since,
    )
    .order_by(tables.deliveries.c.id.desc())
    .limit(1)
    .correlate(evidence_tables.followed_traits)
    .scalar_subquery()
)
_FOLLOWED: Final = pick(FollowedRow, evidence_tables.followed_traits, state=_NEWEST_TELLING).where(
    within(evidence_tables.followed_traits), evidence_tables.followed_traits.c.trait_id == bindparam("trait_id")
)


class EvidenceReading(Reading):
    """Everything that can be asked about verdicts. Each method is one statement."""

    async def newest_event(self) -> int:
        """The number of the server's newest event: the revision of its book. 0 before the first."""
        row = await self._one(_NEWEST_EVENT)
        return row[0] if row is not None and row[0] is not None else 0

    async def verdicts(self, trait_id: int, *, limit: int) -> tuple[VerdictRow, ...]:
        """The verdicts of a trait, the newest first."""
        return tuple(VerdictRow(*row) for row in await self._all(_VERDICTS, trait_id=trait_id, limit=limit))

    async def weighing(self, trait_id: int) -> WeighingRow | None:
        """What was set for the weighing of a trait; None if nothing ever was."""
        row = await self._one(_WEIGHING, trait_id=trait_id)
        return None if row is None else WeighingRow(*row)

    async def followed(self, trait_id: int) -> FollowedRow | None:
        """In which room the verdicts of a trait are told; None if in none."""
        row = await self._one(_FOLLOWED, trait_id=trait_id)
        return None if row is None else FollowedRow(*row)
