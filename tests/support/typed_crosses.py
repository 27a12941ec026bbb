"""Crosses typed as text, for tests of the engine."""

from fractions import Fraction

from genetics import Dominance, Offspring, Trait, offspring, parent, read_cross
from genetics.characters import Scored
from genetics.genome import Genome, SexSystem
from genetics.loci import LinkageGroup, Role, Sex, Where

EMBER, FROST, KITE = (Trait(name, name[0], Dominance.RECESSIVE) for name in ("ember", "frost", "kite"))
ZETA = Trait("zeta", "z", Dominance.RECESSIVE, Where.SHARED)
WICK = Trait("wick", "w", Dominance.DOMINANT, Where.LIMITED)


def linked(*gaps: Fraction | float, sire: Fraction | float | None = None) -> Genome:
    """A genome with ember, frost and kite (as many as there are gaps for) along one chromosome."""
    loci = (EMBER.locus, FROST.locus, KITE.locus)[: len(gaps) + 1]
    return Genome((LinkageGroup(loci, gaps, None if sire is None else (sire,) * len(gaps)),))


def young_of(text: str, genome: Genome, *asked: Scored) -> Offspring:
    """The young of a cross as typed, with respect to what is asked (left out: the traits that are named)."""
    cross = read_cross(text, [EMBER, FROST, KITE, ZETA, WICK], genome=genome)
    scored = asked or cross.traits
    sire = None
    if genome.system is not SexSystem.THELYTOKOUS:
        sire = parent(cross.sire, scored, genome, Role.SIRE)
    return offspring(parent(cross.dam, scored, genome, Role.DAM), sire, scored)


def shares(young: Offspring, sex: Sex | None = None) -> dict[tuple[str, ...], Fraction]:
    """The classes by their looks."""
    return {one.looks: one.share for one in young.classes(sex)}
