"""What cannot be is refused where it is born, with the fault and the culprit."""

import math
import pickle
from collections.abc import Callable
from fractions import Fraction

import pytest

from genetics import (
    Appearance,
    CrossFault,
    CrossRefused,
    Dominance,
    Genotype,
    ModelFault,
    ModelRefused,
    OutOfRange,
    Parent,
    SharesRefused,
    Side,
    SideRefused,
    State,
    Stated,
    TooLarge,
    Trait,
    TraitMissing,
    mixed,
    offspring,
    parent,
)
from genetics.characters import Character, character
from genetics.genome import Genome, SexSystem
from genetics.groups import groups_of
from genetics.interactions import Interaction, acting_together, series, table
from genetics.loci import LinkageGroup, Locus, Role, Sex, Where, haldane
from genetics.parents import Sires, several, stored_sperm
from genetics.passing import unions
from genetics.sides import Spelled
from tests.support.typed_crosses import EMBER, FROST, KITE, WICK, ZETA, linked, young_of

E, F = EMBER.locus, FROST.locus
SHADE = Locus("shade", ("+", "s", "sp"), order=("+", "s", "sp"))
BIRDS, FLIES = Genome(system=SexSystem.ZZ_ZW), Genome(system=SexSystem.XX_XY)
HALF = Fraction(1, 2)
CYTO = Trait("cyto", "cy", Dominance.RECESSIVE, Where.CYTOPLASM)


