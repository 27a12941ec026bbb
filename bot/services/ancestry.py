"""All that a server's book says of who came from whom, read at once."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from bot.records import (
    BinRow,
    Book,
    BreederRole,
    BreedersRow,
    BroodRow,
    FounderRow,
    Moved,
    PairedRow,
    PairingRow,
    ParentRole,
    ParentRow,
    Sex,
    TransferRow,
)


@dataclass(frozen=True, slots=True)
class Ancestry:
    """The bins of one species that a person may read, open and closed, by id, and what is recorded of where they come from.

    `parents`, `founders` and `transfers` are by the bin that the animals are in; `paired` by pairing; `pairings` by the bin
    they were set up in. `parents` and `founders` are of the animals that a bin began with; `joined` are the bins that were
    poured into it later, and `holds` all groups it was ever said to hold.
    """

    bins: dict[int, BinRow]
    parents: dict[int, list[ParentRow]]
    founders: dict[int, list[FounderRow]]
    transfers: dict[int, list[TransferRow]]
    pairings: dict[int, list[PairingRow]]
    paired: dict[int, list[PairedRow]]
    breeders: dict[int, BreedersRow]
    broods: dict[int, BroodRow]
    joined: dict[int, list[int]]
    holds: dict[int, list[FounderRow]]

    def number(self, bin_id: int) -> int | None:
        """How many animals a bin was founded with; None if that was not said of all of them."""
        numbers = [founder.number for founder in self.founders.get(bin_id, ())]
        known = [number for number in numbers if number is not None]
        return sum(known) if known and len(known) == len(numbers) else None

    def founded_by_pairing(self, bin_id: int) -> bool:
        """Whether a bin was opened for a pairing: its founders are breeders, who are told with the pairing."""
        founders = self.founders.get(bin_id, ())
        if self.parents.get(bin_id) or any(f.origin or f.brood_id or f.sex is Sex.UNKNOWN for f in founders):
            return False
        breeders = [self.breeders[each] for each in self.bred_in(bin_id)]
        return bool(breeders) and all(row.from_bin_id != bin_id for row in breeders)

    def bred_in(self, bin_id: int) -> tuple[int, ...]:
        """The breeders of all pairings that were set up in a bin, dams first."""
        paired = [one for pairing in self.pairings.get(bin_id, ()) for one in self.paired.get(pairing.id, ())]
        paired.sort(key=lambda one: one.role is BreederRole.SIRE)
        return tuple(dict.fromkeys(one.breeders_id for one in paired if one.breeders_id in self.breeders))

    def born(self, pairing_id: int) -> int:
        """How many young of a pairing were seen, over its broods; 0 if that was never said."""
        return sum(brood.born or 0 for brood in self.broods.values() if brood.pairing_id == pairing_id)

    def pairings_by(self, bin_id: int, at: datetime) -> list[PairingRow]:
        """The pairings that were set up in a bin by then."""
        return [pairing for pairing in self.pairings.get(bin_id, ()) if pairing.set_up_at <= at]


async def read_ancestry(book: Book, species_key: str) -> Ancestry:
    """The bins of a species with all that tells where they come from."""
    bins = {row.id: row for row in await book.bins(open_only=False) if row.species_key == species_key}
    parents, holds, transfers = defaultdict(list), defaultdict(list), defaultdict(list)
    pairings, paired = defaultdict(list), defaultdict(list)
    for transfer in await book.all_transfers():
        transfers[transfer.to_bin_id].append(transfer)
    poured = {(t.to_bin_id, t.from_bin_id) for rows in transfers.values() for t in rows if t.moved is Moved.MERGE}
    pouring = {(t.to_bin_id, t.at) for rows in transfers.values() for t in rows if t.moved is Moved.MERGE}
    joined: defaultdict[int, list[int]] = defaultdict(list)
    for parent in await book.all_parents():
        if parent.role is ParentRole.PART and (parent.bin_id, parent.parent_bin_id) in poured:
            joined[parent.bin_id].append(parent.parent_bin_id)
        else:
            parents[parent.bin_id].append(parent)
    for founder in await book.all_founders():
        holds[founder.bin_id].append(founder)
    # What a bin that is poured in held is written down again for the one it goes to.
    founders = {
        bin_id: [row for row in rows if (bin_id, row.added_at) not in pouring] for bin_id, rows in holds.items()
    }
    for pairing in await book.pairings():
        pairings[pairing.bin_id].append(pairing)
    for one in await book.all_paired():
        paired[one.pairing_id].append(one)
    return Ancestry(
        bins=bins,
        parents=dict(parents),
        founders=founders,
        transfers=dict(transfers),
        pairings=dict(pairings),
        paired=dict(paired),
        breeders={row.id: row for row in await book.all_breeders()},
        broods={row.id: row for row in await book.broods()},
        joined=dict(joined),
        holds=dict(holds),
    )
