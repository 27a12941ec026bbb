"""What can be written about odd animals into one server's book, within one request."""

from datetime import datetime
from fractions import Fraction

from bot.records import breeding_tables, find_selects, find_tables
from bot.records.kinds import Sex, Stage
from bot.records.writing import Writing


class FindWriting(Writing):
    """Everything that can be written about finds; see `Writing` for what is owed for it."""

    async def add_find(
        self,
        *,
        bin_id: int,
        trait_id: int,
        breeders_id: int,
        found_at: datetime,
        stage: Stage | None = None,
        pouch_filled: bool | None = None,
        length_mm: Fraction | None = None,
        moulted_at: datetime | None = None,
        such: int | None = None,
        looked_at: int | None = None,
        sheen: bool | None = None,
        slow: bool | None = None,
        typed: str | None = None,
        note: str | None = None,
    ) -> int:
        """Record an odd animal that the actor found. See `FindRow` for what is said of it; None means it was not said."""
        last = await self._one(find_selects.LAST_FIND)
        return await self._add(
            find_tables.finds,
            number=1 + ((last[0] if last is not None else None) or 0),
            bin_id=bin_id,
            trait_id=trait_id,
            breeders_id=breeders_id,
            keeper_id=self.stamp.actor,
            found_at=found_at,
            logged_at=self.stamp.now,
            stage=stage,
            pouch_filled=pouch_filled,
            length_mm=length_mm,
            moulted_at=moulted_at,
            such=such,
            looked_at=looked_at,
            sheen=sheen,
            slow=slow,
            typed_id=await self._text(typed),
            note_id=await self._text(note),
        )

    async def set_sheen(self, find_id: int) -> None:
        """A blue-violet sheen was seen on the animal after all.

        Raises:
            Missing: this server has no such find.
        """
        await self._change(find_tables.finds, find_id, noted=("bin_id", "sheen"), sheen=True)

    async def set_breeders_sex(self, breeders_id: int, sex: Sex) -> None:
        """Say of which sex breeders are that nobody could sex before.

        Raises:
            Missing: this server has no such breeders.
        """
        await self._change(breeding_tables.breeders, breeders_id, noted=("from_bin_id", "sex"), sex=sex)
