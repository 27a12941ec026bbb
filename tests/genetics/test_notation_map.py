"""Gene notation of linked loci, sex chromosomes, haploid males and the cytoplasm, both ways."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genetics import (
    CrossText,
    Dominance,
    NotationError,
    Problem,
    Side,
    State,
    Stated,
    Trait,
    parent,
    read_cross,
    read_side,
    write_cross,
    write_genes,
)
from genetics.genome import Genome, SexSystem
from genetics.genotypes import Genotype
from genetics.loci import LinkageGroup, Locus, Role, Where
from genetics.sides import Spelled

EMBER, FROST, KITE = (Trait(name, name[0], Dominance.RECESSIVE) for name in ("ember", "frost", "kite"))
ZETA, YOLK = (Trait(name, name[0], Dominance.RECESSIVE, Where.SHARED) for name in ("zeta", "yolk"))
WICK = Trait("wick", "w", Dominance.DOMINANT, Where.LIMITED)
CYTO = Trait("cyto", "cy", Dominance.RECESSIVE, Where.CYTOPLASM)
SHADE = Locus("shade", ("+", "s", "sp"), order=("+", "s", "sp"))
SAND, PALE = (Trait(name, symbol, Dominance.RECESSIVE, SHADE) for name, symbol in (("sand", "s"), ("pale", "sp")))
TRAITS = (EMBER, FROST, KITE, ZETA, YOLK, WICK, CYTO, SAND, PALE)


def genome(system: SexSystem) -> Genome:
    autosome = LinkageGroup((EMBER.locus, FROST.locus, KITE.locus), Fraction(1, 10))
    return Genome((autosome, LinkageGroup((ZETA.locus, YOLK.locus), Fraction(1, 5))), system)


ZW, XY, X0, HAPLODIPLOID = (
    genome(system) for system in (SexSystem.ZZ_ZW, SexSystem.XX_XY, SexSystem.X0, SexSystem.HAPLODIPLOID)
)


def read(text: str, of: Genome = ZW) -> CrossText:
    return read_cross(text, TRAITS, genome=of)


@pytest.mark.parametrize(
    ("text", "of", "written"),
    [
        ("+ f/e + x e f/e f", ZW, "+ f/e + x e f/e f"),
        ("+ f +/e + k x wild", ZW, "+ f +/e + k x wild"),
        ("Z^z/W x Z^+/Z^+", ZW, "Z^z/W x Z/Z"),
        ("W/Z^z x Z^+/Z^z", ZW, "Z^z/W x Z^+/Z^z"),
        ("Z^z y/W^w x Z^+ +/Z^z +", ZW, "Z^z y/W^w x Z^+ +/Z^z +"),
        ("Z^+ + / W x Z^z/Z^z; +/e", ZW, "Z^+ +/W x Z^z/Z^z, het ember"),
        ("Z/W^w x wild", ZW, "Z/W^w x wild"),
        ("Z^z/Z^z x Z/Z", ZW, "Z^z/Z^z x Z/Z"),
        ("s/sp x sp/sp", ZW, "het sand, het pale x visual pale"),
        ("[cy] x wild", ZW, "[cy] x wild"),
        ("[+]; +/e x wild", ZW, "[+], het ember x wild"),
        ("+ +/+ + x wild", ZW, "wild x wild"),
        ("X/X x X/Y^w", XY, "X/X x X/Y^w"),
        ("X^+ y/X^z + x X^z y/Y^w", XY, "X^+ y/X^z + x X^z y/Y^w"),
        ("X^z/X^z x X^+/0", X0, "X^z/X^z x X/0"),
        ("+ +/e f x e f/-", HAPLODIPLOID, "+ +/e f x e f/-"),
        ("wild x +/-", HAPLODIPLOID, "wild x wild"),
        ("wild x e/-; s/-", HAPLODIPLOID, "wild x e/-, s/-"),
    ],
)
def test_genes_on_the_map_are_read_and_written_back(text: str, of: Genome, written: str) -> None:
    cross = read(text, of)
    assert write_cross(cross) == written
    assert read(written, of) == cross


def test_phase_is_what_the_space_says() -> None:
    coupling, repulsion = read("+ +/e f x + f/e +").dam, read("+ +/e f x + f/e +").sire
    assert coupling != repulsion
    assert [len(parent(one, [EMBER, FROST], ZW, Role.DAM).kinds) for one in (coupling, repulsion)] == [1, 1]
    unknown = parent(read_side("+/e; +/f", TRAITS, genome=ZW), [EMBER, FROST], ZW, Role.DAM)
    assert [str(share) for share, _ in unknown.kinds] == ["1/2", "1/2"]
    assert unknown.phase_unknown == ("ember", "frost")


def test_a_cross_names_the_traits_that_are_spelled() -> None:
    assert read("+ f/e + x Z^z/Z^+; het kite").traits == (EMBER, FROST, ZETA, KITE)


@pytest.mark.parametrize(
    ("text", "of", "problem", "found", "suggestion"),
    [
        ("f e/+ + x wild", ZW, Problem.MAP_ORDER, "f", "e f/+ + x wild"),
        ("Z^y z/Z^+ + x wild", ZW, Problem.MAP_ORDER, "y", None),
        ("Z^z/Y x wild", ZW, Problem.CHROMOSOME, "Z^z/Y", None),
        ("Z^e/W x wild", ZW, Problem.CHROMOSOME, "e", None),
        ("Z^q/W x wild", ZW, Problem.UNKNOWN_ALLELE, "q", None),
        ("Z^z/W x wild", Genome(), Problem.CHROMOSOME, "Z^z", None),
        ("[z] x wild", ZW, Problem.CHROMOSOME, "[z]", None),
        ("[cy x wild", ZW, Problem.UNBALANCED, "[cy", None),
        ("Z^z x wild", ZW, Problem.UNBALANCED, "Z^z", None),
        ("Z^z/ x wild", ZW, Problem.UNBALANCED, "/", None),
        ("Z^z y/Z^z x wild", ZW, Problem.UNBALANCED, "Z^z y/Z^z", None),
        ("Z^z + +/W x wild", ZW, Problem.UNBALANCED, "z + +", None),
        ("Z^z/Z^y x wild", ZW, Problem.TWO_LOCI, "y", None),
        ("X^z/Y^w w x wild", XY, Problem.UNKNOWN_TRAIT, "w", None),
        ("s/sp (2/3) x wild", ZW, Problem.FIGURE_WITHOUT_HET, "(", None),
        ("e +/f + x wild", ZW, Problem.TWO_LOCI, "e", None),
        ("e +/+ + x wild", ZW, Problem.UNBALANCED, "e +/+ +", None),
        ("e e/+ + x wild", ZW, Problem.UNBALANCED, "e e/+ +", None),
        ("f + e/+ + + x wild", ZW, Problem.MAP_ORDER, "f", None),
        ("Z^z/W; Z^z/W x wild", ZW, Problem.STATED_TWICE, "Z^z/W", "Z^z/W x wild"),
        ("+ +/e f; het ember x wild", ZW, Problem.CONTRADICTION, "het ember", None),
        ("e/s x wild", ZW, Problem.TWO_LOCI, "e/s", None),
        ("+ f/e + (2/3) x wild", ZW, Problem.FIGURE_WITHOUT_HET, "(2/3)", None),
        ("+ +/e q x wild", ZW, Problem.UNKNOWN_ALLELE, "q", None),
        ("+ +/e s x wild", ZW, Problem.UNLINKED, "+ +/e s", "+/e; +/s x wild"),
        ("+ +/e f x wild", Genome(), Problem.UNLINKED, "+ +/e f", "+/e; +/f x wild"),
    ],
)
def test_what_cannot_be_is_pointed_at(
    text: str, of: Genome, problem: Problem, found: str, suggestion: str | None
) -> None:
    with pytest.raises(NotationError) as caught:
        read(text, of)
    assert (caught.value.problem, caught.value.found, caught.value.suggestion) == (problem, found, suggestion)


@pytest.mark.parametrize(
    ("text", "of", "role", "written"),
    [
        ("visual zeta", ZW, Role.DAM, "Z^z/W"),
        ("het zeta", ZW, Role.SIRE, "Z^+/Z^z"),
        ("visual zeta", XY, Role.SIRE, "X^z/Y"),
        ("visual zeta", X0, Role.SIRE, "X^z/0"),
        ("visual ember", HAPLODIPLOID, Role.SIRE, "e/-"),
        ("visual cyto", ZW, Role.DAM, "[cy]"),
        ("66% het zeta", ZW, Role.SIRE, "+/z (2/3) or +/+"),
        ("het ember", ZW, Role.DAM, "+/e"),
        ("66% het ember", ZW, Role.DAM, "+/e (2/3) or +/+"),
        ("het sand, het pale", ZW, Role.DAM, "s/sp"),
        ("+ f/e +", ZW, Role.DAM, "+ f/e +"),
    ],
)
def test_words_are_written_in_genes_of_the_parent_they_speak_of(
    text: str, of: Genome, role: Role, written: str
) -> None:
    side = read_side(text, TRAITS, genome=of)
    assert write_genes(side, [], of, role) == written
    again = read_side(written, TRAITS, genome=of)
    asked = CrossText(side, Side()).traits
    assert parent(again, asked, of, role) == parent(side, asked, of, role)


def test_each_named_trait_has_its_pair_even_where_all_are_wild() -> None:
    assert write_genes(Side(), [EMBER, FROST]) == "+/+; +/+"
    assert write_genes(Side(), [EMBER, ZETA, YOLK], ZW, Role.DAM) == "+/+; Z^+ +/W"


def test_traits_that_are_named_are_written_first_and_spelled_ones_in_their_place() -> None:
    side = read_side("+ f/e +; het sand", TRAITS, genome=ZW)
    assert write_genes(side, [KITE, FROST], ZW, Role.DAM) == "+/+; + f/e +; +/s"


def test_a_symbol_of_two_loci_on_one_chromosome_is_of_two_meanings() -> None:
    both = [Trait(name, "q", Dominance.RECESSIVE, Where.SHARED) for name in ("quail", "quartz")]
    with pytest.raises(NotationError) as caught:
        read_side("Z^q/W", both, genome=Genome(system=SexSystem.ZZ_ZW))
    assert (caught.value.problem, caught.value.near) == (Problem.AMBIGUOUS_ALLELE, ("quail", "quartz"))


@st.composite
def spelled_sides(draw: st.DrawFn) -> Side:
    """Any genotype on the map of a Z/W species, spelled out."""
    role = draw(st.sampled_from(["ZZ", "ZW", "WW"]))
    autosome = (EMBER.locus, FROST.locus, KITE.locus)
    halves = [tuple(draw(st.sampled_from(locus.alleles)) for locus in autosome) for _ in range(2)]
    strands = []
    for letter in role:
        loci = (ZETA.locus, YOLK.locus) if letter == "Z" else (WICK.locus,)
        strands.append((letter, *(draw(st.sampled_from(locus.alleles)) for locus in loci)))
    loci_there = tuple(
        locus for locus, letter in ((ZETA.locus, "Z"), (YOLK.locus, "Z"), (WICK.locus, "W")) if letter in role
    )
    items: list[Stated | Spelled] = [Spelled(loci_there, Genotype(*strands))]
    if any(allele != "+" for half in halves for allele in half):
        items.append(Spelled(autosome, Genotype(*halves)))
    if draw(st.booleans()):
        items.append(Stated(SAND, draw(st.sampled_from([State.HET, State.VISUAL]))))
    return Side(tuple(items))


@given(spelled_sides(), spelled_sides())
def test_every_genotype_on_the_map_is_read_back(dam: Side, sire: Side) -> None:
    cross = CrossText(dam, sire)
    assert read(write_cross(cross)) == cross
    for side in (dam, sire):
        assert set(read_side(write_genes(side, []), TRAITS, genome=ZW).items) == set(side.items)


PIECES = st.sampled_from(
    [
        "Z^", "Z^z", "Z", "W", "W^w", "X", "Y", "0", "/", "+", "z", "y", "e", "f", "k", "s", "sp", "w", "^", "[", "]", "[cy]",
        "[+]", "cy", "-", "x", "×", ";", ",", "(2/3)", "het", "ember", "wild", "zeta", "66%", "visual", "q",
    ]
)  # fmt: skip


def refusal(text: str, of: Genome) -> NotationError | None:
    """The one error that reading may raise; any other fails the test."""
    try:
        read(text, of)
    except NotationError as error:
        return error
    return None


@settings(max_examples=600)
@given(
    st.lists(st.tuples(PIECES, st.sampled_from(["", " "])), max_size=12), st.sampled_from([ZW, XY, X0, HAPLODIPLOID])
)
def test_any_text_is_read_or_refused_with_a_place_in_it(pieces: list[tuple[str, str]], of: Genome) -> None:
    text = "".join(piece + gap for piece, gap in pieces)
    error = refusal(text, of)
    if error is None:
        cross = read(text, of)
        assert read(write_cross(cross), of) == cross
        return
    assert 0 <= error.position <= error.position + error.length <= len(error.text)
    for way_out in (*error.offers, *([error.suggestion] if error.suggestion is not None else [])):
        read(way_out, of)


def test_a_chance_of_a_spelled_genotype_is_offered_as_kinds_with_their_numbers() -> None:
    genome = Genome((LinkageGroup((EMBER.locus, FROST.locus), Fraction(1, 10)),))
    with pytest.raises(NotationError) as caught:
        read_cross("+ f/e + (66%) x wild", [EMBER, FROST], genome=genome)
    (offer,) = caught.value.offers
    assert offer == "2 + f/e + or 1 wild x wild"
    dam = parent(read_cross(offer, [EMBER, FROST], genome=genome).dam, [EMBER, FROST], genome, Role.DAM)
    assert dam.carries(EMBER, 1) == Fraction(2, 3)
    assert [str(share) for share, _ in dam.kinds] == ["2/3", "1/3"]