@pytest.mark.parametrize(
    ("make", "fault", "culprit"),
    [
        (lambda: Locus("a", ("+",)), ModelFault.WILD_FIRST, "+"),
        (lambda: Locus("a", ("a", "+")), ModelFault.WILD_FIRST, "a +"),
        (lambda: Locus("a", ("+", "Z")), ModelFault.SYMBOL, "Z"),
        (lambda: Locus("a", ("+", "a", "a")), ModelFault.ALLELE_TWICE, "a"),
        (lambda: Locus("a", ("+", "a"), order=("a",)), ModelFault.ORDER, "a"),
        (lambda: Locus("a", ("+", "a"), order=("b", "+")), ModelFault.NOT_IN_SERIES, "b"),
        (lambda: SHADE.check("e"), ModelFault.NOT_IN_SERIES, "e"),
        (lambda: E.dominant("+", "e"), ModelFault.NO_ORDER, "+/e"),
        (lambda: LinkageGroup(()), ModelFault.EMPTY, ""),
        (lambda: LinkageGroup((E, E), HALF), ModelFault.LOCUS_TWICE, "ember"),
        (lambda: LinkageGroup((E, ZETA.locus), HALF), ModelFault.OTHER_CHROMOSOME, "X or Z"),
        (lambda: LinkageGroup((E, Locus("b", ("+", "e"))), HALF), ModelFault.SYMBOL_TWICE, "e"),
        (lambda: LinkageGroup((E, F), (HALF, HALF)), ModelFault.GAPS, "2"),
        (lambda: LinkageGroup((E, F), Fraction(3, 5)), ModelFault.RECOMBINATION, "3/5"),
        (lambda: LinkageGroup((E, F), HALF, 0.51), ModelFault.RECOMBINATION, "0.51"),
        (lambda: LinkageGroup((E, F), -0.1), ModelFault.RECOMBINATION, "-0.1"),
        (lambda: LinkageGroup((E, F), math.nan), ModelFault.RECOMBINATION, "nan"),
        (lambda: LinkageGroup((E, F), 0).between(E, KITE.locus, Role.DAM), ModelFault.NOT_IN_GROUP, "kite"),
        (lambda: Genome((LinkageGroup((E, F)), LinkageGroup((E,)))), ModelFault.LOCUS_TWICE, "ember"),
        (
            lambda: Genome(tuple(LinkageGroup((Locus(n, ("+", n), Where.SHARED),)) for n in "ab")),
            ModelFault.ONE_GROUP,
            "X or Z",
        ),
        (lambda: Trait("sand", "e", Dominance.RECESSIVE, SHADE), ModelFault.NOT_IN_SERIES, "e"),
        (lambda: Trait("sand", "s", Dominance.DOMINANT, SHADE), ModelFault.DOMINANCE, "dominant"),
        (
            lambda: character(Trait("q", "q", Dominance.RECESSIVE, Locus("q", ("+", "q", "r")))),
            ModelFault.NEEDS_SERIES,
            "+ q r",
        ),
        (lambda: series("s", E), ModelFault.NO_ORDER, "+ e"),
        (lambda: series("s", SHADE, {"e": "ember"}), ModelFault.NOT_IN_SERIES, "e"),
        (lambda: acting_together("c", Interaction.DUPLICATE, EMBER, FROST, "abc"), ModelFault.LABELS, "a, b, c"),
        (lambda: acting_together("c", Interaction.DUPLICATE, EMBER, EMBER, "ab"), ModelFault.LOCUS_TWICE, "ember"),
        (
            lambda: acting_together(
                "c", Interaction.DUPLICATE, EMBER, Trait("g", "g", Dominance.INCOMPLETE), ("a", "b")
            ),
            ModelFault.NEEDS_DOMINANCE,
            "incompletely dominant",
        ),
        (lambda: table("t", [E], "ab", {"e/e": "a"}), ModelFault.TABLE_GAP, "+/+"),
        (lambda: table("t", [E], "ab", {"e/e": "a", "e/*": "b"}, "a"), ModelFault.TABLE_TWICE, "e/e"),
        (lambda: table("t", [E], "ab", {"e/e": "c"}, "a"), ModelFault.LABEL_UNKNOWN, "c"),
        (lambda: table("t", [E], "ab", {}, "c"), ModelFault.LABEL_UNKNOWN, "c"),
        (lambda: table("t", [E], "ab", {"q/q": "a"}, "a"), ModelFault.NOT_IN_SERIES, "q"),
        (lambda: table("t", [E], "ab", {"e/e; +/+": "a"}, "a"), ModelFault.TABLE_GAP, "e/e; +/+"),
        (lambda: table("t", [E], "ab", {"e/e": {"a": HALF}}, "a"), ModelFault.TABLE_SUM, "e/e"),
        (lambda: table("t", [E, E], "ab", {}, "a"), ModelFault.LOCUS_TWICE, "ember"),
        (lambda: Character("t", (E,), (), {}), ModelFault.LABELS, ""),
        (lambda: Character("t", (), ("a",), {}), ModelFault.EMPTY, ""),
        (lambda: character(EMBER).readable_from(-1), ModelFault.AGE, "-1"),
        (lambda: character(EMBER).with_penetrance({"partial": 1}), ModelFault.LABEL_UNKNOWN, "partial"),
        (
            lambda: parent(Side(), [EMBER, series("s", Locus("ember", ("+", "e", "x1"), order=("+", "e", "x1")))]),
            ModelFault.CONTRADICTION,
            "+ e x1",
        ),
        (
            lambda: parent(Side(), [EMBER], Genome((LinkageGroup((Locus("ember", ("+", "e", "x1")),)),))),
            ModelFault.CONTRADICTION,
            "+ e",
        ),
    ],
)
def test_a_model_that_cannot_be(make: Callable[[], object], fault: ModelFault, culprit: str) -> None:
    with pytest.raises(ModelRefused) as caught:
        make()
    assert (caught.value.fault, caught.value.culprit) == (fault, culprit)


@pytest.mark.parametrize(
    "make",
    [
        lambda: character(EMBER).with_penetrance(Fraction(6, 5)),
        lambda: character(EMBER).with_penetrance(-0.1),
        lambda: character(EMBER).with_penetrance(math.nan),
        lambda: character(EMBER).with_phenocopies(2),
        lambda: character(EMBER).with_viability({"e/e": -1}),
        lambda: haldane(-1),
        lambda: haldane(math.inf),
        lambda: Genome(daughters=Fraction(3, 2)),
        lambda: young_of("het ember x wild", Genome()).at_least(1, 3, {EMBER: Appearance.FULL}, dams=0),
    ],
)
def test_a_figure_outside_what_it_can_be(make: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange):
        make()


