"""The genetics of crosses: exact, without bot, database, clock or file.

Read a cross, make its parents, ask about their young:

>>> from fractions import Fraction
>>> ember = Trait("ember", "e", Dominance.RECESSIVE)
>>> cross = read_cross("66% het ember x visual ember", [ember])
>>> traits = cross.traits
>>> young = offspring(parent(cross.dam, traits), parent(cross.sire, traits), traits)
>>> [(str(one.appearance[0]), str(one.share)) for one in young.classes()]
[('wild', '2/3'), ('full', '1/3')]
>>> young.how_many(1, Fraction(95, 100), {ember: Appearance.FULL})
HowMany(see=None, ceiling=Fraction(2, 3), see_if_possible=5, if_share=Fraction(1, 2))
"""

from genetics.crossing import Offspring, offspring
from genetics.errors import (
    BinUnresolved,
    GeneticsError,
    NeverHappens,
    NotationError,
    OutOfRange,
    Problem,
    SharesRefused,
    SideRefused,
    StateFault,
    StateRefused,
    TooLarge,
    TraitClash,
    TraitFault,
    TraitMissing,
    TraitRefused,
)
from genetics.genotypes import Genotype
from genetics.notation import read_cross, read_side
from genetics.parents import Parent, parent
from genetics.raising import HowMany
from genetics.shares import ClassShare, GenotypeShare, Part
from genetics.sides import BinCode, CrossText, Side, State, Stated
from genetics.traits import Appearance, Dominance, Trait, read_dominance
from genetics.writing import write_cross, write_genes, write_side

__all__ = [
    "Appearance",
    "BinCode",
    "BinUnresolved",
    "ClassShare",
    "CrossText",
    "Dominance",
    "GeneticsError",
    "Genotype",
    "GenotypeShare",
    "HowMany",
    "NeverHappens",
    "NotationError",
    "Offspring",
    "OutOfRange",
    "Parent",
    "Part",
    "Problem",
    "SharesRefused",
    "Side",
    "SideRefused",
    "State",
    "StateFault",
    "StateRefused",
    "Stated",
    "TooLarge",
    "Trait",
    "TraitClash",
    "TraitFault",
    "TraitMissing",
    "TraitRefused",
    "offspring",
    "parent",
    "read_cross",
    "read_dominance",
    "read_side",
    "write_cross",
    "write_genes",
    "write_side",
]
