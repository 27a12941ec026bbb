"""The slow and obviously right reference: every gamete, every young and every brood size, one by one, in fractions.

It shares no arithmetic with `genetics`: animals are plain tuples of allele pairs, ("+", "e"), one pair a trait.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from genetics import Appearance, Dominance, State, Stated, Trait
from genetics.characters import Character
from genetics.genome import SexSystem
from genetics.loci import Role, Sex

Animal = tuple[tuple[str, str], ...]
Kinds = Sequence[tuple[Fraction, Animal]]
Looks = tuple[Appearance, ...]


def animal_of(traits: Sequence[Trait], copies: Sequence[int]) -> Animal:
    return tuple(
        {0: ("+", "+"), 1: ("+", trait.symbol), 2: (trait.symbol, trait.symbol)}[number]
        for trait, number in zip(traits, copies, strict=True)
    )


def kinds_of(traits: Sequence[Trait], stated: Sequence[Stated]) -> Kinds:
    """Every combination of what each statement allows, with the product of their chances."""
    by_trait = {item.trait: item for item in stated}
    options: list[list[tuple[Fraction, int]]] = []
    for trait in traits:
        item = by_trait.get(trait)
        if item is None or item.state is State.WILD:
            options.append([(Fraction(1), 0)])
        elif item.state is State.HET:
            options.append([(Fraction(1), 1)])
        elif item.state is State.POSSIBLE_HET:
            assert item.chance is not None
            options.append([(item.chance, 1), (1 - item.chance, 0)])
        else:
            options.append([(Fraction(1), 2)])
    found = []
    for combination in itertools.product(*options):
        share = Fraction(1)
        for chance, _ in combination:
            share *= chance
        found.append((share, animal_of(traits, [copies for _, copies in combination])))
    return found


def gametes(animal: Animal) -> Iterator[tuple[str, ...]]:
    """Every way to take one allele of each pair; all equally likely."""
    yield from itertools.product(*animal)


def young_of(dam: Animal, sire: Animal) -> list[Animal]:
    """Every union of an egg and a sperm; all equally likely."""
    return [tuple(zip(egg, sperm, strict=True)) for egg in gametes(dam) for sperm in gametes(sire)]


def look(trait: Trait, pair: tuple[str, str]) -> Appearance:
    copies = pair.count(trait.symbol)
    if trait.dominance is Dominance.RECESSIVE:
        return Appearance.FULL if copies == 2 else Appearance.WILD
    if trait.dominance is Dominance.DOMINANT:
        return Appearance.FULL if copies >= 1 else Appearance.WILD
    return (Appearance.WILD, Appearance.PARTIAL, Appearance.FULL)[copies]


def looks(traits: Sequence[Trait], animal: Animal) -> Looks:
    return tuple(look(trait, pair) for trait, pair in zip(traits, animal, strict=True))


def pairs(dams: Kinds, sires: Kinds) -> Iterator[tuple[Fraction, Animal, Animal]]:
    for dam_share, dam in dams:
        for sire_share, sire in sires:
            yield dam_share * sire_share, dam, sire


def young_shares(dams: Kinds, sires: Kinds) -> Iterator[tuple[Fraction, Animal]]:
    """Every young of every pair with its share."""
    for share, dam, sire in pairs(dams, sires):
        all_young = young_of(dam, sire)
        for young in all_young:
            yield share / len(all_young), young


def classes(traits: Sequence[Trait], dams: Kinds, sires: Kinds) -> dict[Looks, Fraction]:
    found: dict[Looks, Fraction] = {}
    for share, young in young_shares(dams, sires):
        key = looks(traits, young)
        found[key] = found.get(key, Fraction(0)) + share
    return found


def fits(traits: Sequence[Trait], animal: Animal, wanted: Mapping[Trait, Appearance]) -> bool:
    shown = dict(zip(traits, looks(traits, animal), strict=True))
    return all(shown[trait] is appearance for trait, appearance in wanted.items())


def carriers(
    traits: Sequence[Trait], dams: Kinds, sires: Kinds, trait: Trait, given: Mapping[Trait, Appearance]
) -> Fraction | None:
    """P(one hidden copy | looks as given), or None if nothing looks so."""
    among = carrying = Fraction(0)
    at = list(traits).index(trait)
    for share, young in young_shares(dams, sires):
        if fits(traits, young, given):
            among += share
            if trait.dominance is Dominance.RECESSIVE and young[at].count(trait.symbol) == 1:
                carrying += share
    return carrying / among if among else None


def at_least(
    traits: Sequence[Trait], dams: Kinds, sires: Kinds, wanted: Mapping[Trait, Appearance], k: int, n: int
) -> Fraction:
    """P(k or more of a brood of n), young by young: the distribution of how many are wanted grows with each."""
    total = Fraction(0)
    for share, dam, sire in pairs(dams, sires):
        all_young = young_of(dam, sire)
        chance = Fraction(sum(fits(traits, young, wanted) for young in all_young), len(all_young))
        so_far = {0: Fraction(1)}
        for _ in range(n):
            grown: dict[int, Fraction] = {}
            for number, probability in so_far.items():
                grown[number] = grown.get(number, Fraction(0)) + probability * (1 - chance)
                grown[number + 1] = grown.get(number + 1, Fraction(0)) + probability * chance
            so_far = grown
        total += share * sum(probability for number, probability in so_far.items() if number >= k)
    return total


def parts_given(
    traits: Sequence[Trait], dams: Kinds, sires: Kinds, counts: Mapping[Looks, int]
) -> dict[tuple[Animal, Animal], Fraction]:
    """P(pair | the brood): Bayes' theorem over pairs, the young multiplied one by one. Empty if impossible."""
    found: dict[tuple[Animal, Animal], Fraction] = {}
    for share, dam, sire in pairs(dams, sires):
        all_young = young_of(dam, sire)
        likelihood = share
        for key, count in counts.items():
            chance = Fraction(sum(looks(traits, young) == key for young in all_young), len(all_young))
            for _ in range(count):
                likelihood *= chance
        found[dam, sire] = found.get((dam, sire), Fraction(0)) + likelihood
    total = sum(found.values())
    return {pair: weight / total for pair, weight in found.items() if weight} if total else {}