HET_ZETA = Side((Stated(ZETA, State.HET),))


@pytest.mark.parametrize(
    ("make", "fault"),
    [
        (lambda: parent(HET_ZETA, [ZETA], Genome(), Role.DAM), CrossFault.SEX_UNKNOWN),
        (lambda: parent(HET_ZETA, [ZETA], BIRDS, Role.DAM), CrossFault.ONE_COPY),
        (lambda: parent(HET_ZETA, [ZETA], FLIES, Role.SIRE), CrossFault.ONE_COPY),
        (lambda: parent(HET_ZETA, [ZETA], BIRDS), CrossFault.ROLE_MISSING),
        (
            lambda: parent(HET_ZETA, [ZETA], Genome(system=SexSystem.HAPLODIPLOID), Role.SIRE),
            CrossFault.NO_CHROMOSOME,
        ),
        (lambda: parent(Side(), [WICK], Genome(system=SexSystem.X0), Role.DAM), CrossFault.NO_CHROMOSOME),
        (
            lambda: parent(Side((Stated(WICK, State.HOMOZYGOUS),)), [WICK], BIRDS, Role.SIRE),
            CrossFault.NOT_CARRIED,
        ),
        (
            lambda: parent(
                Side((Stated(EMBER, State.HET),)), [EMBER], Genome(system=SexSystem.HAPLODIPLOID), Role.SIRE
            ),
            CrossFault.ONE_COPY,
        ),
        (
            lambda: parent(Side(), [EMBER], Genome(system=SexSystem.THELYTOKOUS), Role.SIRE),
            CrossFault.CLONAL_MALE,
        ),
        (
            lambda: offspring(
                parent(Side(), [EMBER], Genome(system=SexSystem.THELYTOKOUS)), parent(Side(), [EMBER]), [EMBER]
            ),
            CrossFault.CLONAL_MALE,
        ),
        (lambda: offspring(parent(Side(), [EMBER]), None, [EMBER]), CrossFault.SIRE_MISSING),
        (
            lambda: offspring(parent(Side(), [EMBER], BIRDS, Role.DAM), parent(Side(), [EMBER]), [EMBER]),
            CrossFault.OTHER_GENOME,
        ),
        (
            lambda: offspring(*[parent(Side(), [EMBER], BIRDS, role) for role in (Role.SIRE, Role.DAM)], [EMBER]),
            CrossFault.WRONG_ROLE,
        ),
        (
            lambda: offspring(*[parent(Side(), [EMBER], BIRDS, Role.DAM)] * 2, [EMBER]),
            CrossFault.WRONG_ROLE,
        ),
        (
            lambda: parent(Side((Spelled((), Genotype(("Z",), ("Z",))),)), [EMBER], FLIES, Role.DAM),
            CrossFault.SHAPE,
        ),
        (
            lambda: parent(Side((Spelled((), Genotype(("X",), ("Y",))),)), [EMBER], FLIES, Role.DAM),
            CrossFault.KARYOTYPE,
        ),
        (lambda: parent(Side(), [EMBER], BIRDS, Role.SIRE, ("W", "W")), CrossFault.KARYOTYPE),
        (
            lambda: Parent.weighted([EMBER], [(1, [Genotype(("q",), ("+",))])]),
            CrossFault.SHAPE,
        ),
        (lambda: Parent.weighted([EMBER], [(1, [Genotype(("e",), ())])]), CrossFault.SHAPE),
        (lambda: mixed([(1, parent(Side(), [EMBER])), (1, parent(Side(), [FROST]))]), CrossFault.OTHER_GENOME),
        (lambda: parent(Side(), [EMBER], Genome(system=SexSystem.HAPLODIPLOID)), CrossFault.ROLE_MISSING),
        (
            lambda: parent(Side((Spelled((E, F), Genotype(("+", "f"), ("e", "+"))),)), [EMBER, FROST]),
            CrossFault.SHAPE,
        ),
        (lambda: parent(Side((Spelled((E,), Genotype(("+", "f"), ("e", "+"))),)), [EMBER]), CrossFault.SHAPE),
        (
            lambda: Parent.weighted(
                [EMBER], [(1, [Genotype(("e",), ("e",))])], Genome(system=SexSystem.HAPLODIPLOID), Role.SIRE
            ),
            CrossFault.ONE_COPY,
        ),
        (lambda: Parent.weighted([CYTO], [(1, [Genotype(("[]", "cy"), ("[]", "cy"))])]), CrossFault.ONE_COPY),
        (lambda: Parent.weighted([CYTO], [(1, [Genotype(("cy", "+"), ())])]), CrossFault.SHAPE),
        (lambda: Parent.weighted([ZETA], [(1, [Genotype(("Z", "z"), ())])], BIRDS, Role.DAM), CrossFault.KARYOTYPE),
        (
            lambda: Parent.weighted([ZETA], [(1, [Genotype(("Z", "z"), ("W",))])], BIRDS),
            CrossFault.ROLE_MISSING,
        ),
        (
            lambda: unions(groups_of([E], Genome())[0], Genome(), Genotype(("e",), ("e",)), None),
            CrossFault.SIRE_MISSING,
        ),
        (
            lambda: offspring(parent(Side(), [EMBER], Genome(system=SexSystem.THELYTOKOUS)), None, [EMBER]).sire,
            CrossFault.CLONAL_MALE,
        ),
        (lambda: young_of("het ember x wild", Genome()).classes(Sex.FEMALE), CrossFault.NO_SEXES),
        (lambda: BIRDS.require_passed(ZETA.locus, Role.DAM, Sex.FEMALE), CrossFault.NOT_PASSED),
        (lambda: FLIES.require_passed(WICK.locus, Role.SIRE, Sex.FEMALE), CrossFault.NOT_PASSED),
        (lambda: FLIES.require_passed(ZETA.locus, Role.SIRE, Sex.MALE), CrossFault.NOT_PASSED),
        (
            lambda: Genome(system=SexSystem.HAPLODIPLOID).require_passed(E, Role.SIRE, Sex.MALE),
            CrossFault.NOT_PASSED,
        ),
        (
            lambda: Genome(system=SexSystem.THELYTOKOUS).require_passed(E, Role.DAM, Sex.MALE),
            CrossFault.NOT_PASSED,
        ),
        (lambda: young_of("wild x Z^z/Z^z", BIRDS, ZETA).one({}), CrossFault.ROLE_MISSING),
        (
            lambda: young_of("het ember x wild", Genome(), character(EMBER).limited_to(Sex.MALE)).classes(),
            CrossFault.SHARE_UNKNOWN,
        ),
    ],
)
def test_a_cross_that_this_way_of_inheritance_does_not_allow(make: Callable[[], object], fault: CrossFault) -> None:
    with pytest.raises(CrossRefused) as caught:
        make()
    assert caught.value.fault is fault
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - its own pickle


