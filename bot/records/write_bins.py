"""What is written of bins and of their counts, beside opening one."""

from datetime import datetime
from fractions import Fraction

from sqlalchemy import select

from bot.records import bin_tables, tables
from bot.records.kinds import CloseReason, Exactness, Moved, Seen, Sex, Stage, Thoroughness
from bot.records.writing import Writing


class BinWriting(Writing):
    """The part of a book for writing that is about bins."""

    async def add_count(
        self,
        bin_id: int,
        *,
        total: int,
        exactness: Exactness,
        typed: str | None = None,
        note: str | None = None,
        at: datetime | None = None,
        low: int | None = None,
        high: int | None = None,
        seen: int | None = None,
        share: Fraction | None = None,
        thoroughness: Thoroughness | None = None,
        corrects: int | None = None,
    ) -> int:
        """Log a count by the actor.

        Args:
            bin_id: the bin that was counted.
            total: how many live in all of it, 0 or more.
            exactness: how that is known.
            typed: the words it was typed in.
            note: what else was said.
            at: when it was counted, now if not said.
            low, high: the bounds of a range.
            seen: how many were counted, where only a part was looked through.
            share: that part, above 0 and at most 1.
            thoroughness: how the bin was gone through.
            corrects: the count that this one stands in for from now on.
        """
        return await self._add(
            tables.counts,
            bin_id=bin_id,
            at=at or self.stamp.now,
            keeper_id=self.stamp.actor,
            total=total,
            exactness=exactness,
            low=low,
            high=high,
            seen=seen,
            share=share,
            thoroughness=thoroughness,
            corrects_id=corrects,
            typed_id=await self._text(typed),
            note_id=await self._text(note),
        )

    async def add_count_part(
        self,
        count_id: int,
        *,
        said: Seen,
        stage: Stage | None = None,
        sex: Sex | None = None,
        wild: bool = False,
        traits: tuple[int, ...] = (),
        number: int | None = None,
        exactness: Exactness | None = None,
        low: int | None = None,
        high: int | None = None,
    ) -> int:
        """Log what a count says of one class: of a stage, a sex, showing `traits` or (`wild`) none."""
        part = await self._add(
            bin_tables.count_parts,
            count_id=count_id,
            said=said,
            stage=stage,
            sex=sex,
            wild=wild,
            number=number,
            exactness=exactness,
            low=low,
            high=high,
        )
        for trait in traits:
            await self._add(bin_tables.count_part_traits, part_id=part, trait_id=trait)
        return part

    async def set_shelf(self, bin_id: int, name: str | None) -> None:
        """Put a bin on the shelf of that name, or on none."""
        here = (
            bin_tables.bin_shelves.c.server_id == self.server,
            bin_tables.bin_shelves.c.bin_id == bin_id,
        )
        row = (await self._connection.execute(select(bin_tables.bin_shelves.c.id).where(*here))).scalar_one_or_none()
        name_id = await self._text(name)
        if row is None:
            await self._add(bin_tables.bin_shelves, bin_id=bin_id, name_id=name_id)
        else:
            await self._change(bin_tables.bin_shelves, row, name_id=name_id)

    async def set_bin_keeper(self, bin_id: int, keeper_id: int) -> None:
        """Give a bin to another keeper of this server.

        Raises:
            Missing: this server has no such bin.
        """
        await self._change(tables.bins, bin_id, keeper_id=keeper_id)

    async def close_bin(
        self,
        bin_id: int,
        *,
        reason: CloseReason,
        at: datetime | None = None,
        into: int | None = None,
        note: str | None = None,
    ) -> None:
        """Close a bin, now if no time is said; `into` is the bin that its animals went to.

        Raises:
            Missing: this server has no such bin.
        """
        await self._change(tables.bins, bin_id, closed_at=at or self.stamp.now)
        await self._add(
            bin_tables.closings, bin_id=bin_id, reason=reason, into_bin_id=into, note_id=await self._text(note)
        )

    async def add_transfer(
        self, source: int, target: int, *, moved: Moved, number: int | None = None, exactness: Exactness | None = None
    ) -> int:
        """Record that animals went from one bin into another, now; `number` None if nobody counted them."""
        return await self._add(
            bin_tables.transfers,
            at=self.stamp.now,
            keeper_id=self.stamp.actor,
            moved=moved,
            from_bin_id=source,
            to_bin_id=target,
            number=number,
            exactness=exactness,
        )