# ---- any way of inheritance: chromosome by chromosome

Strand = tuple[str | None, dict[str, str]]
"""One chromosome: its letter, if it is a sex chromosome, and the allele at each locus by the locus's name."""

Body = dict[str, tuple[Strand, ...]]
"""An animal: for "sex", "cytoplasm" and each linkage group (by number) its one or two chromosomes."""


@dataclass(frozen=True)
class World:
    """Loci in groups with recombination by parent, and a sex system; the reference's own words for a genome.

    groups[number]: (locus names, gaps of the dam, gaps of the sire). shared: the same for X or Z. limited, cytoplasm:
    locus names.
    """

    system: SexSystem
    groups: tuple[tuple[tuple[str, ...], tuple[Fraction, ...], tuple[Fraction, ...]], ...]
    shared: tuple[tuple[str, ...], tuple[Fraction, ...], tuple[Fraction, ...]]
    limited: tuple[str, ...]
    cytoplasm: tuple[str, ...]
    daughters: Fraction | None = None
    ww_lives: bool = False


def crossed_over(
    strands: Sequence[Strand], loci: Sequence[str], gaps: Sequence[Fraction]
) -> list[tuple[Fraction, Strand]]:
    """Every gamete of two like chromosomes: every start, and a switch or none in every gap; like ones added up."""
    found: dict[tuple[str | None, tuple[tuple[str, str], ...]], Fraction] = {}
    for start in (0, 1):
        for switches in itertools.product((False, True), repeat=max(len(loci) - 1, 0)):
            share, at = Fraction(1, 2), start
            alleles = {loci[0]: strands[at][1][loci[0]]} if loci else {}
            for locus, switched, gap in zip(loci[1:], switches, gaps, strict=False):
                share *= gap if switched else 1 - gap
                at = 1 - at if switched else at
                alleles[locus] = strands[at][1][locus]
            key = (strands[start][0], tuple(alleles.items()))
            found[key] = found.get(key, Fraction(0)) + share
    return [(share, (letter, dict(alleles))) for (letter, alleles), share in found.items()]


def body_gametes(world: World, body: Body, role: Role) -> list[tuple[Fraction, dict[str, Strand]]]:
    """Every gamete of an animal, group by group, with its share."""
    found: list[tuple[Fraction, dict[str, Strand]]] = [(Fraction(1), {})]
    for name, strands in body.items():
        if name == "cytoplasm":
            options = [(Fraction(1), strands[0])] if role is Role.DAM else []
        elif len(strands) == 1:
            options = [(Fraction(1), strands[0])]
        elif name == "sex" and strands[0][0] != strands[1][0]:
            options = [(Fraction(1, 2), strand) for strand in strands]
        else:
            loci, *gaps = world.shared if name == "sex" else world.groups[int(name)]
            if name == "sex" and strands[0][0] == "W":
                loci, gaps = world.limited, [(Fraction(0),) * 9] * 2
            options = crossed_over(strands, loci, gaps[0 if role is Role.DAM else 1])
        if options:
            found = [(one * share, {**gamete, name: strand}) for one, gamete in found for share, strand in options]
    return found


