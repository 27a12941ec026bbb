"""What the grammar of crosses knows beforehand, and what it read at a place of the text."""

from collections.abc import Callable, Iterable

from genetics.genome import Genome
from genetics.genotypes import Genotype
from genetics.loci import LinkageGroup, Locus, Where
from genetics.sides import BinCode, Item, Spelled, State, Stated
from genetics.traits import Trait, distinct


class Known:
    """The words that a server has of its own: names and symbols of traits, which words are bins, and the map.

    symbols: the traits that use each gene symbol.
    """

    def __init__(self, traits: Iterable[Trait], bin_code: Callable[[str], bool], genome: Genome) -> None:
        self.traits = distinct(traits)
        self.by_words = {trait.words: trait for trait in self.traits}
        self.longest = max(map(len, self.by_words), default=0)
        self.bin_code = bin_code
        self.genome = genome
        self.symbols: dict[str, list[Trait]] = {}
        for trait in self.traits:
            self.symbols.setdefault(trait.symbol, []).append(trait)
        letters = genome.system.letters
        self.letters: tuple[str, ...] = () if letters is None else letters

    def spelled(self, loci: tuple[Locus, ...], genotype: Genotype) -> Spelled:
        """A spelled genotype with the traits whose alleles are in it."""
        alleles = {*genotype.first, *genotype.second}
        mine = [trait for trait in self.traits if trait.locus in loci and trait.symbol in alleles]
        return Spelled(loci, genotype, tuple(mine))

    def group_of(self, locus: Locus) -> LinkageGroup | None:
        """The linkage group that a locus stands in, by name; None if its place is not recorded."""
        return next((group for group in self.genome.groups if locus in group.loci), None)

    def loci(self, where: Where) -> tuple[Locus, ...]:
        """The loci of the known traits on one kind of chromosome, in map order, those without a place last."""
        mine = list(dict.fromkeys(trait.locus for trait in self.traits if trait.locus.where is where))
        mapped = [locus for group in self.genome.groups for locus in group.loci if locus in mine]
        return tuple(mapped + [locus for locus in mine if locus not in mapped])


class Placed:
    """What was read at a place: statements, a spelled genotype, a bin, "wild", or (nothing) wild alleles alone."""

    __slots__ = ("end", "genes", "items", "start", "wild")

    def __init__(
        self, items: tuple[Item, ...], start: int, end: int, *, wild: bool = False, genes: bool = False
    ) -> None:
        self.items, self.start, self.end, self.wild, self.genes = items, start, end, wild, genes

    @property
    def het(self) -> bool:
        """Whether it says het in words, so that a bare name after it is of two meanings."""
        return not self.genes and any(
            isinstance(item, Stated) and item.state in (State.HET, State.POSSIBLE_HET) for item in self.items
        )

    @property
    def bin(self) -> BinCode | None:
        """The bin, if it is one."""
        return next((item for item in self.items if isinstance(item, BinCode)), None)
