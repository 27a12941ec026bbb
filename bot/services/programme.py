"""From the book to the records that the science weighs: one trait's breeders, pairings and broods."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bot.records import (
    Appearance,
    BreederRole,
    BreedersRow,
    BroodReason,
    BroodRow,
    DamHistory,
    FounderRow,
    FounderState,
    PairedRow,
    PairingRow,
    ScoringRow,
    Sex,
    SexSystem,
    State,
    TraitRow,
)
from bot.services.broods import brood_code
from bot.services.pairings import pairing_code
from bot.services.rearing import is_mixed
from bot.services.trait_models import read_model
from genetics import Dominance
from genetics import Sex as Sexed
from genetics.evidence.programme import (
    Brood,
    Counted,
    Dam,
    Founders,
    Group,
    Kept,
    Mated,
    Pairing,
    Programme,
    Sharing,
    Stock,
)
from genetics.genome import SexSystem as System

_SEXED = {Sex.FEMALE: Sexed.FEMALE, Sex.MALE: Sexed.MALE, Sex.UNKNOWN: None}
_MATED = {
    DamHistory.UNMATED: Mated.ISOLATED,
    DamHistory.HAD_MALES: Mated.HAD_MALES,
    DamHistory.UNKNOWN: Mated.UNKNOWN,
}
_SHOWS = frozenset({State.VISUAL, State.HOMOZYGOUS})


class Omitted(StrEnum):
    """Why a brood is left out."""

    UNSCORED = "not scored yet"
    MIXED = "two generations were in the bin"
    TOO_YOUNG = "too young to be read"
    OTHER_SPECIES = "of another species"


@dataclass(frozen=True, slots=True)
class Records:
    """What a book holds that can bear on a trait: all breeders, pairings, broods with their looks, and founders of bins.

    `found` are the breeders that are the animals of finds.
    """

    breeders: tuple[BreedersRow, ...]
    paired: tuple[PairedRow, ...]
    pairings: tuple[PairingRow, ...]
    broods: tuple[BroodRow, ...]
    scorings: tuple[ScoringRow, ...]
    founders: tuple[FounderRow, ...]
    species: Mapping[int, str]
    found: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Told:
    """The records of one trait, ready to be weighed.

    Attributes:
        programme: None if no brood can be weighed.
        omitted: the broods that are left out, by their codes, each with the reason.
        labels: what people call each group of the programme.
        codes: what people call each of its broods.
    """

    programme: Programme | None
    omitted: tuple[tuple[str, Omitted], ...]
    labels: Mapping[str, str]
    codes: Mapping[str, str]


def told_of(trait: TraitRow, records: Records, species_key: str, system: SexSystem) -> Told:
    """The programme of a trait in one species.

    How the book is read:

    - Breeders that were stated to show the trait, and were not kept back from a brood of the book, are odd founders.
    - Breeders from a bin that was founded by young kept back are sibs of that brood; others are founders, of the stock in
      which the trait turned up if they come from a bin with an odd one or with a found brood, and of another if not.
    - In a pairing of several dams, or of several sires, each young may be of any of them.
    - A brood of no pairing comes from breeding adults of its bin that nobody counted.

    Raises:
        EvidenceRefused: the records contradict themselves, or the species is clonal or haplodiploid.
    """
    reading = _Reading(trait, records, species_key)
    omitted, weighed = reading.sorted_broods()
    if not weighed:
        return Told(None, omitted, {}, {})
    used = {brood.pairing_id for brood in weighed}
    groups: dict[str, Group] = {}
    pairings = [reading.pairing(row, groups) for row in records.pairings if row.id in used]
    pairings += [
        reading.open_bin(bin_id, groups) for bin_id in dict.fromkeys(b.bin_id for b in weighed if b.pairing_id is None)
    ]
    broods = tuple(reading.brood(row) for row in reading.with_ancestors(weighed, groups, pairings))
    programme = Programme(
        groups=tuple(groups.values()),
        pairings=tuple(dict.fromkeys(pairings)),
        broods=broods,
        partial=trait.dominance is Dominance.INCOMPLETE or reading.sees_partial(weighed),
        system=System(system.value),
    )
    codes = {f"b{row.id}": brood_code(row) for row in records.broods}
    return Told(programme, omitted, reading.labels(groups), codes)


class _Reading:
    """One trait's view of a book's breeding records."""

    def __init__(self, trait: TraitRow, records: Records, species_key: str) -> None:
        self._trait = trait
        self._records = records
        self._species_key = species_key
        self._breeders = {row.id: row for row in records.breeders}
        self._pairings = {row.id: row for row in records.pairings}
        self._broods = {row.id: row for row in records.broods}
        self._latest = {scoring.brood_id: scoring for scoring in records.scorings}
        self._founders: dict[int, list[FounderRow]] = {}
        for founder in records.founders:
            self._founders.setdefault(founder.bin_id, []).append(founder)
        self._paired: dict[int, list[PairedRow]] = {}
        for row in records.paired:
            self._paired.setdefault(row.pairing_id, []).append(row)
        self._home = self._homes()

    # Which broods speak.

    def sorted_broods(self) -> tuple[tuple[tuple[str, Omitted], ...], list[BroodRow]]:
        """The broods that bear on the trait: those left out with the reason, and those that are weighed."""
        omitted: list[tuple[str, Omitted]] = []
        weighed: list[BroodRow] = []
        for brood in self._records.broods:
            if not self._bears(brood):
                continue
            why = self._omitted(brood)
            if why is None:
                weighed.append(brood)
            elif why is not Omitted.OTHER_SPECIES:
                omitted.append((brood_code(brood), why))
        return tuple(omitted), weighed

    def _bears(self, brood: BroodRow) -> bool:
        """A brood bears on the trait if its pairing asks about it, its parents state it, or its young show it."""
        if brood.pairing_id is not None:
            if self._pairings[brood.pairing_id].trait_id == self._trait.id:
                return True
            parents = [self._breeders[p.breeders_id] for p in self._paired.get(brood.pairing_id, ())]
            if any(state.trait_id == self._trait.id for parent in parents for state in parent.states):
                return True
        return self._shows(brood)

    def _shows(self, brood: BroodRow) -> bool:
        latest = self._latest.get(brood.id)
        return latest is not None and any(s.trait_id == self._trait.id for score in latest.scores for s in score.shown)

    def _omitted(self, brood: BroodRow) -> Omitted | None:
        if self._records.species.get(brood.bin_id) != self._species_key:
            return Omitted.OTHER_SPECIES
        latest = self._latest.get(brood.id)
        if latest is None or not any(score.number for score in latest.scores):
            return Omitted.UNSCORED
        week = read_model(self._trait.model).week
        if latest.age_days is not None and latest.age_days < 7 * week:
            return Omitted.TOO_YOUNG
        pairing = self._pairings.get(brood.pairing_id) if brood.pairing_id is not None else None
        return Omitted.MIXED if pairing is not None and is_mixed(pairing, brood.seen_on) else None

    def sees_partial(self, broods: Iterable[BroodRow]) -> bool:
        """Whether young were scored as showing the trait in part."""
        return any(
            shown.trait_id == self._trait.id and shown.look is Appearance.PARTIAL
            for brood in broods
            for score in self._latest[brood.id].scores
            for shown in score.shown
        )

    def with_ancestors(
        self, weighed: Sequence[BroodRow], groups: dict[str, Group], pairings: list[Pairing]
    ) -> list[BroodRow]:
        """The broods that are weighed, and those from which their parents were kept back, with all that belongs to them."""
        found = {brood.id: brood for brood in weighed}
        while missing := {int(group.brood[1:]) for group in groups.values() if isinstance(group, Kept)} - found.keys():
            for brood_id in missing:
                brood = self._broods[brood_id]
                found[brood_id] = brood
                if brood.pairing_id is not None:
                    pairings.append(self.pairing(self._pairings[brood.pairing_id], groups))
                else:
                    pairings.append(self.open_bin(brood.bin_id, groups))
        return sorted(found.values(), key=lambda one: (one.seen_on, one.id))

    # What they are made of.

    def brood(self, row: BroodRow) -> Brood:
        """A brood as the science takes it; one that nobody scored has nothing seen."""
        latest = self._latest.get(row.id)
        counts: dict[tuple[Appearance, Sexed | None], int] = {}
        for score in latest.scores if latest is not None else ():
            look = next((s.look for s in score.shown if s.trait_id == self._trait.id), Appearance.WILD)
            key = look, _SEXED[score.sex]
            counts[key] = counts.get(key, 0) + score.number
        seen = tuple(Counted(look, number, sex) for (look, sex), number in counts.items())
        return Brood(
            name=f"b{row.id}",
            pairing=f"p{row.pairing_id}" if row.pairing_id is not None else f"o{row.bin_id}",
            bin=row.bin_code,
            seen=seen,
            found=row.why is BroodReason.FOUND and any(one.number for one in seen if one.look is not Appearance.WILD),
            born=row.born,
            dead=row.dead or 0,
            unscored=(latest.unscored + latest.unsure) if latest is not None else 0,
        )

    def pairing(self, row: PairingRow, groups: dict[str, Group]) -> Pairing:
        """A pairing, its breeders added to the groups."""
        dams: list[Dam] = []
        sires: list[str] = []
        animals = {BreederRole.DAM: 0, BreederRole.SIRE: 0}
        for one in self._paired.get(row.id, ()):
            breeders = self._breeders[one.breeders_id]
            name = f"g{breeders.id}"
            groups.setdefault(name, self._group(name, breeders))
            animals[one.role] += breeders.number
            if one.role is BreederRole.SIRE:
                sires.append(name)
            else:
                dams.append(Dam(name, _MATED[one.history or DamHistory.UNKNOWN]))
        if not sires:
            # Dams set up alone carry the sperm of males that nobody named.
            sires = [f"s{row.id}"]
            groups[sires[0]] = Founders(sires[0], Sexed.MALE, number=None, stock=Stock.HOME)
        several = {role: Sharing.EACH if number > 1 else Sharing.ONE for role, number in animals.items()}
        return Pairing(f"p{row.id}", tuple(dams), tuple(sires), several[BreederRole.DAM], several[BreederRole.SIRE])

    def open_bin(self, bin_id: int, groups: dict[str, Group]) -> Pairing:
        """The breeding adults of a bin, whom nobody counted."""
        stock = Stock.HOME if bin_id in self._home else Stock.AWAY
        for sex, name in ((Sexed.FEMALE, f"f{bin_id}"), (Sexed.MALE, f"m{bin_id}")):
            groups.setdefault(name, Founders(name, sex, number=None, stock=stock))
        return Pairing(
            f"o{bin_id}",
            (Dam(f"f{bin_id}", Mated.ISOLATED),),
            (f"m{bin_id}",),
            mothers=Sharing.EACH,
            fathers=Sharing.EACH,
        )

    def _group(self, name: str, breeders: BreedersRow) -> Group:
        sex = Sexed.FEMALE if breeders.sex is Sex.FEMALE else Sexed.MALE
        stated = next((s for s in breeders.states if s.trait_id == self._trait.id), None)
        kept = [f for f in self._founders.get(breeders.from_bin_id or 0, ()) if f.brood_id is not None]
        # An odd one that turned up among young kept back is none of those that were scored.
        if kept and breeders.id not in self._records.found:
            origin = self._sibs(kept, self._look(breeders.states), breeders.described)
            if origin is not None:
                return Kept(name, sex, f"b{origin[0]}", breeders.number, origin[1])
        shown = self._look(breeders.states)
        if shown is not Appearance.WILD:
            return Founders(name, sex, breeders.number, Stock.HOME, odd=True, look=shown)
        stock = Stock.HOME if breeders.from_bin_id in self._home else Stock.AWAY
        look = Appearance.WILD if breeders.described else None
        return Founders(name, sex, breeders.number, stock, look=look, carries=_carries(stated))

    def _look(self, states: Iterable[FounderState]) -> Appearance:
        """How an animal of which this is stated looks for the trait; one copy of what is no recessive shows."""
        state = next((one.state for one in states if one.trait_id == self._trait.id), State.WILD)
        if state in _SHOWS:
            return Appearance.FULL
        if state is State.HET and self._trait.dominance is not Dominance.RECESSIVE:
            return Appearance.PARTIAL if self._trait.dominance is Dominance.INCOMPLETE else Appearance.FULL
        return Appearance.WILD

    def _sibs(
        self, kept: Sequence[FounderRow], look: Appearance, described: bool
    ) -> tuple[int, Appearance | None] | None:
        """Of which brood breeders are, and how they looked in it; None where their bin holds several broods' young."""
        broods = {founder.brood_id for founder in kept}
        if len(broods) != 1 or (brood_id := kept[0].brood_id) is None or brood_id not in self._broods:
            return None
        if brood_id not in self._latest:
            return brood_id, None
        if described:
            return brood_id, look
        looks = {self._look(founder.states) for founder in kept}
        return brood_id, looks.pop() if len(looks) == 1 else None

    def _homes(self) -> frozenset[int]:
        """The bins in which the trait turned up: where odd breeders come from, and where broods were found."""
        odd = {
            b.from_bin_id
            for b in self._records.breeders
            if b.from_bin_id is not None and self._look(b.states) is not Appearance.WILD
        }
        found = {b.bin_id for b in self._records.broods if b.why is BroodReason.FOUND and self._shows(b)}
        return frozenset(odd | found)

    def labels(self, groups: Mapping[str, Group]) -> dict[str, str]:
        """What people call each group: its name, or how many from where and in which pairing."""
        said: dict[str, str] = {}
        # Who is in a pairing that the reader may not read is not said to be in it.
        paired = [one for one in reversed(self._records.paired) if one.pairing_id in self._pairings]
        where = {one.breeders_id: self._pairings[one.pairing_id].number for one in paired}
        codes = {brood.bin_id: brood.bin_code for brood in self._records.broods}
        for name in groups:
            kind, number = name[0], int(name[1:])
            if kind == "g":
                one = self._breeders[number]
                role = "dam" if one.sex is Sex.FEMALE else "sire"
                origin = f" from {one.from_code}" if one.from_code else ""
                many = f"{one.number} {role}s" if one.number > 1 else role
                said[name] = one.name or f"{many} of {pairing_code(where[number])}{origin}"
            elif kind == "s":
                said[name] = f"earlier males of {pairing_code(self._pairings[number].number)}"
            else:
                said[name] = f"{'females' if kind == 'f' else 'males'} of {codes[number]}"
        return said


def _carries(stated: FounderState | None) -> Fraction | None:
    if stated is None:
        return None
    return Fraction(1) if stated.state is State.HET else stated.chance
