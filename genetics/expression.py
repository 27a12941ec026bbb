"""How a genotype shows: a trait as a map from genotype to a distribution over appearances."""

from genetics.genotypes import Genotype
from genetics.inheritance import Spread
from genetics.traits import Appearance, Dominance, Trait


def appearances(trait: Trait, genotype: Genotype) -> Spread[Appearance]:
    """How animals of this genotype look: at full penetrance one appearance, always.

    >>> from genetics.genotypes import one_locus
    >>> frost = Trait("frost", "f", Dominance.INCOMPLETE)
    >>> [str(appearances(frost, one_locus("f", copies)).weights[0][0]) for copies in (0, 1, 2)]
    ['wild', 'partial', 'full']
    """
    return Spread(((_shown(trait, genotype.copies(trait.symbol)), 1),), 1)


def _shown(trait: Trait, copies: int) -> Appearance:
    if copies == 2:
        return Appearance.FULL
    if copies == 0 or trait.dominance is Dominance.RECESSIVE:
        return Appearance.WILD
    return Appearance.FULL if trait.dominance is Dominance.DOMINANT else Appearance.PARTIAL


def carries_hidden(trait: Trait, genotype: Genotype) -> bool:
    """Whether one copy is there that does not show: a het of a recessive."""
    return trait.dominance is Dominance.RECESSIVE and genotype.copies(trait.symbol) == 1
