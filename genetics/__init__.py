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

A parent may be a young kept back, or drawn from a bin of several kinds, whose traits stay associated:

>>> frost = Trait("frost", "f", Dominance.RECESSIVE)
>>> cross = read_cross("1 visual ember or 1 visual frost x wild from (het ember x het ember)", [ember, frost])
>>> str(young_of(cross, cross.traits).share({ember: Appearance.FULL}))
'1/6'

Say where loci lie and how the species makes its sexes, and ask per sex:

>>> zeta = Trait("zeta", "z", Dominance.RECESSIVE, Where.SHARED)
>>> genome = Genome((LinkageGroup((ember.locus, frost.locus), Fraction(1, 10)),), SexSystem.ZZ_ZW)
>>> cross = read_cross("+ +/e f; Z^z/W x e f/e f; Z^+/Z^z", [ember, frost, zeta], genome=genome)
>>> dam = parent(cross.dam, cross.traits, genome, Role.DAM)
>>> sire = parent(cross.sire, cross.traits, genome, Role.SIRE)
>>> young = offspring(dam, sire, cross.traits)
>>> str(young.share({ember: Appearance.FULL, zeta: Appearance.FULL}, Sex.FEMALE))
'1/8'

Score characters instead of plain traits, keep a young back as the next parent, let several males share a brood:

>>> shown = character(ember).with_penetrance(Fraction(7, 10))
>>> het = parent(read_side("het ember", [ember]), [shown])
>>> kept = offspring(het, het, [shown]).one({shown: Appearance.WILD})
>>> [str(kept.carries(ember, copies)) for copies in (0, 1, 2)]
['10/33', '20/33', '1/11']
>>> wild = parent(read_side("wild", [ember]), [shown])
>>> offspring(kept, stored_sperm(het, wild, Fraction(28, 100)), [shown]).exact
True

Hold counts against what is expected, and ask how many must be born:

>>> found = counts_against((18, 6), (Fraction(3, 4), Fraction(1, 4)))
>>> found.fits, [one.ratio for one in found.rivals.fitting][:2]
(True, [(3, 1), (13, 3)])
>>> see_each(one_of_each_sex(Fraction(1, 4), Fraction(3, 10)), 0.95)
39
>>> het = parent(read_side("het ember", [ember]), [ember])
>>> wished = [Wished(chance, (share,)) for chance, share in offspring(het, het, [ember]).chances({ember: "full"})]
>>> born_for(wished).young
62

Ask who is related to whom, for marked animals and for bins:

>>> kin = group_kinship([Founded("B-1"), Drawn("dams", "B-1", 4), Founded("visual", 1), Bred("F1", "dams", "visual")])
>>> kin.between("F1", "visual"), kin.between("F1", "F1")
(Fraction(1, 4), Fraction(5, 32))
"""

from genetics.characters import Character, character
from genetics.crossing import Cost, cost, offspring
from genetics.errors import (
    BinUnresolved,
    CrossFault,
    CrossRefused,
    GeneticsError,
    KinshipFault,
    KinshipRefused,
    ModelFault,
    ModelRefused,
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
from genetics.fit_report import counts_against
from genetics.gametes import Cell, Gamete, GameteTable, gamete_table
from genetics.genome import Genome, SexSystem
from genetics.genotypes import Genotype
from genetics.interactions import Interaction, acting_together, series, table
from genetics.intervals import share_interval
from genetics.kinship.animals import inbreeding, kinship_matrix, kinships
from genetics.kinship.founders import FounderShares, PartialInbreeding, founder_shares, partial_inbreeding
from genetics.kinship.group_kinship import GroupKinship, group_kinship
from genetics.kinship.groups import Bred, Cloned, Drawn, Founded, Merged
from genetics.kinship.lines import LineGeneration, closed_line
from genetics.kinship.pedigree import Animal, Pedigree
from genetics.kinship.sizes import (
    effective_breeders,
    effective_size,
    harmonic_mean,
    inbreeding_after,
    loss_per_generation,
)
from genetics.linkage_estimate import LinkageCounts, linkage_differs, recombination
from genetics.loci import LinkageGroup, Locus, Role, Sex, Where, haldane, kosambi
from genetics.notation import read_cross, read_side
from genetics.parents import Parent, Sires, mixed, several, stored_sperm
from genetics.raising import HowMany
from genetics.ratios import ratios_of
from genetics.shares import ClassShare, GenotypeShare, Part
from genetics.sides import BinCode, CrossText, KeptBack, MixedKinds, Side, Spelled, State, Stated, Store
from genetics.stating import parent, young_of
from genetics.survival import Wished, born_for, one_of_each_sex, see_each
from genetics.survival_proof import young_to_prove
from genetics.traits import Appearance, Dominance, Trait, read_dominance
from genetics.writing import write_cross, write_genes, write_side
from genetics.young import Offspring

__all__ = [
    "Animal",
    "Appearance",
    "BinCode",
    "BinUnresolved",
    "Bred",
    "Cell",
    "Character",
    "ClassShare",
    "Cloned",
    "Cost",
    "CrossFault",
    "CrossRefused",
    "CrossText",
    "Dominance",
    "Drawn",
    "Founded",
    "FounderShares",
    "Gamete",
    "GameteTable",
    "GeneticsError",
    "Genome",
    "Genotype",
    "GenotypeShare",
    "GroupKinship",
    "HowMany",
    "Interaction",
    "KeptBack",
    "KinshipFault",
    "KinshipRefused",
    "LineGeneration",
    "LinkageCounts",
    "LinkageGroup",
    "Locus",
    "Merged",
    "MixedKinds",
    "ModelFault",
    "ModelRefused",
    "NeverHappens",
    "NotationError",
    "Offspring",
    "OutOfRange",
    "Parent",
    "Part",
    "PartialInbreeding",
    "Pedigree",
    "Problem",
    "Role",
    "Sex",
    "SexSystem",
    "SharesRefused",
    "Side",
    "SideRefused",
    "Sires",
    "Spelled",
    "State",
    "StateFault",
    "StateRefused",
    "Stated",
    "Store",
    "TooLarge",
    "Trait",
    "TraitClash",
    "TraitFault",
    "TraitMissing",
    "TraitRefused",
    "Where",
    "Wished",
    "acting_together",
    "born_for",
    "character",
    "closed_line",
    "cost",
    "counts_against",
    "effective_breeders",
    "effective_size",
    "founder_shares",
    "gamete_table",
    "group_kinship",
    "haldane",
    "harmonic_mean",
    "inbreeding",
    "inbreeding_after",
    "kinship_matrix",
    "kinships",
    "kosambi",
    "linkage_differs",
    "loss_per_generation",
    "mixed",
    "offspring",
    "one_of_each_sex",
    "parent",
    "partial_inbreeding",
    "ratios_of",
    "read_cross",
    "read_dominance",
    "read_side",
    "recombination",
    "see_each",
    "series",
    "several",
    "share_interval",
    "stored_sperm",
    "table",
    "write_cross",
    "write_genes",
    "write_side",
    "young_of",
    "young_to_prove",
]
