"""The family of a bin as the book tells it: the bins and breeders it comes from, and the bins that came from it."""

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Final, NamedTuple

from bot.records import BreederRole, CountRow, Dominance, Exactness, FounderState, ParentRole, Sex, State, TraitRow
from bot.services.ancestry import Ancestry, read_ancestry
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import BinLabel
from bot.services.request import Request
from bot.services.traits import row_named

MOST_KIN: Final = 40
"""The most members of one picture; the nearest are shown."""


class Look(NamedTuple):
    """Whether alike animals show a trait, None if that was not said, and their chance to carry it unseen."""

    shows: bool | None = None
    carries: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Kin:
    """A bin, or animals chosen to breed, in a family.

    key: tells it from the others. code: a bin's; None for breeders, who have a `name` at most. hidden: a bin the reader may
    not read. count: how many animals, as last counted or as founded; estimate: it was judged. alone: it is one animal.
    looks: of the trait asked about, a group of alike animals each. part: animals of its one parent, not young of it.
    joined: the codes of bins that were poured into it later; empty for one that the reader may not read.
    """

    key: str
    code: str | None
    name: str | None
    sex: Sex = Sex.UNKNOWN
    count: int | None = None
    estimate: bool = False
    alone: bool = False
    hidden: bool = False
    part: bool = False
    joined: tuple[str, ...] = ()
    looks: tuple[Look, ...] = ()


@dataclass(frozen=True, slots=True)
class Parted:
    """Parents, by their keys, and what came from them."""

    parents: tuple[str, ...]
    young: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Family:
    """The answer to `family_of`. `left_out`: how many more are on record than the picture takes."""

    label: BinLabel
    asked: str
    trait: str | None
    kin: tuple[Kin, ...]
    matings: tuple[Parted, ...]
    left_out: int


