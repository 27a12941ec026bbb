"""Writing what the notation reads: crosses, sides and genotypes."""

from collections.abc import Mapping, Sequence

from genetics.figures import write_figure
from genetics.genes import write_allele_pair
from genetics.genome import Genome, SexSystem
from genetics.loci import Role, Where
from genetics.sides import BinCode, CrossText, Item, KeptBack, MixedKinds, Side, Spelled, State, Stated
from genetics.stating import parent
from genetics.traits import Appearance, Dominance, Trait


def write_cross(cross: CrossText) -> str:
    """A cross in plain notation, dam first; `read_cross` reads it back as an equal one.

    >>> from genetics import Dominance, State
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> write_cross(CrossText(Side((Stated(ember, State.HET),)), Side()))
    'het ember x wild'
    """
    return f"{write_side(cross.dam)} x {write_side(cross.sire, Role.SIRE)}"


def write_side(side: Side, role: Role = Role.DAM) -> str:
    """One side in plain notation; it is read back, unless a bin's code is also the name of a trait.

    role: says whether several animals are dams or sires.

    >>> from genetics import Dominance, State
    >>> frost = Trait("frost", "f", Dominance.INCOMPLETE)
    >>> write_side(Side((Stated(frost, State.HOMOZYGOUS),)))
    'homozygous frost'
    """
    several = f"{side.number} {role}s " if side.number > 1 else ""
    return f"{several}{_animal(side)}{_store(side)}"


def _animal(side: Side) -> str:
    return ", ".join(_item(item) for item in side.items) or "wild"


def _store(side: Side) -> str:
    if side.store is None:
        return ""
    siring = "" if side.store.share is None else f" siring {write_figure(side.store.share)}"
    return f" had males of {_inner(side.store.males)}{siring}"


def _inner(side: Side) -> str:
    """A side within another, its animal in brackets where it would not end by itself."""
    return f"({_animal(side)}){_store(side)}" if side.drawn is not None else f"{_animal(side)}{_store(side)}"


def _item(item: Item) -> str:
    if isinstance(item, BinCode):
        return item.code
    if isinstance(item, KeptBack):
        looks = ", ".join(_look(trait, look) for trait, look in item.looks) or "wild"
        return f"{looks} from ({_inner(item.dam)} x {_inner(item.sire)})"
    if isinstance(item, MixedKinds):
        return " or ".join(f"{number} {_inner(kind)}" for number, kind in item.kinds)
    if isinstance(item, Spelled):
        return str(item)
    if item.chance is not None:
        return f"{write_figure(item.chance)} het {item.trait.name}"
    return f"{item.state} {item.trait.name}"


def _look(trait: Trait, look: Appearance) -> str:
    if trait.dominance is not Dominance.INCOMPLETE:
        return f"{State.VISUAL} {trait.name}"
    return f"{State.HET if look is Appearance.PARTIAL else State.HOMOZYGOUS} {trait.name}"


def write_genes(side: Side, traits: Sequence[Trait], genome: Genome | None = None, role: Role | None = None) -> str:
    """One side in gene notation: the traits named, in their order, then what else is stated; a bin is its code, and
    what is drawn from several kinds or from a cross is in plain notation.

    Groups are parted by ";", homologues by "/", linked loci whose phase is known by a space. With genome and role what
    lies on sex chromosomes or in the cytoplasm, and a haploid male, is written as such. `read_side` reads it back as
    the same parent where every symbol has one trait. Raises CrossRefused for what such a parent cannot be.

    >>> from genetics import Dominance, State
    >>> ember, frost = Trait("ember", "e", Dominance.RECESSIVE), Trait("frost", "f", Dominance.INCOMPLETE)
    >>> write_genes(Side((Stated(frost, State.HOMOZYGOUS), Stated(ember, State.HET))), [ember, frost])
    '+/e; f/f'
    """
    if side.bin_code is not None or side.drawn is not None:
        return write_side(side)
    stated = {item.trait: item for item in side.stated}
    spelled = {locus: item for item in side.spelled for locus in item.loci}
    written: list[str] = []
    done: set[Trait] = set()
    told: list[Spelled] = []
    order = list(dict.fromkeys([*traits, *stated]))
    for trait in order:
        item = spelled.get(trait.locus)
        if item is not None:
            written += [] if item in told else [str(item)]
            told.append(item)
        elif trait not in done:
            together = _together(trait, order, genome, role)
            done.update(together)
            written.append(_pair(together, stated, genome, role))
    written += [str(item) for item in side.spelled if item not in told]
    return "; ".join(written) or "+"


def _together(trait: Trait, order: Sequence[Trait], genome: Genome | None, role: Role | None) -> list[Trait]:
    """The traits that are written as one with this one: on the same chromosomes, or alleles of the same locus."""
    where = trait.locus.where
    if genome is not None and where is not Where.AUTOSOME and (role is not None or where is Where.CYTOPLASM):
        sexual = (Where.SHARED, Where.LIMITED)
        return [one for one in order if one.locus.where is where or {one.locus.where, where} == set(sexual)]
    return [one for one in order if one.locus == trait.locus]


def _pair(together: Sequence[Trait], stated: Mapping[Trait, Stated], genome: Genome | None, role: Role | None) -> str:
    """Traits of one locus, or of one pair of chromosomes, in gene notation."""
    mine = [stated[trait] for trait in together if trait in stated]
    haploid = genome is not None and genome.system is SexSystem.HAPLODIPLOID and role is Role.SIRE
    if genome is not None and (haploid or together[0].locus.where is not Where.AUTOSOME):
        known = parent(Side(tuple(mine)), together, genome, role)
        at = next(number for number, group in enumerate(known.groups) if together[0].locus in group.loci)
        block = known.blocks[at]
        if len(block.animals) == 1:
            return str(block.animals[0][0])
    if len(mine) == 2 and all(item.state is State.HET for item in mine) and len(together) == len(mine):
        return "/".join(item.trait.symbol for item in mine)
    return "; ".join(map(write_allele_pair, mine)) or "+/+"