@pytest.mark.parametrize(
    "make",
    [
        lambda: mixed([]),
        lambda: mixed([(0, parent(Side(), [EMBER]))]),
        lambda: several([(HALF, parent(Side(), [EMBER]))]),
        lambda: several([(0.5, parent(Side(), [EMBER])), (0.6, parent(Side(), [EMBER]))]),
        lambda: stored_sperm(parent(Side(), [EMBER]), parent(Side(), [EMBER]), Fraction(3, 2)),
        lambda: stored_sperm(parent(Side(), [EMBER]), parent(Side(), [EMBER]), [(HALF, 0)]),
        lambda: Sires((parent(Side(), [EMBER]),), ((1, (HALF, HALF)),)),
        lambda: Parent.weighted([EMBER], [(0.5, [Genotype(("+",), ("+",))])]),
        lambda: Parent.weighted([EMBER], [(1, [])]),
    ],
)
def test_shares_that_are_none(make: Callable[[], object]) -> None:
    with pytest.raises(SharesRefused):
        make()


def test_what_would_be_too_much_is_refused_with_what_would_fit() -> None:
    traits = [Trait(f"trait {at}", f"t{at}", Dominance.RECESSIVE) for at in range(12)]
    genome = Genome((LinkageGroup(tuple(trait.locus for trait in traits), Fraction(1, 10)),))
    het = parent(
        Side((Spelled(genome.groups[0].loci, Genotype(("+",) * 12, tuple(t.symbol for t in traits))),)), traits, genome
    )
    young = offspring(het, het, traits)
    assert len(young.classes()) == 2**12
    with pytest.raises(TooLarge) as caught:
        young.genotypes()
    assert (caught.value.cost, caught.value.fits, caught.value.unit) == (2**24, 0, "linkage groups at once")
    with pytest.raises(TooLarge, match="uncertain traits"):
        parent(Side(tuple(Stated(trait, State.POSSIBLE_HET, HALF) for trait in traits)), traits, genome)
    loose = [Trait(f"loose {at}", f"l{at}", Dominance.RECESSIVE) for at in range(7)]
    maybe = parent(
        Side(tuple(Stated(t, State.POSSIBLE_HET, Fraction(at + 2, 31)) for at, t in enumerate(loose))), loose
    )
    wanted = dict.fromkeys(loose, Appearance.WILD)
    with pytest.raises(TooLarge, match="several dams"):
        offspring(maybe, maybe, loose).at_least(1, 5, wanted, dams=100)


