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

    async def pairings_with(self, breeders_id: int) -> tuple[PairingRow, ...]:
        """The pairings, ended or not, that an animal or a group was put into, oldest first."""
        return tuple(PairingRow(*row) for row in await self._all(selects.PAIRINGS_WITH, breeder_ids=[breeders_id]))

    async def running_with(self, breeder_ids: Collection[int]) -> tuple[PairingRow, ...]:
        """The pairings that run and that any of these breeders are in still. Without breeders nothing is asked."""
        if not breeder_ids:
            return ()
        found = await self._all(selects.RUNNING_WITH, breeder_ids=sorted(breeder_ids))
        return tuple(PairingRow(*row) for row in found)

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

    async def brood_page(
        self, *, pairing_id: int | None = None, bin_id: int | None = None, limit: int, offset: int
    ) -> tuple[BroodRow, ...]:
        """Some of the broods of a pairing, or of a bin, or of all, the newest first."""
        which = _which(pairing_id, bin_id)
        found = await self._all(selects.BROOD_PAGE, **which, limit=limit, offset=offset)
        return tuple(BroodRow(*row) for row in found)

    async def brood_count(self, *, pairing_id: int | None = None, bin_id: int | None = None) -> int:
        """How many broods a pairing, or a bin, or all have."""
        row = await self._one(selects.BROOD_COUNT, **_which(pairing_id, bin_id))
        return row[0] if row is not None else 0

    async def broods_like(self, text: str, limit: int) -> tuple[BroodRow, ...]:
        """Broods whose code holds a text in small letters, the reader's own first and then the newest."""
        pattern = "".join(f"\\{c}" if c in "\\%_" else c for c in text)
        found = await self._all(selects.BROODS_LIKE, pattern=f"%{pattern}%", limit=limit)
        return tuple(BroodRow(*row) for row in found)

    async def brood(self, brood_id: int) -> BroodRow | None:
        """One brood."""
        row = await self._one(selects.BROOD, id=brood_id)
        return None if row is None else BroodRow(*row)

    async def scorings_of(self, brood_id: int) -> tuple[ScoringRow, ...]:
        """Every look at a brood, oldest first; the last is what counts."""
        return _scorings(await self._all(selects.SCORINGS_OF, brood_id=brood_id))

    async def scoring(self, scoring_id: int) -> ScoringRow | None:
        """One look at a brood."""
        return next(iter(_scorings(await self._all(selects.SCORING, id=scoring_id))), None)

    async def scorings_of_broods(self, brood_ids: Collection[int]) -> tuple[ScoringRow, ...]:
        """Every look at these broods, oldest first. Without broods nothing is asked."""
        return _scorings(await self._all(selects.SCORINGS_OF_BROODS, brood_ids=sorted(brood_ids))) if brood_ids else ()

    async def scorings(self) -> tuple[ScoringRow, ...]:
        """Every look at every brood, oldest first."""
        return _scorings(await self._all(selects.SCORINGS))


def _which(pairing_id: int | None, bin_id: int | None) -> dict[str, Any]:
    return {"every": pairing_id is None and bin_id is None, "pairing_id": pairing_id, "bin_id": bin_id}


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