async def family_of(desk: Desk, request: Request, bin_text: str, trait_text: str = "") -> Family:
    """Where a bin's animals come from, as far as the book tells, and the bins that came from it.

    Raises:
        NoSuchBin, NoSuchTrait: no answer.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await bin_named(book, bin_text)
        told = await read_ancestry(book, row.species_key)
        counts = {count.bin_id: count for count in await book.latest_counts()}
        trait = row_named(trait_text, await book.traits()) if trait_text.strip() else None
    drawing = _Drawing(told, counts, trait)
    drawing.draw(row.id)
    return Family(
        label=BinLabel(row.code, row.name),
        asked=drawing.key(row.id),
        trait=None if trait is None else trait.name,
        kin=tuple(drawing.kin.values()),
        matings=drawing.matings(),
        left_out=drawing.left_out,
    )


class _Drawing:
    """Who is in the picture: the bin asked about, then its parents and its young, then theirs, as long as there is room."""

    def __init__(self, told: Ancestry, counts: dict[int, CountRow], trait: TraitRow | None) -> None:
        self.kin: dict[str, Kin] = {}
        self.left_out = 0
        self._told, self._counts, self._trait = told, counts, trait
        self._parents: dict[str, tuple[str, ...]] = {}

    @staticmethod
    def key(bin_id: int) -> str:
        """The key of a bin."""
        return f"bin {bin_id}"

    def draw(self, bin_id: int) -> None:
        """Add the bin and those about it, the nearest first: upwards all the way, downwards one step."""
        waiting = [bin_id]
        seen = {bin_id}
        self._add_bin(bin_id)
        while waiting:
            here = waiting.pop(0)
            for parent in self._join(here):
                if parent not in seen:
                    seen.add(parent)
                    waiting.append(parent)
        for young in sorted(self._told.bins):
            if young not in seen and bin_id in self._sources(young):
                self._join(young)

    def matings(self) -> tuple[Parted, ...]:
        """Who came from whom, those of the same parents together."""
        young: dict[tuple[str, ...], list[str]] = {}
        for key, parents in self._parents.items():
            young.setdefault(parents, []).append(key)
        return tuple(Parted(parents, tuple(keys)) for parents, keys in young.items())

    def _join(self, bin_id: int) -> list[int]:
        """Add a bin with its parents, if there is room for all of them; the parent bins are returned."""
        if bin_id not in self._told.bins:
            return []
        bins = self._sources(bin_id)
        breeders = [] if bins and not self._paired(bin_id) else self._paired(bin_id)
        parents = [f"breeders {each}" for each in breeders] or [self.key(each) for each in bins]
        fresh = [key for key in (self.key(bin_id), *parents) if key not in self.kin]
        if len(self.kin) + len(fresh) > MOST_KIN:
            self.left_out += len(fresh)
            return []
        self._add_bin(bin_id)
        for each in breeders:
            self._add_breeders(each)
        for each in () if breeders else bins:
            self._add_bin(each)
        if parents:
            self._parents[self.key(bin_id)] = tuple(parents)
        onward = [self._told.breeders[each].from_bin_id for each in breeders]
        for each, source in zip(breeders, onward, strict=True):
            if source is not None and source != bin_id and len(self.kin) < MOST_KIN:
                self._add_bin(source)
                self._parents.setdefault(f"breeders {each}", (self.key(source),))
        return [source for source in onward if source is not None] if breeders else bins

    def _sources(self, bin_id: int) -> list[int]:
        """The bins that a bin's animals come from: of its dams first, then of its sires."""
        order = (ParentRole.DAM, ParentRole.BOTH, ParentRole.PART, ParentRole.SIRE)
        links = sorted(self._told.parents.get(bin_id, ()), key=lambda link: order.index(link.role))
        broods = [self._told.broods.get(f.brood_id) for f in self._told.founders.get(bin_id, ()) if f.brood_id]
        found = [link.parent_bin_id for link in links] or [brood.bin_id for brood in broods if brood]
        return [each for each in dict.fromkeys(found) if each != bin_id]

    def _paired(self, bin_id: int) -> list[int]:
        """The breeders whose young live in a bin: of the brood they were kept from, of the pairing in the one bin they come from, or of its own."""
        founders = self._told.founders.get(bin_id, [])
        broods = [self._told.broods.get(founder.brood_id or 0) for founder in founders]
        pairings = [brood.pairing_id for brood in broods if brood and brood.pairing_id]
        links = self._told.parents.get(bin_id, [])
        at: datetime = self._told.bins[bin_id].opened_at
        if not pairings and len(links) == 1 and links[0].role is ParentRole.BOTH:
            pairings = [pairing.id for pairing in self._told.pairings_by(links[0].parent_bin_id, at)]
        if not pairings and self._told.founded_by_pairing(bin_id):
            return list(self._told.bred_in(bin_id))
        paired = [one for pairing in pairings for one in self._told.paired.get(pairing, ())]
        paired.sort(key=lambda one: one.role is BreederRole.SIRE)
        return [each for each in dict.fromkeys(one.breeders_id for one in paired) if each in self._told.breeders]

    def _add_bin(self, bin_id: int) -> None:
        key, row = self.key(bin_id), self._told.bins.get(bin_id)
        if key in self.kin:
            return
        if row is None:
            self.kin[key] = Kin(key, None, None, hidden=True)
            return
        founders = self._told.founders.get(bin_id, [])
        count, founded = self._counts.get(bin_id), self._told.number(bin_id)
        sexes = {founder.sex for founder in founders}
        links = self._told.parents.get(bin_id, [])
        self.kin[key] = Kin(
            key,
            row.code,
            row.name,
            sex=sexes.pop() if len(sexes) == 1 else Sex.UNKNOWN,
            count=founded if count is None else count.total,
            estimate=count is not None and count.exactness is not Exactness.EXACT,
            alone=founded == 1 and (count is None or count.total == 1),
            part=bool(links) and all(link.role is ParentRole.PART for link in links),
            joined=tuple(self._code(each) for each in self._told.joined.get(bin_id, ())),
            looks=self._looks(bin_id),
        )

    def _add_breeders(self, breeders_id: int) -> None:
        key, row = f"breeders {breeders_id}", self._told.breeders[breeders_id]
        looks: tuple[Look, ...] = (self._look(row.described, row.states),)
        if not row.described and row.from_bin_id in self._told.bins:
            # Nobody said what they are, so they are what their bin holds.
            looks = self._looks(row.from_bin_id)
        self.kin.setdefault(
            key,
            Kin(key, None, row.name, row.sex, row.number, alone=row.number == 1, looks=looks),
        )

    def _code(self, bin_id: int) -> str:
        row = self._told.bins.get(bin_id)
        return "" if row is None else row.code

    def _looks(self, bin_id: int) -> tuple[Look, ...]:
        return tuple(self._look(f.described, f.states) for f in self._told.holds.get(bin_id, ()))

    def _look(self, described: bool, states: tuple[FounderState, ...]) -> Look:
        """How animals look for the trait asked about; described without it they are wild."""
        if self._trait is None or not described:
            return Look()
        stated = next((state for state in states if state.trait_id == self._trait.id), None)
        if stated is None or stated.state is State.WILD:
            return Look(shows=False)
        if stated.state is State.POSSIBLE_HET:
            return Look(shows=False, carries=stated.chance or Fraction(0))
        if stated.state is State.HET and self._trait.dominance is Dominance.RECESSIVE:
            return Look(shows=False, carries=Fraction(1))
        return Look(shows=True)
