"""What a keeper says of two parents, before any arithmetic: states of traits, sides, a cross."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from typing import TypeAlias

from genetics.errors import OutOfRange, SideRefused, StateFault, StateRefused
from genetics.genotypes import Genotype
from genetics.limits import DAMS
from genetics.loci import Locus, Role
from genetics.traits import Appearance, Dominance, Trait


class State(StrEnum):
    """What an animal is with respect to one trait.

    WILD: no copy. HET: one copy. VISUAL: two copies of a recessive. HOMOZYGOUS: two copies of a trait that shows with
    one. POSSIBLE_HET: one copy with a stated chance, else none.

    >>> State("possible het") is State.POSSIBLE_HET
    True
    """

    WILD = "wild"
    VISUAL = "visual"
    HET = "het"
    POSSIBLE_HET = "possible het"
    HOMOZYGOUS = "homozygous"


@dataclass(frozen=True, slots=True)
class Stated:
    """One trait in one state; `chance` (above 0, below 1) belongs to a possible het and to nothing else.

    Raises StateRefused: a dominant or incompletely dominant trait has no "visual" (one copy or two?) and no "possible
    het" (it would show), and a recessive is "visual" with two copies, not "homozygous".

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> Stated(ember, State.POSSIBLE_HET, Fraction(2, 3)).chance
    Fraction(2, 3)
    """

    trait: Trait
    state: State
    chance: Fraction | None = None

    def __post_init__(self) -> None:
        fault = self._fault()
        if fault is not None:
            raise StateRefused(self.trait.name, self.state.value, fault)

    def _fault(self) -> StateFault | None:
        recessive = self.trait.dominance is Dominance.RECESSIVE
        if self.state is State.POSSIBLE_HET:
            return self._chance_fault() if recessive else StateFault.SHOWS
        if self.chance is not None:
            return StateFault.CHANCE_NEEDLESS
        if self.state is State.VISUAL and not recessive:
            return StateFault.WHICH_DOSE
        return StateFault.SAY_VISUAL if self.state is State.HOMOZYGOUS and recessive else None

    def _chance_fault(self) -> StateFault | None:
        if self.chance is None:
            return StateFault.CHANCE_MISSING
        return None if 0 < self.chance.numerator < self.chance.denominator else StateFault.CHANCE_RANGE


@dataclass(frozen=True, slots=True)
class Spelled:
    """The genotype at some loci of one linkage group, spelled out homologue by homologue, so that its phase is known.

    loci: in map order; of sex chromosomes those on X or Z, then those on Y or W; none where only chromosomes are named.
    traits: those whose alleles stand there, if the reader knows them; no part of what the genotype is.

    >>> ember, frost = Locus("ember", ("+", "e")), Locus("frost", ("+", "f"))
    >>> str(Spelled((ember, frost), Genotype(("+", "f"), ("e", "+"))))
    '+ f/e +'
    """

    loci: tuple[Locus, ...]
    genotype: Genotype
    traits: tuple[Trait, ...] = field(default=(), compare=False, repr=False)

    def __str__(self) -> str:
        return str(self.genotype)


@dataclass(frozen=True, slots=True)
class BinCode:
    """A bin named by its code, as typed; it stands for what is recorded of the bin.

    >>> Side((BinCode("B-12"),)).bin_code
    'B-12'
    """

    code: str


@dataclass(frozen=True, slots=True)
class KeptBack:
    """A young kept back from a cross, known by how it looks: "wild from (het ember x het ember)".

    looks: the traits that it shows, and how; in every other trait of that cross it looks wild. dam, sire: its parents.
    Raises SideRefused for a trait named twice, and for parents that are several.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> het = Side((Stated(ember, State.HET),))
    >>> KeptBack(((ember, Appearance.WILD),), het, het) == KeptBack((), het, het)
    True
    """

    looks: tuple[tuple[Trait, Appearance], ...]
    dam: "Side"
    sire: "Side"

    def __post_init__(self) -> None:
        names = [trait.words for trait, _ in self.looks]
        for at, (trait, _) in enumerate(self.looks):
            if trait.words in names[:at]:
                raise SideRefused(trait.name)
        for parent in (self.dam, self.sire):
            if parent.number > 1:
                raise SideRefused(str(parent.number))
        if self.sire.store is not None:
            raise SideRefused("stored sperm of a sire")
        shown = tuple((trait, look) for trait, look in self.looks if look is not Appearance.WILD)
        object.__setattr__(self, "looks", shown)


@dataclass(frozen=True, slots=True)
class MixedKinds:
    """An animal drawn from several kinds by their numbers: "2 visual ember or 7 het ember".

    Raises SideRefused for fewer than two kinds and for a kind that is several animals, OutOfRange for a number below 1
    or above 1,000,000.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> MixedKinds(((2, Side((Stated(ember, State.VISUAL),))), (7, Side()))).kinds[1][0]
    7
    """

    kinds: "tuple[tuple[int, Side], ...]"

    def __post_init__(self) -> None:
        if len(self.kinds) < 2:
            raise SideRefused("one kind")
        for number, side in self.kinds:
            if not 1 <= number <= MOST_OF_A_KIND:
                raise OutOfRange("animals of a kind", str(number), "1", str(MOST_OF_A_KIND))
            if side.number > 1 or side.store is not None:
                raise SideRefused(str(side.number))


MOST_OF_A_KIND = 1_000_000
"""Animals of one kind in a bin (judgement)."""


@dataclass(frozen=True, slots=True)
class Store:
    """Males that a dam was with before, whose sperm she may carry: what they are, and the share of young they sire.

    share: None if nobody knows it. Raises SideRefused for males that are several or store sperm themselves, OutOfRange
    unless 0 < share ≤ 1.

    >>> Store(Side(), Fraction(1, 4)).share
    Fraction(1, 4)
    """

    males: "Side"
    share: Fraction | None = None

    def __post_init__(self) -> None:
        if self.males.number > 1 or self.males.store is not None:
            raise SideRefused(str(self.males.number))
        if self.share is not None and not 0 < self.share <= 1:
            raise OutOfRange("share sired from the store", str(self.share), "above 0", "1")


Item: TypeAlias = Stated | Spelled | BinCode | KeptBack | MixedKinds
"""What a side is made of."""


@dataclass(frozen=True, slots=True)
class Side:
    """One parent as stated: each trait or spelled locus at most once; or a bin, a young kept back, or one of several kinds.

    Empty means wild in every trait. What is stated as wild is left out, since unsaid means wild:
    `Side((Stated(t, State.WILD),)) == Side(())`.
    number: how many such animals there are: dams that share the young, or sires of one brood. store: of a dam, what
    she may carry of males before.
    Raises SideRefused for a trait stated twice and for a bin and the like beside anything else, OutOfRange unless
    1 ≤ number ≤ 100.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> Side((Stated(ember, State.WILD),)) == Side()
    True
    """

    items: tuple[Item, ...] = ()
    number: int = 1
    store: Store | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.number <= DAMS:
            raise OutOfRange("animals", str(self.number), "1", str(DAMS))
        seen: set[tuple[str, ...]] = set()
        kept: list[Item] = []
        for at, item in enumerate(self.items):
            if isinstance(item, BinCode | KeptBack | MixedKinds):
                if len(self.items) > 1:
                    raise SideRefused(item.code if isinstance(item, BinCode) else type(item).__name__)
            elif isinstance(item, Spelled):
                if any(overlap(item, other) for place, other in enumerate(self.items) if place != at):
                    raise SideRefused(str(item))
            else:
                if item.trait.words in seen:
                    raise SideRefused(item.trait.name)
                seen.add(item.trait.words)
                if item.state is State.WILD:
                    continue
            kept.append(item)
        if len(kept) < len(self.items):
            object.__setattr__(self, "items", tuple(kept))

    @property
    def bin_code(self) -> str | None:
        """The code, if this side is a bin."""
        return next((item.code for item in self.items if isinstance(item, BinCode)), None)

    @property
    def stated(self) -> tuple[Stated, ...]:
        """The traits that are stated, without the bin."""
        return tuple(item for item in self.items if isinstance(item, Stated))

    @property
    def spelled(self) -> tuple[Spelled, ...]:
        """The genotypes that are spelled out."""
        return tuple(item for item in self.items if isinstance(item, Spelled))

    @property
    def drawn(self) -> KeptBack | MixedKinds | None:
        """The one item, if this is a young kept back or one of several kinds."""
        return next((item for item in self.items if isinstance(item, KeptBack | MixedKinds)), None)

    @property
    def bin_codes(self) -> tuple[str, ...]:
        """The codes of all bins named in this side, within crosses and kinds too, in order."""
        found = [item.code for item in self.items if isinstance(item, BinCode)]
        for inner in self._inner():
            found += inner.bin_codes
        return tuple(found)

    @property
    def traits(self) -> tuple[Trait, ...]:
        """Every trait stated or spelled in this side, within crosses and kinds too, each once, in order."""
        return tuple(dict.fromkeys(self._named()))

    def with_bins(self, held: "Callable[[str, Role], Side]", role: Role) -> "Side":
        """The same with every bin's code replaced by what the bin holds for a parent of that role.

        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> Side((BinCode("B-2"),), 3).with_bins(lambda code, role: Side((Stated(ember, State.HET),)), Role.DAM).number
        3
        """
        code, drawn = self.bin_code, self.drawn
        items = self.items if code is None else held(code, role).items
        if isinstance(drawn, KeptBack):
            dam, sire = drawn.dam.with_bins(held, Role.DAM), drawn.sire.with_bins(held, Role.SIRE)
            items = (replace(drawn, dam=dam, sire=sire),)
        elif drawn is not None:
            items = (MixedKinds(tuple((number, kind.with_bins(held, role)) for number, kind in drawn.kinds)),)
        store = self.store and replace(self.store, males=self.store.males.with_bins(held, Role.SIRE))
        return Side(items, self.number, store)

    def _inner(self) -> "Iterator[Side]":
        drawn = self.drawn
        if isinstance(drawn, KeptBack):
            yield drawn.dam
            yield drawn.sire
        elif drawn is not None:
            yield from (kind for _, kind in drawn.kinds)
        if self.store is not None:
            yield self.store.males

    def _named(self) -> Iterator[Trait]:
        for item in self.items:
            if isinstance(item, Stated):
                yield item.trait
            elif isinstance(item, Spelled):
                yield from item.traits
            elif isinstance(item, KeptBack):
                yield from (trait for trait, _ in item.looks)
        for inner in self._inner():
            yield from inner._named()


def overlap(item: Item, other: Item) -> bool:
    """Whether two items of one side speak of one trait, of one spelled locus, or of the pair of sex chromosomes.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> overlap(Stated(ember, State.HET), Stated(ember, State.VISUAL))
    True
    """
    if isinstance(item, Stated) and isinstance(other, Stated):
        return item.trait.words == other.trait.words
    if isinstance(item, Spelled) and isinstance(other, Spelled):
        sexual = all(each.genotype.first[:1] and each.genotype.first[0] in "XYZW" for each in (item, other))
        return sexual or any(locus in item.loci for locus in other.loci)
    spelled, stated = (item, other) if isinstance(item, Spelled) else (other, item)
    return isinstance(spelled, Spelled) and isinstance(stated, Stated) and stated.trait.locus in spelled.loci


@dataclass(frozen=True, slots=True)
class CrossText:
    """A cross as read: the dam's side, the sire's side, and the figures that were read as a third or two thirds.

    rounded_figures: (as typed, as read), for example ("66%", Fraction(2, 3)); no part of what the cross *is*, so two
        crosses that differ only there are equal.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> cross = CrossText(Side((Stated(ember, State.HET),)), Side())
    >>> [trait.name for trait in cross.traits], cross.swapped.dam.items
    (['ember'], ())
    """

    dam: Side
    sire: Side
    rounded_figures: tuple[tuple[str, Fraction], ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        if self.sire.store is not None:
            raise SideRefused("stored sperm of a sire")

    @property
    def traits(self) -> tuple[Trait, ...]:
        """Every trait stated or spelled on either side, the dam's first, each once, in the order written."""
        return tuple(dict.fromkeys((*self.dam.traits, *self.sire.traits)))

    @property
    def swapped(self) -> "CrossText":
        """The reciprocal cross: as many dams of what was the sire, as many sires of what was the dam, no stored sperm."""
        dam, sire = Side(self.sire.items, self.dam.number), Side(self.dam.items, self.sire.number)
        return CrossText(dam, sire, self.rounded_figures)
