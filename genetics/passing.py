"""What one group of loci passes from two parents to their young, for every sex system.

A union is a way in which chromosomes come together: which homologues of the dam and of the sire the young's own may be,
and how often daughters and sons arise so. Along two homologues of one parent there is recombination, along one none.
"""

from fractions import Fraction
from typing import NamedTuple

from genetics.errors import CrossFault, CrossRefused
from genetics.genome import Genome, SexSystem
from genetics.genotypes import Genotype, Homologue
from genetics.groups import Group
from genetics.loci import Sex, Where
from genetics.rates import over_one_total

Strands = tuple[Homologue, ...]
"""The homologues of one parent that the young's may come from, equally often: two, one, or none."""


class Union(NamedTuple):
    """dam, sire: strands; start: the weight of each of their combinations; daughters, sons: how often each sex arises.

    Over all unions of a pair, start × strands of the dam × strands of the sire × (daughters + sons) sums to `per_union`
    (twice that where the sexes do not differ in this group: then both weights are the same and mean "of each sex").
    """

    dam: Strands
    sire: Strands
    start: int
    daughters: int
    sons: int

    def weight(self, sex: Sex | None) -> int:
        """How often young of this sex arise so."""
        return self.sons if sex is Sex.MALE else self.daughters


def per_union(group: Group, genome: Genome) -> int:
    """The whole that the unions of a pair add up to in this group; 4 for the two homologues of each parent."""
    return 4 * (_feminised(genome)[2] if group.letters is not None else 1)


def unions(group: Group, genome: Genome, dam: Genotype, sire: Genotype | None) -> list[Union]:
    """The unions of a pair in one group; `sire` is None where there is no sire.

    >>> from genetics.groups import groups_of
    >>> from genetics.loci import Locus
    >>> genome = Genome(system=SexSystem.ZZ_ZW)
    >>> (pair,) = groups_of([Locus("ember", ("+", "e"), Where.SHARED)], genome)
    >>> hen, cock = Genotype(("Z", "e"), ("W",)), Genotype(("Z", "+"), ("Z", "+"))
    >>> [(one.dam, one.daughters, one.sons) for one in unions(pair, genome, hen, cock)]
    [((('Z', 'e'),), 0, 1), ((('W',),), 1, 0)]
    """
    if group.kind is Where.CYTOPLASM:
        return [Union((dam.first,), (), 4, 1, 1)]
    if genome.system is SexSystem.THELYTOKOUS:
        return [Union((dam.first,), (dam.second,), 4, 1, 1)]
    if sire is None:
        raise CrossRefused(CrossFault.SIRE_MISSING, genome.system)
    if group.letters is not None:
        return _of_chromosomes(group.letters, genome, dam, sire)
    eggs = _strands(dam)
    if genome.system is SexSystem.HAPLODIPLOID:
        start = 2 * (2 // len(eggs))
        return [Union(eggs, (sire.first,), start, 1, 0), Union(eggs, (), start, 0, 1)]
    sperms = _strands(sire)
    return [Union(eggs, sperms, 4 // (len(eggs) * len(sperms)), 1, 1)]


def _strands(genotype: Genotype) -> Strands:
    return (genotype.first,) if genotype.first == genotype.second else (genotype.first, genotype.second)


def _of_chromosomes(letters: tuple[str, str], genome: Genome, dam: Genotype, sire: Genotype) -> list[Union]:
    daughters, sons, per = _feminised(genome)
    found = []
    for eggs, egg_start in _by_chromosome(dam):
        for sperms, sperm_start in _by_chromosome(sire):
            kinds = (eggs[0][0], sperms[0][0])
            if kinds == (letters[0], letters[0]):
                if dam.first[0] == dam.second[0] and genome.system is SexSystem.ZZ_ZW:
                    if genome.daughters is None:
                        raise CrossRefused(CrossFault.SHARE_UNKNOWN, str(dam))
                    of_each = (daughters, sons)
                else:
                    of_each = (0, per) if genome.system is SexSystem.ZZ_ZW else (per, 0)
            elif kinds[0] != kinds[1]:
                of_each = (per, 0) if genome.system is SexSystem.ZZ_ZW else (0, per)
            else:
                of_each = (per if genome.ww_lives else 0, 0)
            found.append(Union(eggs, sperms, egg_start * sperm_start, *of_each))
    return found


def _by_chromosome(genotype: Genotype) -> list[tuple[Strands, int]]:
    """The strands a parent gives, apart where they are different chromosomes, and the weight of each strand."""
    if genotype.first[0] == genotype.second[0]:
        strands = _strands(genotype)
        return [(strands, 2 // len(strands))]
    return [((genotype.first,), 1), ((genotype.second,), 1)]


def _feminised(genome: Genome) -> tuple[int, int, int]:
    """Daughters and sons of a feminised mother in whole numbers, and their total."""
    daughters = Fraction(1 if genome.daughters is None else genome.daughters)
    (females, males), total = over_one_total((daughters, 1 - daughters))
    return females, males, total
