"""Random models of inheritance with parents of them, for hypothesis: the engine's words and the reference's beside them."""

from dataclasses import dataclass, replace
from fractions import Fraction

from hypothesis import strategies as st

from genetics import Dominance, Genotype, Parent, Trait
from genetics.characters import Character, character
from genetics.genome import Genome, SexSystem
from genetics.groups import groups_of
from genetics.interactions import Interaction, acting_together, table
from genetics.loci import LinkageGroup, Locus, Role, Sex, Where
from genetics.parents import block_of
from tests.support.enumeration import Body, World

HALF = Fraction(1, 2)
RATES = st.sampled_from([Fraction(0), Fraction(1, 10), Fraction(1, 4), Fraction(2, 7), HALF])
CHANCES = st.sampled_from([Fraction(0), Fraction(1, 5), Fraction(7, 10), Fraction(1)])
LIVES = st.sampled_from([Fraction(0), Fraction(1, 2), Fraction(3, 5), Fraction(1)])


Kinds = tuple[tuple[Fraction, tuple[Genotype, ...], Body], ...]


@dataclass(frozen=True)
class Case:
    """A question in both words: parents as weighted kinds, genotype by genotype for the engine, bodies for the reference.

    apart: groups are independent of each other in both parents, and the engine is told so.
    """

    genome: Genome
    world: World
    characters: tuple[Character, ...]
    dams: Kinds
    sires: Kinds
    apart: bool

    def dam(self) -> Parent:
        return self._told(self.dams, Role.DAM)

    def sire(self) -> Parent | None:
        return None if self.genome.system is SexSystem.THELYTOKOUS else self._told(self.sires, Role.SIRE)

    def _told(self, kinds: Kinds, role: Role) -> Parent:
        known = Parent.weighted(self.characters, [(share, kind) for share, kind, _ in kinds], self.genome, role)
        if not self.apart:
            return known
        blocks = []
        for at in range(len(known.groups)):
            found: dict[tuple[Genotype, ...], Fraction] = {}
            for share, kind, _ in kinds:
                found[kind[at],] = found.get((kind[at],), Fraction(0)) + share
            blocks.append(block_of((at,), found, True))
        return replace(known, blocks=tuple(blocks))

    def pairs(self) -> list[tuple[Fraction, Body, Body | None]]:
        if self.genome.system is SexSystem.THELYTOKOUS:
            return [(share, body, None) for share, _, body in self.dams]
        return [(one * other, dam, sire) for one, _, dam in self.dams for other, _, sire in self.sires]


@dataclass(frozen=True)
class _Loci:
    linked: tuple[Locus, ...]
    loose: tuple[Locus, ...]
    shared: tuple[Locus, ...]
    limited: tuple[Locus, ...]
    cytoplasm: tuple[Locus, ...]

    @property
    def all(self) -> tuple[Locus, ...]:
        return (*self.linked, *self.loose, *self.shared, *self.limited, *self.cytoplasm)


@st.composite
def _loci(draw: st.DrawFn, system: SexSystem) -> _Loci:
    def some(prefix: str, where: Where, most: int) -> tuple[Locus, ...]:
        count = draw(st.integers(0, most))
        return tuple(Locus(f"{prefix}{at}", ("+", f"{prefix}{at}"), where) for at in range(count))

    series = Locus("s", ("+", "s1", "s2"), order=("s1", "+", "s2"))
    sexual = system.letters is not None
    linked = some("a", Where.AUTOSOME, 3)
    loose = draw(st.sampled_from([(), (series,), (Locus("b", ("+", "b")),)]))
    shared = some("z", Where.SHARED, 2) if sexual else ()
    limited = some("w", Where.LIMITED, 1) if sexual and system is not SexSystem.X0 else ()
    cytoplasm = some("c", Where.CYTOPLASM, 1)
    found = _Loci(linked, loose, shared, limited, cytoplasm)
    return found if found.all else _Loci((Locus("a0", ("+", "a0")),), (), (), (), ())


@st.composite
def _characters(draw: st.DrawFn, loci: tuple[Locus, ...]) -> tuple[Character, ...]:
    found: list[Character] = []
    for locus in draw(st.permutations(loci)):
        if len(found) == 3:
            break
        dominance = draw(st.sampled_from(Dominance))
        if locus.order:
            dominance = Dominance.DOMINANT
        one = character(Trait(locus.name, locus.alleles[1], dominance, locus))
        two_alleles = [each for each in loci if len(each.alleles) == 2 and each is not locus]
        if two_alleles and not locus.order and draw(st.booleans()):
            other = draw(st.sampled_from(two_alleles))
            pair = [Trait(each.name, each.alleles[1], Dominance.RECESSIVE, each) for each in (locus, other)]
            kind = draw(st.sampled_from(Interaction))
            one = acting_together(f"{locus.name} with {other.name}", kind, pair[0], pair[1], "uvw"[: kind.classes])
        elif draw(st.integers(0, 4)) == 0:
            odd = f"{locus.alleles[1]}/{locus.alleles[1]}"
            one = table(locus.name, [locus], "pq", {odd: {"p": HALF, "q": HALF}}, otherwise="p")
        found.append(draw(_modified(one)))
    return tuple(found)


