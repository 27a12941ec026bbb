"""The table of a pair: gametes, cells, and that it says the same as the shares of classes."""

from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genetics import (
    Dominance,
    GameteTable,
    Genome,
    Genotype,
    LinkageGroup,
    Offspring,
    Parent,
    Role,
    Sex,
    SexSystem,
    Trait,
    Where,
    character,
    gamete_table,
    mixed,
    offspring,
    parent,
    read_cross,
    several,
)
from genetics.genotypes import one_locus

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.RECESSIVE)
INK = Trait("ink", "i", Dominance.INCOMPLETE)
ZETA = Trait("zeta", "z", Dominance.RECESSIVE, Where.SHARED)


def young_of(text: str, traits: list[Trait], genome: Genome | None = None) -> Offspring:
    cross = read_cross(text, traits, genome=genome)
    if genome is None:
        return offspring(parent(cross.dam, cross.traits), parent(cross.sire, cross.traits), cross.traits)
    dam, sire = (
        parent(side, cross.traits, genome, role) for side, role in ((cross.dam, Role.DAM), (cross.sire, Role.SIRE))
    )
    return offspring(dam, sire, cross.traits)


def table_of(young: Offspring) -> GameteTable:
    found = gamete_table(young)
    assert found is not None
    return found


def by_look(table: GameteTable, sex: Sex | None = None) -> dict[tuple[str, ...], Fraction]:
    found: Counter[tuple[str, ...]] = Counter()
    whole = sum((share for cell, share in table.shares() if sex in (None, cell.sex)), Fraction(0))
    for cell, share in table.shares():
        if sex in (None, cell.sex):
            found[cell.looks] += share / whole  # type: ignore[assignment]
    return dict(found)


def test_two_hets_give_the_square_of_four() -> None:
    """The table by which textbooks teach a cross, after R. C. Punnett, Mendelism (1907)."""
    table = table_of(young_of("het ember x het ember", [EMBER]))
    assert [(one.text, one.share) for one in table.dam] == [("+", Fraction(1, 2)), ("e", Fraction(1, 2))]
    assert table.sire == table.dam
    assert [[cell.genotype for cell in row] for row in table.cells] == [["+/+", "+/e"], ["+/e", "e/e"]]
    assert by_look(table) == {("wild",): Fraction(3, 4), ("full",): Fraction(1, 4)}


def test_two_double_hets_give_nine_three_three_one() -> None:
    """Mendel 1866, the second experiment with two characters: 315, 101, 108 and 32 of 556, near 9:3:3:1."""
    table = table_of(young_of("het ember, het frost x het ember, het frost", [EMBER, FROST]))
    assert [one.text for one in table.dam] == ["+; +", "+; f", "e; +", "e; f"]
    assert sorted(16 * share for share in by_look(table).values()) == [1, 3, 3, 9]


def test_a_parent_that_breeds_true_has_one_kind_of_gamete() -> None:
    table = table_of(young_of("visual ember x het ember", [EMBER]))
    assert [(one.text, one.share) for one in table.dam] == [("e", 1)]
    assert [[cell.looks for cell in row] for row in table.cells] == [[("wild",), ("full",)]]


def test_linked_loci_pass_on_by_their_recombination() -> None:
    """At 10 %, nine gametes of twenty are of each parental kind and one of twenty of each other."""
    genome = Genome((LinkageGroup((EMBER.locus, FROST.locus), Fraction(1, 10)),))
    table = table_of(young_of("+ +/e f x e f/e f", [EMBER, FROST], genome))
    assert {one.text: one.share for one in table.dam} == {
        "+ +": Fraction(9, 20),
        "+ f": Fraction(1, 20),
        "e +": Fraction(1, 20),
        "e f": Fraction(9, 20),
    }
    assert [one.text for one in table.sire] == ["e f"]


def test_complete_linkage_leaves_out_what_never_comes() -> None:
    genome = Genome((LinkageGroup((EMBER.locus, FROST.locus), Fraction(0)),))
    assert [one.text for one in table_of(young_of("+ +/e f x e f/e f", [EMBER, FROST], genome)).dam] == ["+ +", "e f"]