def sexes_of(world: World, young: Body, dam: Body) -> list[tuple[Fraction, Sex | None]]:
    """Which sex a young is, by its chromosomes or by the share of daughters; nothing if it cannot live."""
    if world.system in (SexSystem.UNKNOWN, SexSystem.HAPLODIPLOID):
        if world.daughters is None:
            return [(Fraction(1), None)]
        return [(world.daughters, Sex.FEMALE), (1 - world.daughters, Sex.MALE)]
    letters = "".join(sorted(str(strand[0]) for strand in young["sex"]))
    if letters == "WW" and not world.ww_lives:
        return []
    if letters == "ZZ" and "".join(str(strand[0]) for strand in dam["sex"]) == "ZZ":
        assert world.daughters is not None
        return [(world.daughters, Sex.FEMALE), (1 - world.daughters, Sex.MALE)]
    return [(Fraction(1), Sex.FEMALE if letters in ("XX", "WW", "WZ") else Sex.MALE)]


def bodies_of(world: World, dam: Body, sire: Body | None) -> Iterator[tuple[Fraction, Sex | None, Body]]:
    """Every young of a pair at conception: share, sex, body."""
    if world.system is SexSystem.THELYTOKOUS:
        yield Fraction(1), Sex.FEMALE, dam
        return
    assert sire is not None
    for egg_share, egg in body_gametes(world, dam, Role.DAM):
        for sperm_share, sperm in body_gametes(world, sire, Role.SIRE):
            both: Body = {name: (egg[name], *([sperm[name]] if name in sperm else [])) for name in egg}
            for sex_share, sex in sexes_of(world, both, dam):
                young = both
                if world.system is SexSystem.HAPLODIPLOID and sex is Sex.MALE:
                    young = {name: (egg[name],) for name in egg}
                if sex_share:
                    yield egg_share * sperm_share * sex_share, sex, young


def alleles_at(body: Body, locus: str) -> tuple[str, ...]:
    """The alleles an animal has at a locus, none to two."""
    return tuple(strand[1][locus] for strands in body.values() for strand in strands if locus in strand[1])


def looks_and_lives(
    characters: Sequence[Character], body: Body, sex: Sex | None
) -> list[tuple[Fraction, tuple[str, ...]]]:
    """How a young can look, class by class with its chance, times how well it lives."""
    found = [(Fraction(1), ())]
    for one in characters:
        rows = [alleles_at(body, locus.name) for locus in one.loci]
        whole = tuple(
            tuple(sorted(pair * 2 if len(pair) == 1 else pair or ("+", "+"), key=locus.alleles.index))
            for locus, pair in zip(one.loci, rows, strict=True)
        )
        male = sex is Sex.MALE
        chances = (one.looks_of_males if male and one.looks_of_males is not None else one.looks)[whole]
        lives = one.lives_of_males if male and one.lives_of_males is not None else one.lives
        survival = Fraction(1) if lives is None else Fraction(lives[whole])
        found = [
            (share * survival * Fraction(chance), (*seen, label))
            for share, seen in found
            for label, chance in zip(one.labels, chances, strict=True)
            if chance
        ]
    return found


Brood = list[tuple[Fraction, Sex | None, tuple[str, ...], Body]]
"""Every kind of living young of one pairing with its share among those that live."""


def family_of(world: World, characters: Sequence[Character], dam: Body, sire: Body | None) -> Brood:
    """The living young of one pair; their shares, of all that were conceived, need not add up to 1."""
    return [
        (conceived * lived, sex, look, body)
        for conceived, sex, body in bodies_of(world, dam, sire)
        for lived, look in looks_and_lives(characters, body, sex)
        if conceived * lived
    ]


def brood_of_families(families: Sequence[tuple[Fraction, Brood]]) -> Brood:
    """The young of a dam whose mates sire these shares of what she conceives; empty if none can live."""
    found = [(share * part, sex, look, body) for share, family in families if share for part, sex, look, body in family]
    living = sum((one[0] for one in found), Fraction(0))
    return [(share / living, sex, look, body) for share, sex, look, body in found]


def brood_of(world: World, characters: Sequence[Character], dam: Body, sire: Body | None) -> Brood:
    """The young of one pair; empty if none can live."""
    return brood_of_families([(Fraction(1), family_of(world, characters, dam, sire))])


def k_of_n(chance: Fraction, k: int, n: int) -> Fraction:
    """P(k or more of n), young by young."""
    so_far = {0: Fraction(1)}
    for _ in range(n):
        grown: dict[int, Fraction] = {}
        for number, probability in so_far.items():
            grown[number] = grown.get(number, Fraction(0)) + probability * (1 - chance)
            grown[number + 1] = grown.get(number + 1, Fraction(0)) + probability * chance
        so_far = grown
    return sum((probability for number, probability in so_far.items() if number >= k), Fraction(0))