def test_what_a_parent_passes_to_whom() -> None:
    """A hen gives her Z to sons and her W to daughters; a cock his Z to both; the cytoplasm comes from the dam."""
    passed = [BIRDS.passes(locus, role, sex) for locus in (ZETA.locus, WICK.locus) for role in Role for sex in Sex]
    assert passed == [False, True, True, True, True, False, False, False]
    assert [FLIES.passes(CYTO.locus, role, Sex.MALE) for role in Role] == [True, False]
    BIRDS.require_passed(ZETA.locus, Role.SIRE, Sex.FEMALE)


def test_floats_that_nearly_sum_to_one_are_made_to() -> None:
    sires = several([(0.7, parent(Side(), [EMBER])), (0.2, parent(Side(), [EMBER])), (0.1, parent(Side(), [EMBER]))])
    assert not sires.exact
    assert sum(sires.shares[0][1]) == 1


def test_two_items_of_a_side_must_not_speak_of_one_locus() -> None:
    spelled = Spelled((E, F), Genotype(("+", "f"), ("e", "+")))
    for other in (Stated(EMBER, State.HET), spelled):
        with pytest.raises(SideRefused):
            Side((spelled, other))
    with pytest.raises(SideRefused):
        Side((Spelled((), Genotype(("Z",), ("W",))), Spelled((), Genotype(("Z",), ("Z",)))))


def test_a_spelled_locus_must_be_asked_for() -> None:
    side = Side((Spelled((E, F), Genotype(("+", "f"), ("e", "+"))),))
    with pytest.raises(TraitMissing, match="frost"):
        parent(side, [EMBER], linked(HALF))


def test_an_unknown_sex_system_answers_for_autosomes_exactly() -> None:
    """Two linked autosomal traits need no sex system; a Z-linked one beside them is refused with the reason."""
    assert young_of("+ +/e f x e f/e f", linked(Fraction(1, 10))).ratio() == (9, 1, 1, 9)
    with pytest.raises(CrossRefused, match="zeta: how this species makes its sexes is not known"):
        young_of("het ember x wild", Genome(), EMBER, ZETA)
