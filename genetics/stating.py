"""From what a side states to a parent: every kind of animal that the statement allows."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import product
from typing import NamedTuple, TypeAlias

from genetics.characters import Scored
from genetics.crossing import offspring
from genetics.errors import BinUnresolved, CrossFault, CrossRefused, TooLarge, TraitMissing
from genetics.genome import Genome, SexSystem
from genetics.genotypes import Genotype
from genetics.groups import Group
from genetics.layout import Layout, is_plain, layout_of
from genetics.limits import KINDS
from genetics.loci import Locus, Role, Sex, Where
from genetics.parents import LATER_MALE, STORED, Block, Parent, Sires, mixed
from genetics.rates import Rate, over_one_total
from genetics.sides import CrossText, KeptBack, MixedKinds, Side, Spelled, State, Stated
from genetics.traits import Appearance, Trait
from genetics.words import WILD_ALLELE, tokens
from genetics.young import Offspring

_Options: TypeAlias = list[tuple[Fraction, tuple[str, ...]]]
"""What an animal may have at a locus: alleles other than wild, by probability."""


class _Strand(NamedTuple):
    """One homologue in the making: its letter (of a sex chromosome) and the allele at each locus, by place."""

    letter: str | None
    alleles: dict[int, str]


def parent(
    side: Side,
    traits: Sequence[Scored],
    genome: Genome | None = None,
    role: Role | None = None,
    karyotype: tuple[str, str] | None = None,
) -> Parent:
    """The parent that a side states, with respect to `traits`; what the side does not say is wild.

    genome: where the loci lie; without it all are unlinked and on autosomes. role: dam or sire, needed where they
    differ. karyotype: unusual sex chromosomes, ("Z", "Z") of a mother that bacteria made one; spelled ones say so
    themselves. The figures of several possible hets are taken as independent of each other. Where linked loci are het
    and their phase is not spelled, every phase is taken as equally likely and `phase_unknown` says so.
    An animal drawn from several kinds keeps what is associated in them (`mixed`), and a young kept back is what its
    parents and its looks make it, at the penetrance of `traits`. How many animals a side says, and what a dam may
    carry of other males, is for `young_of`.

    Raises BinUnresolved, TraitMissing for a trait that is not among `traits`, TraitClash, TooLarge, and CrossRefused
    for what such a parent cannot be: het with one copy, more alleles than homologues, on a chromosome it has not.

    >>> from genetics import Dominance, Stated, State, Trait
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> maybe = parent(Side((Stated(ember, State.POSSIBLE_HET, Fraction(2, 3)),)), [ember])
    >>> maybe.carries(ember, 1)
    Fraction(2, 3)
    """
    genome = Genome() if genome is None else genome
    if side.bin_code is not None:
        raise BinUnresolved(side.bin_code)
    asked = tuple(traits)
    drawn = side.drawn
    if isinstance(drawn, MixedKinds):
        return mixed([(number, parent(kind, asked, genome, role, karyotype)) for number, kind in drawn.kinds])
    if drawn is not None:
        return _kept_back(drawn, asked, genome, role)
    if karyotype is None and is_plain(asked, genome) and all(isinstance(item, Stated) for item in side.items):
        return _remembered(side, asked, genome, role)
    return _parent(side, asked, genome, role, karyotype)


def young_of(
    cross: CrossText,
    traits: Sequence[Scored],
    genome: Genome | None = None,
    karyotype: tuple[str, str] | None = None,
) -> Offspring:
    """The young of a cross as it is written: one brood, with every sire that it may have.

    karyotype: unusual sex chromosomes of the dam. Several sires of one brood are drawn each for himself; one has what
    the first male has beside a later one, the others share the rest. Of a dam that had other males before, the share
    of young from her store is the one stated, or has the prior `STORED`. Several dams are for the questions about many
    young (`Offspring.how_many`). Raises as `parent` and `offspring`.

    >>> from genetics import Appearance, Dominance, Trait, read_cross
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> young = young_of(read_cross("e/e had males of wild siring 28% x e/e", [ember]), [ember])
    >>> str(young.share({ember: Appearance.FULL}))
    '18/25'
    """
    genome = Genome() if genome is None else genome
    dam = parent(cross.dam, traits, genome, Role.DAM, karyotype)
    if genome.system is SexSystem.THELYTOKOUS and cross.sire == Side() and cross.dam.store is None:
        return offspring(dam, None, traits)
    return offspring(dam, _sires(cross, traits, genome), traits)


def _sires(cross: CrossText, traits: Sequence[Scored], genome: Genome) -> Parent | Sires:
    male = parent(cross.sire, traits, genome, Role.SIRE)
    many, store = cross.sire.number, cross.dam.store
    if many == 1 and store is None:
        return male
    own = [Fraction(1)] if many == 1 else [1 - LATER_MALE, *[LATER_MALE / (many - 1)] * (many - 1)]
    if store is None:
        return Sires((male,) * many, ((1, tuple(own)),))
    stored = parent(store.males, traits, genome, Role.SIRE)
    ways: list[tuple[Rate, Fraction]] = [(1, store.share)] if store.share is not None else [*STORED]
    shares = tuple((chance, (*(share * (1 - taken) for share in own), taken)) for chance, taken in ways)
    return Sires((*(male,) * many, stored), shares)


def _kept_back(young: KeptBack, traits: tuple[Scored, ...], genome: Genome, role: Role | None) -> Parent:
    """What a young is that was kept back for its looks; nobody says of it what cannot be seen."""
    brood = young_of(CrossText(young.dam, young.sire), traits, genome)
    shown = {trait.words: (trait, look) for trait, look in young.looks}
    wanted: dict[Scored, str] = {scored: _look(scored, shown) for scored in brood.traits}
    for trait, _ in shown.values():
        raise TraitMissing(trait.name)
    sex = None if role is None or len(brood.sexes) == 1 else Sex.FEMALE if role is Role.DAM else Sex.MALE
    kept = brood.one(wanted, sex)
    return kept if kept.role is role else replace(kept, role=role)


def _look(scored: Scored, shown: dict[tuple[str, ...], tuple[Trait, Appearance]]) -> str:
    """The class of what is scored that was told, taken out of what is shown; the wild one where nothing was."""
    if isinstance(scored, Trait):
        return shown.pop(scored.words, (scored, Appearance.WILD))[1]
    own = tuple(token.word for token in tokens(scored.name))
    if own in shown:
        return shown.pop(own)[1]
    # Alleles of one series are told by the name of the trait that shows.
    told = next((words for words, (trait, _) in shown.items() if trait.name in scored.labels), None)
    return scored.wild if told is None else shown.pop(told)[0].name


@lru_cache(maxsize=32)
def _remembered(side: Side, traits: tuple[Scored, ...], genome: Genome, role: Role | None) -> Parent:
    """What is said of most animals is one of a few things ("het ember"), and asked again and again."""
    return _parent(side, traits, genome, role, None)


def _parent(
    side: Side,
    traits: tuple[Scored, ...],
    genome: Genome,
    role: Role | None,
    karyotype: tuple[str, str] | None,
) -> Parent:
    layout = layout_of(traits, genome)
    sets = genome.sets(role)
    options = _options(side, layout)
    blocks, unphased = [], []
    for number, group in enumerate(layout.groups):
        spelled = _spelled(side, layout, number)
        strands = _strands(group, genome, role, sets, spelled, karyotype)
        own = {at: options[number, at] for at in range(len(group.loci)) if (number, at) in options}
        kinds, known = _kinds(group, strands, own)
        if not known:
            unphased += [group.loci[at].name for at in own]
        for genotype in kinds:
            group.check(genotype, role, genome)
        weights, total = over_one_total(kinds.values())
        blocks.append(Block((number,), tuple((genotype,) for genotype in kinds), weights, total))
    return Parent(layout.scored, genome, role, layout.groups, tuple(blocks), True, tuple(unphased))


def _options(side: Side, layout: Layout) -> dict[tuple[int, int], _Options]:
    """What is stated of each locus; several traits of one series add their alleles together."""
    found: dict[tuple[int, int], _Options] = {}
    for item in side.stated:
        site = layout.site(item.trait.locus, item.trait.name)
        symbol = item.trait.symbol
        if item.chance is not None:
            own: _Options = [(item.chance, (symbol,)), (1 - item.chance, ())]
        else:
            own = [(Fraction(1), (symbol,) * (1 if item.state is State.HET else 2))]
        before = found.get(site, [(Fraction(1), ())])
        found[site] = [(one * other, left + right) for one, left in before for other, right in own]
    return found


def _spelled(side: Side, layout: Layout, number: int) -> Spelled | None:
    """The one spelled genotype that is about a group, its loci those of the group or some of them."""
    group = layout.groups[number]
    mine: Spelled | None = None
    for item in side.spelled:
        places = [layout.site(locus, locus.name)[0] for locus in item.loci]
        if not places and group.letters is not None:
            places = [number]
        if number not in places:
            continue
        if mine is not None or set(places) != {number}:
            raise CrossRefused(CrossFault.SHAPE, str(item), " ".join(locus.name for locus in group.loci))
        mine = item
    return mine


def _strands(
    group: Group,
    genome: Genome,
    role: Role | None,
    sets: int,
    spelled: Spelled | None,
    karyotype: tuple[str, str] | None,
) -> list[_Strand]:
    """The homologues of an animal, with what is spelled of them."""
    if spelled is not None:
        return [
            _read_strand(group, half, spelled.loci)
            for half in (spelled.genotype.first, spelled.genotype.second)
            if half
        ]
    if group.kind is Where.CYTOPLASM:
        return [_Strand(None, {})]
    if group.letters is None:
        return [_Strand(None, {}) for _ in range(sets)]
    if role is None:
        raise CrossRefused(CrossFault.ROLE_MISSING, genome.system)
    letters = karyotype or genome.karyotype(role) or ()
    return [_Strand(letter, {}) for letter in letters]


def _read_strand(group: Group, half: tuple[str, ...], loci: Sequence[Locus]) -> _Strand:
    letter = half[0] if group.letters is not None else None
    where = None
    if group.letters is not None:
        where = Where.SHARED if letter == group.letters[0] else Where.LIMITED
    named = [locus for locus in loci if where is None or locus.where is where]
    alleles = half if group.kind is Where.AUTOSOME else half[1:]
    if len(named) != len(alleles):
        raise CrossRefused(CrossFault.SHAPE, " ".join(half), " ".join(locus.name for locus in named))
    return _Strand(letter, {group.loci.index(locus): allele for locus, allele in zip(named, alleles, strict=True)})


def _kinds(
    group: Group, strands: Sequence[_Strand], options: dict[int, _Options]
) -> tuple[dict[Genotype, Fraction], bool]:
    """Every genotype that the statements allow with its probability, and whether the phase of each is known."""
    cost = math.prod(2 * len(each) for each in options.values())
    if cost > 4 * KINDS:
        fits = (2 * KINDS).bit_length() // 2
        raise TooLarge("kinds of one parent in a linkage group", cost, 4 * KINDS, fits, "uncertain traits")
    found: dict[Genotype, Fraction] = {}
    all_known = True
    for chosen in product(*options.values()):
        share = math.prod((one for one, _ in chosen), start=Fraction(1))
        stated = {at: alleles for at, (_, alleles) in zip(options, chosen, strict=True)}
        ways = list(_phases(group, strands, stated))
        all_known = all_known and len({_genotype(group, way) for way in ways}) == 1
        for way in ways:
            genotype = _genotype(group, way)
            found[genotype] = found.get(genotype, Fraction(0)) + share / len(ways)
    return found, all_known


def _phases(group: Group, strands: Sequence[_Strand], stated: dict[int, tuple[str, ...]]) -> Iterator[list[_Strand]]:
    """Every way to lay the alleles stated on the homologues; all equally likely."""
    placed = [list(_placings(group.loci[at], at, strands, alleles)) for at, alleles in stated.items()]
    for laid in product(*placed):
        yield [
            _Strand(
                strand.letter,
                {**strand.alleles, **{at: own[number] for at, own in zip(stated, laid, strict=True) if number in own}},
            )
            for number, strand in enumerate(strands)
        ]


def _placings(locus: Locus, at: int, strands: Sequence[_Strand], alleles: tuple[str, ...]) -> Iterator[dict[int, str]]:
    """The ways to put alleles of one locus on the homologues that have it; the rest of them is wild."""
    where = [number for number, strand in enumerate(strands) if _has(strand, locus)]
    if not where:
        raise CrossRefused(CrossFault.NOT_CARRIED, locus.name)
    if len(where) == 1:
        if len(alleles) == 1 or len(set(alleles)) > 1:
            raise CrossRefused(CrossFault.ONE_COPY, locus.name)
        yield {where[0]: alleles[0] if alleles else WILD_ALLELE}
        return
    if len(alleles) > 2:
        raise CrossRefused(CrossFault.TOO_MANY_COPIES, locus.name, " ".join(alleles))
    pair = (*alleles, *(WILD_ALLELE,) * (2 - len(alleles)))
    yield {where[0]: pair[0], where[1]: pair[1]}
    if pair[0] != pair[1]:
        yield {where[0]: pair[1], where[1]: pair[0]}


def _has(strand: _Strand, locus: Locus) -> bool:
    if strand.letter is None:
        return True
    return (locus.where is Where.SHARED) == (strand.letter in "XZ")


def _genotype(group: Group, strands: Sequence[_Strand]) -> Genotype:
    halves = []
    for strand in strands:
        carried = [at for at, locus in enumerate(group.loci) if _has(strand, locus)]
        halves.append(group.homologue(strand.letter, [strand.alleles.get(at, WILD_ALLELE) for at in carried]))
    return Genotype(halves[0], halves[1] if len(halves) > 1 else ())