@st.composite
def _modified(draw: st.DrawFn, one: Character) -> Character:
    if draw(st.integers(0, 2)) == 0:
        one = one.with_phenocopies(draw(CHANCES)).with_penetrance(draw(CHANCES))
    if draw(st.integers(0, 3)) == 0:
        one = one.limited_to(draw(st.sampled_from(Sex)))
    if draw(st.integers(0, 2)) == 0:
        worst = "; ".join(f"{locus.alleles[1]}/*" for locus in one.loci)
        one = one.with_viability({worst: draw(LIVES)}, draw(st.sampled_from([None, *Sex])))
    return one


@st.composite
def cases(draw: st.DrawFn, systems: tuple[SexSystem, ...] = tuple(SexSystem)) -> Case:
    """Up to eight loci of every kind in one sex system, one to three characters of them, uncertain parents."""
    system = draw(st.sampled_from(systems))
    loci = draw(_loci(system))
    characters = draw(_characters(loci.all))
    gaps = {
        (kind, role): tuple(draw(RATES) for _ in range(max(len(members) - 1, 0)))
        for kind, members in (("linked", loci.linked), ("shared", loci.shared))
        for role in Role
    }
    groups = tuple(
        LinkageGroup(members, gaps[kind, Role.DAM], gaps[kind, Role.SIRE])
        for kind, members in (("linked", loci.linked), ("shared", loci.shared))
        if members
    )
    daughters = draw(st.sampled_from([HALF, Fraction(4, 5), Fraction(1)]))
    ww_lives = draw(st.booleans())
    genome = Genome(groups, system, daughters, ww_lives)
    world = World(
        system,
        (
            (_names(loci.linked), gaps["linked", Role.DAM], gaps["linked", Role.SIRE]),
            *((_names([one]), (), ()) for one in loci.loose),
        ),
        (_names(loci.shared), gaps["shared", Role.DAM], gaps["shared", Role.SIRE]),
        _names(loci.limited),
        _names(loci.cytoplasm),
        daughters,
        ww_lives,
    )
    apart = draw(st.booleans())
    dams = draw(_kinds(genome, loci, characters, Role.DAM, apart))
    sires = draw(_kinds(genome, loci, characters, Role.SIRE, apart))
    return Case(genome, world, characters, dams, sires, apart)


def _names(loci: tuple[Locus, ...] | list[Locus]) -> tuple[str, ...]:
    return tuple(locus.name for locus in loci)


@st.composite
def _kinds(
    draw: st.DrawFn, genome: Genome, loci: _Loci, characters: tuple[Character, ...], role: Role, apart: bool
) -> Kinds:
    """One or two kinds of animal; `apart`: an animal that may differ in each of two groups, independently."""
    first = draw(_bodies(genome, loci, role))
    weight = Fraction(draw(st.integers(1, 3)), 4)
    if not apart:
        second = draw(st.sampled_from([first, draw(_bodies(genome, loci, role))]))
        told = [(weight, first), (1 - weight, second)] if second != first else [(Fraction(1), first)]
    else:
        other = draw(_bodies(genome, loci, role))
        told = [(Fraction(1), first)]
        for name in draw(st.permutations(sorted(first)))[:2]:
            told = [
                (share * chance, {**body, name: strands})
                for share, body in told
                for chance, strands in ((weight, first[name]), (1 - weight, other[name]))
            ]
    return tuple((share, genotypes_of(genome, characters, body), body) for share, body in told)


@st.composite
def _bodies(draw: st.DrawFn, genome: Genome, loci: _Loci, role: Role) -> Body:
    def filled(members: tuple[Locus, ...], letter: str | None = None) -> tuple[str | None, dict[str, str]]:
        return letter, {one.name: draw(st.sampled_from(one.alleles)) for one in members}

    sets = 1 if genome.system is SexSystem.HAPLODIPLOID and role is Role.SIRE else 2
    body: Body = {"0": tuple(filled(loci.linked) for _ in range(sets))}
    for number, one in enumerate(loci.loose, 1):
        body[str(number)] = tuple(filled((one,)) for _ in range(sets))
    if loci.cytoplasm:
        body["cytoplasm"] = (filled(loci.cytoplasm),)
    usual = genome.karyotype(role)
    if usual is not None:
        choices = [usual]
        if genome.system is SexSystem.ZZ_ZW:
            choices += [("Z", "Z"), ("W", "W")] if role is Role.DAM else [("Z", "W")]
        letters = draw(st.sampled_from(choices))
        body["sex"] = tuple(filled(loci.shared if letter in "XZ" else loci.limited, letter) for letter in letters)
    return body


def genotypes_of(genome: Genome, characters: tuple[Character, ...], body: Body) -> tuple[Genotype, ...]:
    """The engine's genotypes of an animal in the groups that the characters make."""
    found = []
    for group in groups_of((locus for one in characters for locus in one.loci), genome):
        name = {Where.CYTOPLASM: "cytoplasm", Where.SHARED: "sex"}.get(group.kind)
        if name is None:
            name = next(key for key, strands in body.items() if group.loci[0].name in strands[0][1])
        halves = [
            group.homologue(letter, [alleles[locus.name] for locus in group.loci if locus.name in alleles])
            for letter, alleles in body[name]
        ]
        found.append(Genotype(halves[0], halves[1] if len(halves) > 1 else ()))
    return tuple(found)
