"""What else the book knows of the bins in which a trait was bred: holds for a sheen, strays and open lids."""

from collections.abc import Iterable

from bot.records import HoldCause, MarkKind, MarkRow, TraitRow
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
    """The weighed broods in whose bin a stray was found, or the lid was off, before their last look.

    What happened before their pairing was set up could not reach them.
    """
    accidents: dict[int, list[MarkRow]] = {}
    for mark in marks:
        if mark.kind in (MarkKind.STRAY, MarkKind.LID_OFF):
            accidents.setdefault(mark.bin_id, []).append(mark)
    set_up = {row.id: row.set_up_at for row in records.pairings}
    last = {look.brood_id: look.at for look in records.scorings}
    ids = set(weighed)
    return frozenset(
        brood.id
        for brood in records.broods
        if brood.id in ids
        for mark in accidents.get(brood.bin_id, ())
        if mark.at <= last[brood.id] and (brood.pairing_id is None or mark.at >= set_up[brood.pairing_id])
    )
