"""What can be written about breeding into one server's book, within one request."""

from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction

from sqlalchemy import select

from bot.records import breeding_selects as selects
from bot.records import breeding_tables as tables
from bot.records.breeding_rows import Shown
from bot.records.errors import Missing
from bot.records.kinds import BreederRole, BroodReason, DamHistory, Sex, State
from bot.records.writing import Writing


class BreedingWriting(Writing):
    """Everything that can be written about pairings and broods; see `Writing` for what is owed for it."""

    async def add_breeders(
        self, *, sex: Sex, number: int, from_bin_id: int | None, described: bool, name: str | None = None
    ) -> int:
        """Choose animals to breed: one, or some alike (`number` at least 1), from a bin of the book or from elsewhere."""
        return await self._add(
            tables.breeders,
            name_id=await self._text(name),
            sex=sex,
            number=number,
            from_bin_id=from_bin_id,
            described=described,
            added_at=self.stamp.now,
        )

    async def add_breeder_state(
        self, breeders_id: int, trait_id: int, state: State, chance: Fraction | None = None
    ) -> int:
        """State one trait of breeders; `chance` is the chance of carrying where one was stated (0 to 1)."""
        return await self._add(
            tables.breeder_states, breeders_id=breeders_id, trait_id=trait_id, state=state, chance=chance
        )

    async def add_pairing(self, *, bin_id: int, trait_id: int | None, note: str | None, set_up_at: datetime) -> int:
        """Set up a pairing of the actor's in a bin, under the server's next number, which is never given twice."""
        number = self._counters.next_pairing
        self._counters.next_pairing += 1
        return await self._add(
            tables.pairings,
            number=number,
            bin_id=bin_id,
            trait_id=trait_id,
            keeper_id=self.stamp.actor,
            note_id=await self._text(note),
            set_up_at=set_up_at,
            gravid_at=None,
            young_at=None,
            separate_by=None,
            parents_out_by=None,
            out_at=None,
            ended_at=None,
            reason_id=None,
        )

    async def put_in(self, pairing_id: int, breeders_id: int, role: BreederRole, history: DamHistory | None) -> int:
        """Put breeders into a pairing; of dams it is said whether they were unmated, of sires `history` is None."""
        return await self._add(
            tables.pairing_breeders, pairing_id=pairing_id, breeders_id=breeders_id, role=role, history=history
        )

    async def set_history(self, pairing_id: int, breeders_id: int, history: DamHistory) -> None:
        """Say of dams of a pairing whether they were unmated before it.

        Raises:
            Missing: they are not among its dams.
        """
        rows = tables.pairing_breeders.c
        here = (rows.server_id == self.server, rows.pairing_id == pairing_id, rows.breeders_id == breeders_id)
        found = await self._connection.execute(select(rows.id).where(*here, rows.role == BreederRole.DAM))
        row_id = found.scalar_one_or_none()
        if row_id is None:
            raise Missing(tables.pairing_breeders.name, breeders_id)
        await self._change(tables.pairing_breeders, row_id, history=history)

    async def set_gravid(self, pairing_id: int, at: datetime) -> None:
        """A dam of the pairing was seen with a filled pouch.

        Raises:
            Missing: this server has no such pairing; so do the methods below.
        """
        await self._change(tables.pairings, pairing_id, gravid_at=at)

    async def set_young(
        self, pairing_id: int, at: datetime, separate_by: datetime | None, parents_out_by: datetime | None
    ) -> None:
        """The first young of the pairing were seen; with the dates that follow from it."""
        await self._change(
            tables.pairings, pairing_id, young_at=at, separate_by=separate_by, parents_out_by=parents_out_by
        )

    async def set_out(self, pairing_id: int, at: datetime) -> None:
        """The breeders of the pairing were taken out."""
        await self._change(tables.pairings, pairing_id, out_at=at)

    async def end_pairing(self, pairing_id: int, at: datetime, reason: str | None) -> None:
        """The pairing is over."""
        await self._change(tables.pairings, pairing_id, ended_at=at, reason_id=await self._text(reason))

    async def add_brood(
        self,
        *,
        bin_id: int,
        pairing_id: int | None,
        why: BroodReason,
        seen_on: datetime,
        born: int | None,
        dead: int | None,
        mothers: int | None,
        note: str | None,
    ) -> int:
        """Record young seen, by the actor. See `BroodRow` for what the numbers mean."""
        if pairing_id is None:
            last = await self._one(selects.LAST_FOUND_IN, bin_id=bin_id)
        else:
            last = await self._one(selects.LAST_BROOD_OF, pairing_id=pairing_id)
        return await self._add(
            tables.broods,
            number=1 + ((last[0] if last is not None else None) or 0),
            bin_id=bin_id,
            pairing_id=pairing_id,
            why=why,
            seen_on=seen_on,
            born=born,
            dead=dead,
            mothers=mothers,
            keeper_id=self.stamp.actor,
            note_id=await self._text(note),
            logged_at=self.stamp.now,
        )

    async def add_scoring(
        self,
        brood_id: int,
        *,
        age_days: int | None,
        length_mm: Fraction | None,
        unsure: int,
        unscored: int,
        typed: str | None,
    ) -> int:
        """Look at a brood, now, by the actor. Earlier looks stay; the latest counts."""
        return await self._add(
            tables.scorings,
            brood_id=brood_id,
            at=self.stamp.now,
            keeper_id=self.stamp.actor,
            age_days=age_days,
            length_mm=length_mm,
            unsure=unsure,
            unscored=unscored,
            typed_id=await self._text(typed),
        )

    async def add_score(self, scoring_id: int, *, sex: Sex, number: int, shown: Iterable[Shown]) -> int:
        """So many young of a scoring look alike: as `shown`, or wild where nothing is shown."""
        score = await self._add(tables.scores, scoring_id=scoring_id, sex=sex, number=number)
        for trait_id, look in shown:
            await self._add(tables.score_traits, score_id=score, trait_id=trait_id, look=look)
        return score