def test_on_sex_chromosomes_the_cells_say_the_sex() -> None:
    """Criss-cross inheritance, mirrored: a visual father, and daughters that show what their mother does not."""
    genome = Genome(system=SexSystem.ZZ_ZW)
    table = table_of(young_of("Z^+/W x Z^z/Z^z", [ZETA], genome))
    assert [one.text for one in table.dam] == ["Z^+", "W"]
    assert [[(cell.genotype, cell.sex, cell.looks) for cell in row] for row in table.cells] == [
        [("Z^+/Z^z", Sex.MALE, ("wild",))],
        [("Z^z/W", Sex.FEMALE, ("full",))],
    ]


def test_morgans_white_eye_in_the_second_generation() -> None:
    """Morgan 1910, Science 32:120: of the grandchildren all females have red eyes and half the males white ones."""
    white = Trait("white", "w", Dominance.RECESSIVE, Where.SHARED)
    table = table_of(young_of("X^+/X^w x X^+/Y", [white], Genome(system=SexSystem.XX_XY)))
    assert by_look(table, Sex.FEMALE) == {("wild",): 1}
    assert by_look(table, Sex.MALE) == {("wild",): Fraction(1, 2), ("full",): Fraction(1, 2)}


def test_chromosomes_that_carry_nothing_asked_for_are_left_out() -> None:
    genome = Genome(system=SexSystem.ZZ_ZW)
    assert [one.text for one in table_of(young_of("het ember x het ember", [EMBER], genome)).dam] == ["+", "e"]


HET = [Parent.of([EMBER], [(Fraction(1), (copies,))]) for copies in (0, 1, 2)]


@pytest.mark.parametrize(
    "young",
    [
        young_of("66% het ember x het ember", [EMBER]),
        offspring(HET[1], mixed([(1, HET[0]), (1, HET[2])]), [EMBER]),
        offspring(HET[2], several([(Fraction(1, 2), HET[0]), (Fraction(1, 2), HET[2])]), [EMBER]),
        young_of("het ember, het frost, het ink x wild", [EMBER, FROST, INK]),
    ],
    ids=["a possible het", "a mixed bin", "two males", "three loci"],
)
def test_where_one_table_is_not_the_whole_truth_there_is_none(young: Offspring) -> None:
    assert gamete_table(young) is None


def test_where_a_genotype_looks_two_ways_or_dies_there_is_none() -> None:
    for changed in (
        character(EMBER).with_penetrance(Fraction(7, 10)),
        character(EMBER).with_viability({"e/e": 0}),
        character(EMBER).limited_to(Sex.MALE),
    ):
        het = Parent.weighted([changed], [(Fraction(1), [Genotype(("+",), ("e",))])])
        assert gamete_table(offspring(het, het, [changed])) is None


def test_where_there_is_no_sire_or_males_are_haploid_there_is_none() -> None:
    clonal = Genome(system=SexSystem.THELYTOKOUS)
    dam = parent(read_cross("het ember x wild", [EMBER]).dam, [EMBER], clonal, Role.DAM)
    assert gamete_table(offspring(dam, None, [EMBER])) is None


def test_a_feminised_mother_is_not_shown_as_a_table() -> None:
    genome = Genome(system=SexSystem.ZZ_ZW, daughters=Fraction(4, 5))
    assert gamete_table(young_of("Z^+/Z^z x Z^+/Z^+", [ZETA], genome)) is None


@given(
    st.lists(st.tuples(*[st.integers(0, 2)] * 2), min_size=2, max_size=2),
    st.sampled_from([Fraction(0), Fraction(1, 10), Fraction(1, 3), Fraction(1, 2)]),
    st.booleans(),
)
def test_the_table_says_the_same_as_the_shares(copies: list[tuple[int, int]], rate: Fraction, linked: bool) -> None:
    traits = [EMBER, INK]
    genome = Genome((LinkageGroup((EMBER.locus, INK.locus), rate),) if linked else ())
    animals = []
    for ember, ink in copies:
        one, other = one_locus("e", ember), one_locus("i", ink)
        together = Genotype((*one.first, *other.first), (*one.second, *other.second))
        animals.append(Parent.weighted(traits, [(1, [together] if linked else [one, other])], genome))
    young = offspring(*animals, traits)
    table = table_of(young)
    assert sum(share for _, share in table.shares()) == 1
    assert by_look(table) == {found.looks: found.share for found in young.classes()}
    genotypes: Counter[str] = Counter()
    for cell, share in table.shares():
        genotypes[cell.genotype] += share  # type: ignore[assignment]
    assert dict(genotypes) == {str(found): found.share for found in young.genotypes()}
