"""P(records | explanation) by brute force: every animal by itself, every gamete, every mother and father, in plain loops.

Slow and obviously right; shares nothing with `genetics.evidence` but the records. One figure for each parameter. Alleles
are 0 (wild) and 1; a genotype is a tuple of loci, a locus a sorted tuple of alleles, one allele for a sex that has one
chromosome of it.
"""

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

from genetics.evidence.programme import UNCOUNTED, Brood, Dam, Founders, Kept, Mated, Pairing, Programme, Sharing
from genetics.loci import Sex
from genetics.traits import Appearance

Genotype = tuple[tuple[int, ...], ...]
Chances = dict[Genotype, float]


@dataclass(frozen=True)
class World:
    """One explanation with one figure for each parameter. shows(genotype, sex): meant to show. single: the sex with one chromosome.
    hides: whether one copy can hide."""

    shows: Callable[[Genotype, Sex], bool]
    loci: int = 1
    single: Sex | None = None
    hides: bool = True
    penetrance: float = 0.8
    phenocopies: float = 0.01
    survival: float = 0.7
    misread: float = 0.02
    spoilt: float = 0.03
    home: float = 0.1
    away: float = 0.02
    two_copies: float = 1.0
    stored: tuple[tuple[float, float], ...] = ((0.0, 0.6), (0.3, 0.4))
    unknown: tuple[tuple[float, float], ...] = ((0.0, 0.8), (0.3, 0.2))

    def shown(self, genotype: Genotype, sex: Sex) -> float:
        return self.penetrance if self.shows(genotype, sex) else self.phenocopies

    def lives(self, genotype: Genotype) -> float:
        return self.two_copies if (1, 1) in genotype else 1.0

    def stock(self, frequency: float, sex: Sex) -> Chances:
        found: Chances = {}
        copies = 1 if sex is self.single else 2
        for alleles in itertools.product((0, 1), repeat=copies * self.loci):
            genotype = tuple(tuple(sorted(alleles[i * copies : (i + 1) * copies])) for i in range(self.loci))
            chance = math.prod(frequency if allele else 1 - frequency for allele in alleles) * self.lives(genotype)
            found[genotype] = found.get(genotype, 0.0) + chance
        return normal(found)

    def young(self, dam: Genotype, sire: Genotype, sex: Sex) -> Chances:
        """Genotypes of a young of that sex, early deaths not yet taken out."""
        return _young(self, dam, sire, sex)

    def crossed(self, dam: Genotype, sire: Genotype, sex: Sex) -> Chances:
        found: Chances = {}
        for mine in itertools.product(*(self.gametes(locus, Sex.FEMALE, sex) for locus in dam)):
            for yours in itertools.product(*(self.gametes(locus, Sex.MALE, sex) for locus in sire)):
                genotype = tuple(tuple(sorted((*a, *b))) for (a, _), (b, _) in zip(mine, yours, strict=True))
                chance = math.prod(p for _, p in mine) * math.prod(p for _, p in yours)
                found[genotype] = found.get(genotype, 0.0) + chance
        return found

    def gametes(self, locus: tuple[int, ...], parent: Sex, young: Sex) -> list[tuple[tuple[int, ...], float]]:
        if self.single is None or parent is not self.single:
            return [((allele,), 1 / len(locus)) for allele in locus]
        # The sex with one X gives it to young of the other sex, and its Y to those of its own.
        return [((), 1.0)] if young is self.single else [((locus[0],), 1.0)]

    def scored(self, genotype: Genotype, sex: Sex, look: Appearance) -> float:
        """Weight of living and being scored so; WILD or FULL."""
        shown = self.shown(genotype, sex)
        alive, plain = shown * self.survival, 1 - shown
        if look is Appearance.FULL:
            return alive * (1 - self.misread) + plain * self.misread
        return alive * self.misread + plain * (1 - self.misread)

    def real(self, genotype: Genotype, sex: Sex) -> float:
        return self.penetrance * self.survival * (1 - self.misread) if self.shows(genotype, sex) else 0.0

    def looked(self, genotype: Genotype, sex: Sex, look: Appearance) -> float:
        shown = self.shown(genotype, sex)
        seen = shown * (1 - self.misread) + (1 - shown) * self.misread
        return seen if look is Appearance.FULL else 1 - seen


@cache
def _young(world: World, dam: Genotype, sire: Genotype, sex: Sex) -> Chances:
    return world.crossed(dam, sire, sex)


@cache
def _couple(world: World, dam: Genotype, sire: Genotype, sex: Sex) -> tuple[float, float, float]:
    """Weights of young scored as showing, scored as wild, and really showing."""
    full = wild = real = 0.0
    for genotype, chance in world.young(dam, sire, sex).items():
        alive = chance * world.lives(genotype)
        full += alive * world.scored(genotype, sex, Appearance.FULL)
        wild += alive * world.scored(genotype, sex, Appearance.WILD)
        real += alive * world.real(genotype, sex)
    return full, wild, real


