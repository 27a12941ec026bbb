"""What a keeper says of two parents, before any arithmetic: states of traits, sides, a cross."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from genetics.errors import SideRefused, StateFault, StateRefused
from genetics.genotypes import Genotype
from genetics.loci import Locus
from genetics.traits import Dominance, Trait


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
class Side:
    """One parent as stated: each trait or spelled locus at most once, or one bin. Empty means wild in every trait.

    What is stated as wild is left out, since unsaid means wild: `Side((Stated(t, State.WILD),)) == Side(())`.
    Raises SideRefused for a trait stated twice and for a bin beside anything else.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> Side((Stated(ember, State.WILD),)) == Side()
    True
    """

    items: tuple[Stated | Spelled | BinCode, ...] = ()

    def __post_init__(self) -> None:
        seen: set[tuple[str, ...]] = set()
        kept: list[Stated | Spelled | BinCode] = []
        for at, item in enumerate(self.items):
            if isinstance(item, BinCode):
                if len(self.items) > 1:
                    raise SideRefused(item.code)
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


def overlap(item: Stated | Spelled | BinCode, other: Stated | Spelled | BinCode) -> bool:
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
    >>> [trait.name for trait in cross.traits], cross.swapped.dam
    (['ember'], Side(items=()))
    """

    dam: Side
    sire: Side
    rounded_figures: tuple[tuple[str, Fraction], ...] = field(default=(), compare=False)

    @property
    def traits(self) -> tuple[Trait, ...]:
        """Every trait stated or spelled on either side, the dam's first, each once, in the order written."""
        return tuple(dict.fromkeys(self._named()))

    @property
    def swapped(self) -> "CrossText":
        """The reciprocal cross: dam and sire change places."""
        return CrossText(self.sire, self.dam, self.rounded_figures)

    def _named(self) -> Iterator[Trait]:
        for item in (*self.dam.items, *self.sire.items):
            if isinstance(item, Stated):
                yield item.trait
            elif isinstance(item, Spelled):
                yield from item.traits
