"""What can be asked about who came from whom, over all bins of one server's book that the reader may read."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from sqlalchemy import Row

from bot.records import lineage_selects as selects
from bot.records.breeding import BreedingReading
from bot.records.rows import FounderRow, FounderState, ParentRow, TransferRow
from bot.records.selects import ALL_FOUNDERS


class LineageReading(BreedingReading):
    """Each method is one statement. A parent that the reader may not read has an empty code."""

    async def all_parents(self) -> tuple[ParentRow, ...]:
        """Which bin's animals come from which, oldest first."""
        return tuple(ParentRow(*row) for row in await self._all(selects.ALL_PARENTS))

    async def all_founders(self) -> tuple[FounderRow, ...]:
        """The groups that bins were founded with, oldest first, with what is stated of each."""
        return founder_groups(await self._all(ALL_FOUNDERS))

    async def all_transfers(self) -> tuple[TransferRow, ...]:
        """The animals that came into a bin from another, oldest first."""
        return tuple(TransferRow(*row) for row in await self._all(selects.ALL_TRANSFERS))


def founder_groups(lines: Iterable[Row[*tuple[Any, ...]]]) -> tuple[FounderRow, ...]:
    """Groups of founders from lines of `FOUNDERS` or `ALL_FOUNDERS`, a line for each trait stated of a group."""
    groups: dict[int, FounderRow] = {}
    for line in lines:
        *own, trait_id, state, chance = line
        group = groups.get(own[0]) or FounderRow(*own)
        if trait_id is not None:
            group = replace(group, states=(*group.states, FounderState(trait_id, state, chance)))
        groups[group.id] = group
    return tuple(groups.values())