def normal(chances: Chances) -> Chances:
    total = sum(chances.values())
    return {genotype: chance / total for genotype, chance in chances.items() if chance > 0}


Animal = tuple[str, int]
Genes = dict[Animal, Genotype]


@dataclass(frozen=True)
class Born:
    """The parents of one brood in one of the ways in which it can have come about: mixtures of (weight, dam, sire)."""

    couples: tuple[tuple[float, Genotype, Genotype], ...]


def log_evidence(programme: Programme, world: World) -> float:
    """log P(all scored young, in one order, and all looks | the odd and the found are what they are)."""
    every = total(programme, world, found_only=False)
    # Where nothing was found nothing is conditioned on: founders and young are distributions, and sum to 1.
    given = total(programme, world, found_only=True) if any(brood.found for brood in programme.broods) else 1.0
    return math.log(every / given)


def total(programme: Programme, world: World, *, found_only: bool) -> float:
    return sum(weight for weight, _ in ways(programme, world, found_only=found_only))


def posteriors(programme: Programme, world: World) -> dict[str, float]:
    """For each counted group P(a random member carries the allele | records)."""
    numbers = {group.name: group.number for group in programme.groups if group.number is not None}
    whole, carried = 0.0, dict.fromkeys(numbers, 0.0)
    for weight, genes in ways(programme, world, found_only=False):
        whole += weight
        for name, number in numbers.items():
            carriers = sum(any(1 in locus for locus in genes[name, i]) for i in range(number))
            carried[name] += weight * carriers / number
    return {name: weight / whole for name, weight in carried.items()}


def ways(programme: Programme, world: World, *, found_only: bool) -> Iterator[tuple[float, Genes]]:
    """Every way in which it can have been, with its weight."""
    steps: list[tuple[str, object]] = []
    done: set[str] = set()

    def tell(brood: Brood) -> None:
        if brood.name not in done:
            done.add(brood.name)
            steps.append(("brood", brood))

    for group in programme.eldest_first():
        if isinstance(group, Kept):
            tell(programme.brood(group.brood))
        steps.append(("group", group))
    for brood in programme.broods:
        tell(brood)
    yield from _walk(programme, world, steps, 0, {}, {}, {}, found_only)


def _walk(
    programme: Programme,
    world: World,
    steps: list[tuple[str, object]],
    at: int,
    genes: Genes,
    born: dict[str, Born],
    stored: Genes,
    found_only: bool,
) -> Iterator[tuple[float, Genes]]:
    if at == len(steps):
        yield 1.0, genes
        return
    _, step = steps[at]
    if isinstance(step, Brood):
        for chance, one, sperm in _parents(programme, world, step, genes, born, stored):
            weight = chance * told(programme, world, step, one, found_only)
            if weight:
                rest = _walk(programme, world, steps, at + 1, genes, born | {step.name: one}, sperm, found_only)
                yield from ((weight * more, held) for more, held in rest)
        return
    assert isinstance(step, Founders | Kept)
    single = _founder(world, step, found_only) if isinstance(step, Founders) else _kept(world, step, born[step.brood])
    for drawn in itertools.product(single.items(), repeat=step.number or 0):
        weight = math.prod(chance for _, chance in drawn)
        mine = {(step.name, i): genotype for i, (genotype, _) in enumerate(drawn)}
        rest = _walk(programme, world, steps, at + 1, genes | mine, born, stored, found_only)
        yield from ((weight * more, held) for more, held in rest)


def _founder(world: World, group: Founders, found_only: bool) -> Chances:
    frequency = world.home if group.stock.value == "home" else world.away
    prior = world.stock(frequency, group.sex)
    if group.odd:
        return normal({g: p for g, p in prior.items() if world.shows(g, group.sex)})
    if group.carries is not None and world.hides:
        wild = tuple((0,) * len(locus) for locus in next(iter(prior)))
        het = tuple((0,) * (len(locus) - 1) + (1,) for locus in wild)
        prior = {wild: 1 - float(group.carries), het: float(group.carries)}
    if group.look is None or found_only:
        return prior
    return {g: p * world.looked(g, group.sex, group.look) for g, p in prior.items()}


def _kept(world: World, group: Kept, born: Born) -> Chances:
    found: Chances = {}
    looks = (Appearance.WILD, Appearance.FULL) if group.look is None else (group.look,)
    for weight, dam, sire in born.couples:
        for genotype, chance in world.young(dam, sire, group.sex).items():
            alive = chance * world.lives(genotype)
            seen = sum(world.scored(genotype, group.sex, look) for look in looks)
            found[genotype] = found.get(genotype, 0.0) + weight * alive * seen
    return normal(found)


def _side(
    programme: Programme, names: list[str], genes: Genes, world: World, sex: Sex
) -> list[tuple[float, str, Genotype]]:
    """Every possible parent of a side: its weight, its group, its genotype."""
    numbers = [programme.group(name).number for name in names]
    everybody = sum(UNCOUNTED if n is None else n for n in numbers)
    found = []
    for name, number in zip(names, numbers, strict=True):
        if number is None:
            group = programme.group(name)
            assert isinstance(group, Founders)
            frequency = world.home if group.stock.value == "home" else world.away
            found += [(UNCOUNTED / everybody * p, name, g) for g, p in world.stock(frequency, sex).items()]
        else:
            found += [(1 / everybody, name, genes[name, i]) for i in range(number)]
    return found


