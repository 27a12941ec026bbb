"""What else the book knows of the bins in which a trait was bred: holds for a sheen, strays and open lids."""

from collections.abc import Iterable

from bot.records import HoldCause, MarkKind, MarkRow, ScoringRow, TraitRow
from bot.services.accidents import in_doubt
from bot.services.bin_state import ACCIDENTS
from bot.services.programme import Records


def bins_of(trait: TraitRow, records: Records, weighed: Iterable[int]) -> frozenset[int]:
    """The bins of a trait: where the broods that are weighed grew up, and where their parents came from.

    Args:
        trait: the trait.
        records: all breeding records.
        weighed: ids of the broods that are weighed.
    """
    ids = set(weighed)
    broods = [brood for brood in records.broods if brood.id in ids]
    pairings = {brood.pairing_id for brood in broods} | {row.id for row in records.pairings if row.trait_id == trait.id}
    breeders = {one.breeders_id for one in records.paired if one.pairing_id in pairings}
    found = {brood.bin_id for brood in broods} | {row.bin_id for row in records.pairings if row.id in pairings}
    return frozenset(
        found | {b.from_bin_id for b in records.breeders if b.id in breeders and b.from_bin_id is not None}
    )


def with_sheen(bins: Iterable[int], marks: Iterable[MarkRow]) -> tuple[int, ...]:
    """Those of the bins that are on hold for a blue or violet sheen."""
    mine = set(bins)
    held = {
        mark.bin_id
        for mark in marks
        if mark.kind is MarkKind.HOLD and mark.cause is HoldCause.BLUE_SHEEN and mark.ended_at is None
    }
    return tuple(sorted(mine & held))


def exposed(records: Records, marks: Iterable[MarkRow], weighed: Iterable[int]) -> frozenset[int]:
    """The weighed broods that a stray or an open lid puts in doubt."""
    accidents = [mark for mark in marks if mark.kind in ACCIDENTS]
    if not accidents:
        return frozenset()
    pairings = {row.id: row for row in records.pairings}
    looks: dict[int, list[ScoringRow]] = {}
    for look in records.scorings:
        looks.setdefault(look.brood_id, []).append(look)
    ids = set(weighed)
    return frozenset(
        brood.id
        for brood in records.broods
        if brood.id in ids and in_doubt(brood, pairings.get(brood.pairing_id or 0), looks.get(brood.id, ()), accidents)
    )
