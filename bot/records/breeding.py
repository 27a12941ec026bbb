"""What can be asked about breeding in one server's book."""

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import Any

from sqlalchemy import Row

from bot.records import breeding_selects as selects
from bot.records.breeding_rows import BreedersRow, BroodRow, PairedRow, PairingRow, ScoreRow, ScoringRow, Shown
from bot.records.reading import Reading
from bot.records.rows import FounderState


class BreedingReading(Reading):
    """Everything that can be asked about pairings and broods. Each method is one statement; a foreign row is never found."""

    async def breeders(self, ids: Collection[int]) -> tuple[BreedersRow, ...]:
        """These breeders, oldest first. Without ids nothing is asked."""
        return _breeders(await self._all(selects.BREEDERS, ids=sorted(ids))) if ids else ()

    async def all_breeders(self) -> tuple[BreedersRow, ...]:
        """Every animal or group that was ever chosen to breed, oldest first."""
        return _breeders(await self._all(selects.ALL_BREEDERS))

    async def paired(self, pairing_id: int) -> tuple[PairedRow, ...]:
        """Who is in a pairing, in the order they were named."""
        return tuple(PairedRow(*row) for row in await self._all(selects.PAIRED, pairing_id=pairing_id))

    async def all_paired(self) -> tuple[PairedRow, ...]:
        """Who is in which pairing, over all pairings."""
        return tuple(PairedRow(*row) for row in await self._all(selects.ALL_PAIRED))

    async def pairings(self) -> tuple[PairingRow, ...]:
        """Every pairing, ended or not, oldest first."""
        return tuple(PairingRow(*row) for row in await self._all(selects.PAIRINGS))

    async def pairings_in(self, bin_id: int) -> tuple[PairingRow, ...]:
        """The pairings that were set up in a bin, oldest first."""
        return tuple(PairingRow(*row) for row in await self._all(selects.PAIRINGS_IN, bin_id=bin_id))

    async def pairing(self, pairing_id: int) -> PairingRow | None:
        """One pairing."""
        row = await self._one(selects.PAIRING, id=pairing_id)
        return None if row is None else PairingRow(*row)

    async def pairing_numbered(self, number: int) -> PairingRow | None:
        """The pairing with this number in its code."""
        row = await self._one(selects.PAIRING_BY_NUMBER, number=number)
        return None if row is None else PairingRow(*row)

    async def broods(self) -> tuple[BroodRow, ...]:
        """Every brood, in the order they were seen."""
        return tuple(BroodRow(*row) for row in await self._all(selects.BROODS))

    async def broods_of(self, pairing_id: int) -> tuple[BroodRow, ...]:
        """The broods of a pairing, in the order they were seen."""
        return tuple(BroodRow(*row) for row in await self._all(selects.BROODS_OF, pairing_id=pairing_id))

    async def found_in(self, bin_id: int) -> tuple[BroodRow, ...]:
        """The broods of a bin that belong to no pairing, in the order they were seen."""
        return tuple(BroodRow(*row) for row in await self._all(selects.FOUND_IN, bin_id=bin_id))

    async def brood(self, brood_id: int) -> BroodRow | None:
        """One brood."""
        row = await self._one(selects.BROOD, id=brood_id)
        return None if row is None else BroodRow(*row)

    async def scorings_of(self, brood_id: int) -> tuple[ScoringRow, ...]:
        """Every look at a brood, oldest first; the last is what counts."""
        return _scorings(await self._all(selects.SCORINGS_OF, brood_id=brood_id))

    async def scorings(self) -> tuple[ScoringRow, ...]:
        """Every look at every brood, oldest first."""
        return _scorings(await self._all(selects.SCORINGS))


def _breeders(lines: Iterable[Row[*tuple[Any, ...]]]) -> tuple[BreedersRow, ...]:
    groups: dict[int, BreedersRow] = {}
    for line in lines:
        *own, trait_id, state, chance = line
        group = groups.get(own[0]) or BreedersRow(*own)
        if trait_id is not None:
            group = replace(group, states=(*group.states, FounderState(trait_id, state, chance)))
        groups[group.id] = group
    return tuple(groups.values())


def _scorings(lines: Iterable[Row[*tuple[Any, ...]]]) -> tuple[ScoringRow, ...]:
    looks: dict[int, ScoringRow] = {}
    scores: dict[int, dict[int, ScoreRow]] = {}
    for line in lines:
        *own, score_id, sex, number, trait_id, look = line
        looks.setdefault(own[0], ScoringRow(*own))
        counted = scores.setdefault(own[0], {})
        if score_id is None:
            continue
        score = counted.get(score_id) or ScoreRow(score_id, sex, number)
        if trait_id is not None:
            score = replace(score, shown=(*score.shown, Shown(trait_id, look)))
        counted[score_id] = score
    return tuple(replace(look, scores=tuple(scores[id_].values())) for id_, look in looks.items())