def _parents(
    programme: Programme, world: World, brood: Brood, genes: Genes, born: dict[str, Born], stored: Genes
) -> Iterator[tuple[float, Born, Genes]]:
    pairing, dams = programme.pairing(brood.pairing), programme.mothers(brood)
    by_name = {dam.group: dam for dam in dams}
    mothers = _side(programme, [dam.group for dam in dams], genes, world, Sex.FEMALE)
    fathers = _side(programme, list(pairing.sires), genes, world, Sex.MALE)
    each_mother = pairing.mothers is Sharing.EACH
    mother_sets = [(1.0, mothers)] if each_mother else [(w, [(1.0, n, g)]) for w, n, g in mothers]
    each_father = pairing.fathers is Sharing.EACH
    father_sets = [(1.0, fathers)] if each_father else [(w, [(1.0, n, g)]) for w, n, g in fathers]
    for mother_weight, some in mother_sets:
        with_sperm = [by_name[name] for name in dict.fromkeys(n for _, n, _ in some)]
        with_sperm = [dam for dam in with_sperm if dam.mated is not Mated.ISOLATED]
        for chance, shares, sperm in _sperm(programme, world, pairing, with_sperm, genes, born, stored):
            for father_weight, others in father_sets:
                couples = []
                for w, name, dam in some:
                    share = shares.get(name, 0.0)
                    couples += [(w * (1 - share) * v, dam, sire) for v, _, sire in others]
                    if share:
                        couples.append((w * share, dam, sperm[pairing.name + name, 0]))
                yield mother_weight * father_weight * chance, Born(tuple(couples)), sperm


def _sperm(
    programme: Programme,
    world: World,
    pairing: Pairing,
    dams: list[Dam],
    genes: Genes,
    born: dict[str, Born],
    stored: Genes,
) -> Iterator[tuple[float, dict[str, float], Genes]]:
    """Shares of stored sperm of each dam for this brood, and the stored sires, drawn where not yet drawn."""
    if not dams:
        yield 1.0, {}, stored
        return
    dam, rest = dams[0], dams[1:]
    key = (pairing.name + dam.group, 0)
    sires = {stored[key]: 1.0} if key in stored else _stored_sire(programme, world, dam, genes, born)
    grid = world.stored if dam.mated is Mated.HAD_MALES else world.unknown
    for sire, chance in sires.items():
        for share, weight in grid:
            for more, shares, sperm in _sperm(programme, world, pairing, rest, genes, born, stored | {key: sire}):
                yield chance * weight * more, shares | {dam.group: share}, sperm


def _stored_sire(programme: Programme, world: World, dam: Dam, genes: Genes, born: dict[str, Born]) -> Chances:
    group = programme.group(dam.group)
    if dam.males is not None:
        found: Chances = {}
        for weight, _, genotype in _side(programme, [dam.males], genes, world, Sex.MALE):
            found[genotype] = found.get(genotype, 0.0) + weight
        return found
    if isinstance(group, Founders):
        return world.stock(world.home if group.stock.value == "home" else world.away, Sex.MALE)
    return _kept(world, Kept("brother", Sex.MALE, group.brood), born[group.brood])


def told(programme: Programme, world: World, brood: Brood, born: Born, found_only: bool) -> float:
    """P(the scored young), or for found broods P(at least one real visual among so many)."""
    if found_only and not brood.found:
        return 1.0
    seen, unreal, none = 1.0, 1.0, 1.0
    for counted in brood.seen:
        full, real = _shares(programme, world, born, counted.sex)
        shown = counted.look is Appearance.FULL
        seen *= (full if shown else 1 - full) ** counted.number
        unreal *= (full - real if shown else 1 - full) ** counted.number
        none *= (1 - real) ** counted.number
    if not brood.found:
        anything = math.factorial(brood.shown) * math.factorial(brood.scored - brood.shown)
        return (1 - world.spoilt) * seen + world.spoilt * anything / math.factorial(brood.scored + 1)
    return 1 - none if found_only else seen - unreal


def _shares(programme: Programme, world: World, born: Born, sex: Sex | None) -> tuple[float, float]:
    """P(scored as showing), and P(that, and real), of a scored young of this sex; None: not sexed."""
    if sex is None:
        daughters = float(programme.daughters)
        (a, b), (c, d) = (_shares(programme, world, born, one) for one in (Sex.FEMALE, Sex.MALE))
        return daughters * a + (1 - daughters) * c, daughters * b + (1 - daughters) * d
    parts = [(weight, _couple(world, dam, sire, sex)) for weight, dam, sire in born.couples]
    full, wild, real = (sum(weight * held[at] for weight, held in parts) for at in range(3))
    return full / (full + wild), real / (full + wild)
