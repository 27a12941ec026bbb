"""From what the book says of bins to groups whose kinship can be worked out: the animals that bred, and what must be assumed of them.

A bin changes when animals are poured into it, so it is a row of groups in time; young come from those who were there when
their own bin was opened.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from bot.records import BreederRole, BreedersRow, FounderRow, ParentRole, ParentRow, Sex, SexSystem
from bot.services.ancestry import Ancestry
from genetics import Bred, Cloned, Drawn, Founded, Merged, Role
from genetics.kinship.groups import ANYWHERE, AnyGroup, comes_from
from genetics.rates import Rate

USUAL_BREEDERS = 10
"""How many of a sex are taken to breed in a bin of which nobody said how many animals it started with (judgement)."""


class Assumed(StrEnum):
    """What a figure of kinship rests on that the book does not say."""

    ONE_ORIGIN = "founders of one origin are relatives"
    ORIGIN = "where founders come from is not said"
    BREEDERS = "who bred is not recorded"
    NUMBER = "how many bred is not known"
    MATE = "the other parent is not recorded"
    HIDDEN = "a bin among the ancestors is private"
    NOTHING = "nothing is said of where a bin comes from"


@dataclass(frozen=True, slots=True)
class Lineage:
    """The groups of a species, the group that lives in each bin now (by the bin's id), and what was assumed in making each."""

    groups: tuple[AnyGroup, ...]
    living: Mapping[int, str]
    assumed: Mapping[str, frozenset[Assumed]]

    def behind(self, names: Iterable[str]) -> tuple[tuple[AnyGroup, ...], frozenset[Assumed]]:
        """The groups that some groups come from, themselves included, and all that was assumed in making them."""
        known = {group.name: group for group in self.groups}
        wanted: dict[str, AnyGroup] = {}
        waiting = list(names)
        while waiting:
            name = waiting.pop()
            if name not in wanted:
                wanted[name] = known[name]
                waiting += comes_from(known[name])
        said: frozenset[Assumed] = frozenset().union(*(self.assumed.get(name, frozenset()) for name in wanted))
        origins = [g.origin for g in wanted.values() if isinstance(g, Founded)]
        many = any(isinstance(g, Founded) and g.origin != ANYWHERE and g.number != 1 for g in wanted.values())
        if many or len(set(origins) - {ANYWHERE}) < sum(origin != ANYWHERE for origin in origins):
            said |= {Assumed.ONE_ORIGIN}
        return tuple(wanted.values()), said


def lineage_of(told: Ancestry, system: SexSystem) -> Lineage:
    """The groups that the book's bins come to, in the order of time."""
    building = _Building(told, clonal=system is SexSystem.THELYTOKOUS)
    for bin_id in sorted(told.bins, key=lambda each: (told.bins[each].opened_at, each)):
        building.open(bin_id)
    for transfer in sorted((t for rows in told.transfers.values() for t in rows), key=lambda t: (t.at, t.id)):
        if transfer.to_bin_id in told.bins and transfer.id not in building.used:
            building.pour(transfer.to_bin_id, transfer.from_bin_id, transfer.number, transfer.at, transfer.id)
    building.breed()
    return Lineage(_fitted(building.groups), building.living(), building.assumed)


class _Building:
    """The groups so far. Bins come first and in order, then what was poured into them, then the young, who look back on both."""

    def __init__(self, told: Ancestry, *, clonal: bool) -> None:
        self.groups: dict[str, AnyGroup] = {}
        self.assumed: dict[str, frozenset[Assumed]] = {}
        self.used: set[int] = set()
        self._told, self._clonal = told, clonal
        self._states: dict[int, list[tuple[datetime, str]]] = {}

    def living(self) -> dict[int, str]:
        """The last state of each bin."""
        return {bin_id: states[-1][1] for bin_id, states in self._states.items() if bin_id in self._told.bins}

    def open(self, bin_id: int) -> None:
        """A bin begins; the first animals that were parted off into it are its start and no later gift."""
        row = self._told.bins[bin_id]
        self._states[bin_id] = [(row.opened_at, f"{bin_id}")]
        parts = {link.parent_bin_id for link in self._links(bin_id) if link.role is ParentRole.PART}
        for transfer in self._told.transfers.get(bin_id, ()):
            if transfer.from_bin_id in parts:
                parts.remove(transfer.from_bin_id)
                self.used.add(transfer.id)

    def pour(self, to_bin: int, from_bin: int, number: int | None, at: datetime, transfer: int) -> None:
        """Animals of another bin come in: from then on the bin is a mixture."""
        before = self._state(to_bin, at)
        source = self._state(from_bin, at)
        if before == source:
            return
        name, part = f"{to_bin} after {transfer}", f"part {transfer}"
        self._add(Drawn(part, source, number or None), *([] if number else [Assumed.NUMBER]))
        here = self._told.number(to_bin)
        self._add(Merged(name, ((before, here or USUAL_BREEDERS), (part, number or USUAL_BREEDERS))))
        self._states[to_bin].append((at, name))

    def breed(self) -> None:
        """Say of each bin how its first animals came to be."""
        for bin_id in self._told.bins:
            self._begin(bin_id)

    def _links(self, bin_id: int) -> list[ParentRow]:
        return self._told.parents.get(bin_id, [])

    def _state(self, bin_id: int, at: datetime) -> str:
        """The group that lived in a bin at a time."""
        if bin_id not in self._states:
            hidden = f"hidden {bin_id}"
            if hidden not in self.groups:
                self._add(Founded(hidden, None, ANYWHERE), Assumed.HIDDEN)
            return hidden
        states = self._states[bin_id]
        return next((name for since, name in reversed(states) if since <= at), states[0][1])

    def _add(self, group: AnyGroup, *assumed: Assumed) -> str:
        self.groups[group.name] = group
        self.assumed[group.name] = frozenset(assumed)
        return group.name

    def _begin(self, bin_id: int) -> None:
        row, links = self._told.bins[bin_id], self._links(bin_id)
        name, founders = f"{bin_id}", self._told.founders.get(bin_id, [])
        parts = [link.parent_bin_id for link in links if link.role is ParentRole.PART]
        if parts:
            self._part(name, bin_id, parts, row.opened_at)
        elif founders and all(founder.brood_id in self._told.broods for founder in founders):
            self._kept_back(name, bin_id, founders)
        elif links:
            dams = [link.parent_bin_id for link in links if link.role is not ParentRole.SIRE]
            sires = [link.parent_bin_id for link in links if link.role is not ParentRole.DAM]
            self._young(name, bin_id, dams, sires, row.opened_at)
        elif self._told.founded_by_pairing(bin_id):
            self._chosen(name, bin_id)
        elif founders:
            self._found(name, founders)
        else:
            self._add(Founded(name, None, ANYWHERE), Assumed.NOTHING)

    def _part(self, name: str, bin_id: int, parents: list[int], at: datetime) -> None:
        number = self._told.number(bin_id)
        if len(parents) == 1:
            self._add(Drawn(name, self._state(parents[0], at), number))
            return
        share = max(1, (number or USUAL_BREEDERS * len(parents)) // len(parents))
        drawn = [self._add(Drawn(f"{name} of {parent}", self._state(parent, at), share)) for parent in parents]
        self._add(Merged(name, tuple((part, share) for part in drawn)), Assumed.NUMBER)

    def _found(self, name: str, founders: list[FounderRow]) -> None:
        single = len(founders) == 1
        parts = []
        for founder in founders:
            origin = _origin(founder.origin)
            part = name if single else f"{name} founders {founder.id}"
            self._add(Founded(part, founder.number, origin), *([Assumed.ORIGIN] if origin == ANYWHERE else []))
            parts.append((part, founder.number or USUAL_BREEDERS))
        if not single:
            known = all(founder.number for founder in founders)
            self._add(Merged(name, tuple(parts)), *([] if known else [Assumed.NUMBER]))

    def _chosen(self, name: str, bin_id: int) -> None:
        """A bin of a pairing's own: its first animals are the breeders."""
        rows = [self._told.breeders[each] for each in self._told.bred_in(bin_id)]
        sides = {Sex.FEMALE: Role.DAM, Sex.MALE: Role.SIRE}
        self._add(Merged(name, tuple(self._breeders(row, sides.get(row.sex, Role.DAM)) for row in rows)))

    def _kept_back(self, name: str, bin_id: int, founders: list[FounderRow]) -> None:
        parts = []
        for founder in founders:
            brood = self._told.broods[founder.brood_id or 0]
            part = name if len(founders) == 1 else f"{name} founders {founder.id}"
            if brood.pairing_id is not None:
                self._of_pairings(part, bin_id, [brood.pairing_id], founder.number)
            else:
                self._young(part, bin_id, [brood.bin_id], [brood.bin_id], brood.seen_on, founder.number)
            parts.append((part, founder.number or USUAL_BREEDERS))
        if len(founders) > 1:
            self._add(Merged(name, tuple(parts)))

    def _young(
        self, name: str, bin_id: int, dams: list[int], sires: list[int], at: datetime, number: int | None = None
    ) -> None:
        """Young of the bins that gave dams and sires; of recorded breeders, where the young are of one bin with a pairing."""
        paired = self._told.pairings_by(dams[0], at) if dams and dams == sires and len(dams) == 1 else []
        if paired:
            self._of_pairings(name, bin_id, [pairing.id for pairing in paired], number)
            return
        mothers = self._side(f"{name} dams", dams, Role.DAM, at)
        fathers = None if self._clonal else self._side(f"{name} sires", sires, Role.SIRE, at)
        alone = dams == sires and len(dams) == 1 and self._told.number(dams[0]) == 1
        self._cross(name, mothers, None if alone else fathers, number or self._told.number(bin_id))

    def _of_pairings(self, name: str, bin_id: int, pairings: list[int], number: int | None = None) -> None:
        """Young of one pairing, or of several by the number of young that each has had."""
        number = number or self._told.number(bin_id)
        if len(pairings) == 1:
            self._of_pairing(name, pairings[0], number)
            return
        born = {pairing: self._told.born(pairing) for pairing in pairings}
        parts = [(f"{name} pairing {pairing}", young or USUAL_BREEDERS) for pairing, young in born.items()]
        for pairing, (part, _) in zip(pairings, parts, strict=True):
            self._of_pairing(part, pairing, None)
        all_young = self._add(
            Merged(f"{name} all young", tuple(parts)), *([] if all(born.values()) else [Assumed.NUMBER])
        )
        self._add(Drawn(name, all_young, number))

    def _of_pairing(self, name: str, pairing: int, number: int | None) -> None:
        paired = self._told.paired.get(pairing, ())
        sides = []
        for role, sex in ((BreederRole.DAM, Role.DAM), (BreederRole.SIRE, Role.SIRE)):
            ids = dict.fromkeys(one.breeders_id for one in paired if one.role is role)
            parts = [self._breeders(self._told.breeders[each], sex) for each in ids if each in self._told.breeders]
            sides.append(self._together(f"{name} {sex}s", parts))
        self._cross(name, sides[0], sides[1], number)

    def _breeders(self, row: BreedersRow, role: Role) -> tuple[str, int]:
        name = f"breeders {row.id}"
        if row.from_bin_id is None:
            return self._add(Founded(name, row.number, ANYWHERE), Assumed.ORIGIN), row.number
        return self._add(Drawn(name, self._state(row.from_bin_id, row.added_at), row.number, role)), row.number

    def _cross(self, name: str, dams: str | None, sires: str | None, number: int | None) -> None:
        """Young of both; of clonal mothers if there are such; a parent not recorded may be anybody."""
        mothers = dams or self._add(Founded(f"{name} dams", None, ANYWHERE))
        if self._clonal:
            self._add(Cloned(name, mothers, number), *([] if dams else [Assumed.MATE]))
            return
        fathers = sires or self._add(Founded(f"{name} sires", None, ANYWHERE))
        self._add(Bred(name, mothers, fathers, number), *([] if dams and sires else [Assumed.MATE]))

    def _side(self, name: str, bins: list[int], role: Role, at: datetime) -> str | None:
        """The dams or the sires out of some bins: those known by their sex, or drawn by half of the animals there."""
        parts = []
        for bin_id in bins:
            sexed = self._sexed(bin_id, role, at)
            if sexed is not None:
                parts.append(sexed)
                continue
            whole = self._told.number(bin_id) if bin_id in self._told.bins else None
            if whole == 1 and self._state(bin_id, at) == f"{bin_id}":
                # Nothing is drawn from one animal; nor is it two, where it was a dam once and once a sire.
                parts.append((f"{bin_id}", 1))
                continue
            number = USUAL_BREEDERS if whole is None else max(1, whole // 2)
            drawn = Drawn(f"{name} of {bin_id}", self._state(bin_id, at), number, role)
            self._add(drawn, Assumed.BREEDERS, *([Assumed.NUMBER] if whole is None else []))
            parts.append((drawn.name, number))
        return self._together(name, parts)

    def _sexed(self, bin_id: int, role: Role, at: datetime) -> tuple[str, int] | None:
        """The founders of a bin that are of one sex, if that is said of all of them and nobody came later."""
        founders = self._told.founders.get(bin_id, [])
        pure = bin_id in self._told.bins and not self._links(bin_id) and self._state(bin_id, at) == f"{bin_id}"
        if not pure or len(founders) < 2 or any(f.sex is Sex.UNKNOWN or not f.number or f.brood_id for f in founders):
            return None
        wanted = Sex.FEMALE if role is Role.DAM else Sex.MALE
        mine = [(f"{bin_id} founders {f.id}", f.number or 1) for f in founders if f.sex is wanted]
        side = self._together(f"{wanted}s of {bin_id}", mine)
        return None if side is None else (side, sum(number for _, number in mine))

    def _together(self, name: str, parts: list[tuple[str, int]]) -> str | None:
        if len(parts) < 2:
            return parts[0][0] if parts else None
        return self._add(Merged(name, tuple(parts)))


def _fitted(groups: Mapping[str, AnyGroup]) -> tuple[AnyGroup, ...]:
    """The groups, with no more animals drawn from one than it has: people miscount, and bins grow between two counts."""
    fitted: dict[str, AnyGroup] = {}

    def fit(name: str) -> Rate | None:
        if name not in fitted:
            # Entered first, so that a loop in the records ends here; the science refuses it by name.
            fitted[name] = group = groups[name]
            if isinstance(group, Drawn):
                group = replace(group, number=_least(group.number, fit(group.of)))
            elif isinstance(group, Merged):
                group = replace(group, parts=tuple((part, _least(n, fit(part)) or n) for part, n in group.parts))
            fitted[name] = group
        return fitted[name].number

    for name in groups:
        fit(name)
    return tuple(fitted.values())


def _least(one: Rate | None, other: Rate | None) -> Rate | None:
    known = [number for number in (one, other) if number is not None]
    return min(known, default=None)


def _origin(text: str | None) -> str:
    """What makes two origins the same: their words, in any case of letters."""
    return " ".join(text.casefold().split()) if text and text.strip() else ANYWHERE
