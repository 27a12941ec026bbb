"""The table of one pair: the gametes of the dam along one side, of the sire along the other, their young in the cells."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product

from genetics.genome import SexSystem
from genetics.genotypes import Genotype, Homologue, written
from genetics.groups import Group
from genetics.layout import Layout
from genetics.loci import Role, Sex
from genetics.parents import Genotypes
from genetics.rates import fraction
from genetics.young import Offspring

MOST_GAMETES = 4
"""The most kinds of gametes of one parent that a table shows: those of two loci."""
_HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Gamete:
    """A kind of egg or sperm in gene notation, and the share of the parent's that are so.

    >>> str(Gamete("e; f", Fraction(1, 4)).share)
    '1/4'
    """

    text: str
    share: Fraction


@dataclass(frozen=True, slots=True)
class Cell:
    """The young of one egg and one sperm: genotype in gene notation, its look in each thing scored, its sex if told.

    >>> Cell("Z^e/W", ("full",), Sex.FEMALE).sex
    <Sex.FEMALE: 'female'>
    """

    genotype: str
    looks: tuple[str, ...]
    sex: Sex | None


@dataclass(frozen=True, slots=True)
class GameteTable:
    """The table of a pair. `cells[row][column]` has the dam's gamete of the row and the sire's of the column.

    A cell's share is the product of its two gametes' shares.

    >>> half = Fraction(1, 2)
    >>> found = GameteTable((Gamete("e", half), Gamete("+", half)), (Gamete("e", half),), ((Cell("e/e", (), None),),) * 2)
    >>> [str(share) for _, share in found.shares()]
    ['1/4', '1/4']
    """

    dam: tuple[Gamete, ...]
    sire: tuple[Gamete, ...]
    cells: tuple[tuple[Cell, ...], ...]

    def shares(self) -> Iterator[tuple[Cell, Fraction]]:
        """Every cell with its share, row by row. They sum to exactly 1."""
        for egg, row in zip(self.dam, self.cells, strict=True):
            for sperm, cell in zip(self.sire, row, strict=True):
                yield cell, egg.share * sperm.share


def gamete_table(young: Offspring) -> GameteTable | None:
    """The table of the one pair that the parents are.

    None where one table would not tell the truth, or not all of it: the parents may be one pair or another, there are
    several sires or none, a gamete of either has more than `MOST_GAMETES` kinds, males are haploid or the dam is a feminised
    male, a genotype looks one way or another, or some young live less well.

    >>> from genetics import Dominance, Parent, Trait, offspring
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> het = Parent.of([ember], [(Fraction(1), (1,))])
    >>> found = gamete_table(offspring(het, het, [ember]))
    >>> [[cell.genotype for cell in row] for row in found.cells]
    [['+/+', '+/e'], ['+/e', 'e/e']]
    """
    layout = young._parts.layout
    parts = young.parts
    if len(parts) > 1 or parts[0].others or not parts[0].sire or layout.selects:
        return None
    if layout.genome.system in (SexSystem.HAPLODIPLOID, SexSystem.THELYTOKOUS):
        return None
    dam, sire = parts[0].dam, parts[0].sire
    if layout.genome.system is SexSystem.ZZ_ZW and layout.chromosomes is not None:
        pair = dam[layout.chromosomes]
        if pair.first[0] == pair.second[0]:
            return None
    eggs, sperms = _gametes(layout, dam, Role.DAM), _gametes(layout, sire, Role.SIRE)
    if max(len(eggs), len(sperms)) > MOST_GAMETES:
        return None
    rows = [[_cell(layout, egg, sperm) for sperm in sperms] for egg in eggs]
    told = tuple(tuple(cell for cell in row if cell is not None) for row in rows)
    if any(len(row) < len(sperms) for row in told):
        return None
    return GameteTable(_told(layout, eggs), _told(layout, sperms), told)


Kinds = dict[tuple[Homologue, ...], Fraction]
"""The gametes of a parent, a homologue of each group, and their shares."""


def _gametes(layout: Layout, parent: Genotypes, role: Role) -> Kinds:
    kinds: Kinds = {(): Fraction(1)}
    for group, genotype in zip(layout.groups, parent, strict=True):
        strands = _strands(group, genotype, role) if _tells(layout, group) else {(): Fraction(1)}
        kinds = {(*kind, one): a * b for (kind, a), (one, b) in product(kinds.items(), strands.items())}
    return kinds


def _tells(layout: Layout, group: Group) -> bool:
    """Whether a group makes a difference: chromosomes that carry nothing do so only where the sexes look unlike."""
    return bool(group.loci) or any(one.by_sex for one in layout.characters)


def _strands(group: Group, genotype: Genotype, role: Role) -> dict[Homologue, Fraction]:
    """What a parent passes on of one group: its two homologues, and what recombination makes of them."""
    first, second = genotype.first, genotype.second
    if not second:
        # What the cytoplasm carries comes from the dam alone.
        return {first if role is Role.DAM else (): Fraction(1)}
    if group.letters is not None and first[0] != second[0]:
        return {first: _HALF, second: _HALF}
    head = 0 if group.letters is None else 1
    gaps = [group.gaps(role)[at] for at, _ in pairwise(group.carried(first))]
    found: dict[Homologue, Fraction] = {}
    for way in product((0, 1), repeat=len(first) - head):
        share = _HALF if way else Fraction(1)
        for gap, (here, there) in zip(gaps, pairwise(way), strict=True):
            share *= fraction(gap) if here != there else 1 - fraction(gap)
        kept = (*first[:head], *((first, second)[side][head + at] for at, side in enumerate(way)))
        if share:
            found[kept] = found.get(kept, Fraction(0)) + share
    return found


def _cell(layout: Layout, egg: tuple[Homologue, ...], sperm: tuple[Homologue, ...]) -> Cell | None:
    """The young of two gametes; None if it does not always look one way."""
    sex = _sex(layout, egg, sperm)
    looks = []
    for at, character in enumerate(layout.characters):
        if character.by_sex and sex is None:
            return None
        alleles = []
        for group, place in layout.sites[at]:
            both = (layout.groups[group].alleles(half[group])[place] for half in (egg, sperm) if half[group])
            alleles.append(tuple(one for one in both if one is not None))
        chances = [fraction(chance) for chance in character.chances(alleles, sex)]
        if max(chances) < 1:
            return None
        looks.append(character.labels[chances.index(max(chances))])
    pairs = [Genotype(a, b) for group, a, b in zip(layout.groups, egg, sperm, strict=True) if _tells(layout, group)]
    return Cell("; ".join(map(str, pairs)), tuple(looks), sex)


def _sex(layout: Layout, egg: tuple[Homologue, ...], sperm: tuple[Homologue, ...]) -> Sex | None:
    at = layout.chromosomes
    if at is None or not egg[at] or not sperm[at]:
        return None
    alike = egg[at][0] == sperm[at][0]
    return Sex.MALE if alike is (layout.genome.system is SexSystem.ZZ_ZW) else Sex.FEMALE


def _told(layout: Layout, kinds: Kinds) -> tuple[Gamete, ...]:
    def text(kind: tuple[Homologue, ...]) -> str:
        told = [one for group, one in zip(layout.groups, kind, strict=True) if _tells(layout, group)]
        return "; ".join(map(written, told)) or "–"

    return tuple(Gamete(text(kind), share) for kind, share in kinds.items())
