"""Writing what the notation reads: crosses, sides and genotypes."""

from collections.abc import Sequence

from genetics.figures import write_figure
from genetics.genes import write_allele_pair
from genetics.sides import BinCode, CrossText, Side, Stated
from genetics.traits import Trait


def write_cross(cross: CrossText) -> str:
    """A cross in plain notation, dam first; `read_cross` reads it back as an equal one.

    >>> from genetics import Dominance, State
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> write_cross(CrossText(Side((Stated(ember, State.HET),)), Side()))
    'het ember x wild'
    """
    return f"{write_side(cross.dam)} x {write_side(cross.sire)}"


def write_side(side: Side) -> str:
    """One side in plain notation; `read_side` reads it back, unless a bin's code is also the name of a trait.

    >>> from genetics import Dominance, State
    >>> frost = Trait("frost", "f", Dominance.INCOMPLETE)
    >>> write_side(Side((Stated(frost, State.HOMOZYGOUS),)))
    'homozygous frost'
    """
    return ", ".join(_item(item) for item in side.items) or "wild"


def _item(item: Stated | BinCode) -> str:
    if isinstance(item, BinCode):
        return item.code
    if item.chance is not None:
        return f"{write_figure(item.chance)} het {item.trait.name}"
    return f"{item.state} {item.trait.name}"


def write_genes(side: Side, traits: Sequence[Trait]) -> str:
    """One side in gene notation: the traits named, in their order, then what else is stated; a bin is its code.

    Unlinked loci are parted by ";", homologues by "/". `read_side` reads it back where every symbol has one trait.

    >>> from genetics import Dominance, State
    >>> ember, frost = Trait("ember", "e", Dominance.RECESSIVE), Trait("frost", "f", Dominance.INCOMPLETE)
    >>> write_genes(Side((Stated(frost, State.HOMOZYGOUS), Stated(ember, State.HET))), [ember, frost])
    '+/e; f/f'
    """
    if side.bin_code is not None:
        return side.bin_code
    stated = {item.trait: item for item in side.stated}
    order = dict.fromkeys([*traits, *stated])
    return "; ".join(write_allele_pair(trait, stated.get(trait)) for trait in order) or "+"
