"""Linkage, sex chromosomes and the other ways of inheritance, as textbooks have them."""

import math
import pickle
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genetics import (
    Appearance,
    CrossFault,
    CrossRefused,
    Dominance,
    Genotype,
    Side,
    State,
    Stated,
    Trait,
    cost,
    offspring,
    parent,
    read_cross,
)
from genetics.characters import character
from genetics.genome import Genome, SexSystem
from genetics.loci import LinkageGroup, Role, Sex, Where, composed, haldane, kosambi
from genetics.sides import Spelled
from tests.support.typed_crosses import EMBER, FROST, KITE, WICK, ZETA, linked, shares, young_of

HALF = Fraction(1, 2)
WILD, FULL = Appearance.WILD, Appearance.FULL


# ---- linkage


@pytest.mark.parametrize("n", [1, 3, 7, 15])
def test_a_gametic_series_gives_punnetts_f2(n: int) -> None:
    """Gametes n:1:1:n from both parents in coupling: 3n² + 4n + 2 : 2n + 1 : 2n + 1 : n² of (2n + 2)²."""
    genome = linked(Fraction(1, n + 1))
    f2 = young_of("+ +/e f x + +/e f", genome)
    whole = (2 * n + 2) ** 2
    assert [one.share for one in f2.classes()] == [
        Fraction(count, whole) for count in (3 * n * n + 4 * n + 2, 2 * n + 1, 2 * n + 1, n * n)
    ]
    assert young_of("+ +/e f x e f/e f", genome).ratio() == ((n, 1, 1, n) if n > 1 else (1, 1, 1, 1))
    assert young_of("+ f/e + x e f/e f", genome).ratio() == ((1, n, n, 1) if n > 1 else (1, 1, 1, 1))


def test_a_sex_that_does_not_recombine_passes_its_homologues_whole() -> None:
    genome = linked(Fraction(1, 4), sire=0)
    assert young_of("+ +/e f x e f/e f", genome).ratio() == (3, 1, 1, 3)
    assert young_of("e f/e f x + +/e f", genome).ratio() == (1, 1)
    assert young_of("+ f/e + x + f/e +", genome).share({EMBER: FULL, FROST: FULL}) == 0


def test_an_unknown_phase_is_averaged_over_and_said_but_one_brood_has_one_phase() -> None:
    young = young_of("het ember, het frost x e f/e f", linked(Fraction(1, 10)))
    assert young.phase_unknown == ("ember", "frost")
    assert young.ratio() == (1, 1, 1, 1)
    parental, crossed = Fraction(9, 20), Fraction(1, 20)
    both = {EMBER: FULL, FROST: FULL}
    assert young.at_least(1, 4, both) == 1 - HALF * (1 - parental) ** 4 - HALF * (1 - crossed) ** 4
    after = young.given({(FULL, FULL): 2, (WILD, WILD): 1})
    assert [str(part.dam[0]) for part in after.parts if part.share > HALF] == ["+ +/e f"]
    assert young_of("+ +/e f x e f/e f", linked(Fraction(1, 10))).phase_unknown == ()


@given(*[st.fractions(0, HALF, max_denominator=50)] * 2)
def test_outer_loci_recombine_as_the_gaps_compose(one: Fraction, other: Fraction) -> None:
    """r13 = r12 + r23 − 2·r12·r23 without interference; the middle locus need not be asked for."""
    genome = linked(one, other)
    whole = young_of("+ + +/e f k x e f k/e f k", genome)
    outer = offspring(whole.dam, whole.sire, [EMBER, KITE])
    r = one + other - 2 * one * other
    assert composed([one, other]) == r
    assert outer.share({EMBER: FULL, KITE: WILD}) == r / 2
    assert whole.share({EMBER: FULL, KITE: WILD}) == r / 2


@given(st.floats(0, 3), st.floats(0, 3))
def test_haldanes_distances_add_where_fractions_compose(one: float, other: float) -> None:
    together = haldane(one) + haldane(other) - 2 * haldane(one) * haldane(other)
    assert math.isclose(together, haldane(one + other), abs_tol=1e-12)
    assert haldane(one) <= kosambi(one) + 1e-15 <= 0.5 + 1e-15


def test_a_distance_makes_shares_inexact_but_right_to_twelve_places() -> None:
    young = young_of("+ +/e f x e f/e f", linked(haldane(0.2)))
    assert not young.exact
    assert abs(float(young.share({EMBER: FULL, FROST: FULL})) - (1 + math.exp(-0.4)) / 4) < 1e-12
    assert sum(one.share for one in young.classes()) == 1
    slow = 1 - (1 - (1 + math.exp(-0.4)) / 4) ** 50
    assert abs(float(young.at_least(1, 50, {EMBER: FULL, FROST: FULL})) - slow) < 1e-12


def test_reading_a_map_from_its_other_end_changes_nothing() -> None:
    there = young_of("+ f +/e + k x e f k/e f k", linked(Fraction(1, 10), Fraction(1, 4)))
    back = Genome((LinkageGroup((KITE.locus, FROST.locus, EMBER.locus), (Fraction(1, 4), Fraction(1, 10))),))
    again = young_of("+ f +/k + e x k f e/k f e", back, EMBER, FROST, KITE)
    assert shares(there) == shares(again)


def test_genotypes_of_one_linked_locus_are_told_alone() -> None:
    young = young_of("+ f/e + x e f/e f", linked(Fraction(1, 10)))
    assert {str(one): one.share for one in young.genotypes(EMBER)} == {"+/e": HALF, "e/e": HALF}
    assert len(young.genotypes()) == 4


def test_eight_linked_loci_are_answered_jointly() -> None:
    traits = [Trait(f"trait {at}", f"t{at}", Dominance.RECESSIVE) for at in range(8)]
    loci = tuple(trait.locus for trait in traits)
    genome = Genome((LinkageGroup(loci, Fraction(1, 10), Fraction(1, 20)),))
    side = Side((Spelled(loci, Genotype(("+",) * 8, tuple(trait.symbol for trait in traits))),))
    het = parent(side, traits, genome)
    assert cost(het, het, traits).classes == 256
    young = offspring(het, het, traits)
    assert len(young.classes()) == 256
    all_of_them = Fraction(9, 10) ** 7 * Fraction(19, 20) ** 7 / 4
    assert young.share(dict.fromkeys(traits, FULL)) == all_of_them
    assert sum(one.share for one in young.classes()) == 1


# ---- sex chromosomes


def test_the_white_eye_of_the_fly() -> None:
    """Morgan 1910: white male × red female gives red young, whose young are red daughters and half white sons."""
    flies = Genome(system=SexSystem.XX_XY)
    f1 = young_of("wild x X^z/Y", flies, ZETA)
    assert shares(f1) == {(WILD,): 1}
    f2 = offspring(f1.one({}, Sex.FEMALE), f1.one({}, Sex.MALE), [ZETA])
    assert shares(f2) == {(WILD,): Fraction(3, 4), (FULL,): Fraction(1, 4)}
    assert shares(f2, Sex.FEMALE) == {(WILD,): 1}
    assert shares(f2, Sex.MALE) == {(WILD,): HALF, (FULL,): HALF}
    criss_cross = young_of("X^z/X^z x wild", flies, ZETA)
    assert (shares(criss_cross, Sex.FEMALE), shares(criss_cross, Sex.MALE)) == ({(WILD,): 1}, {(FULL,): 1})


def test_z_linkage_is_the_mirror_image() -> None:
    birds = Genome(system=SexSystem.ZZ_ZW)
    young = young_of("wild x Z^z/Z^z", birds, ZETA)
    assert (shares(young, Sex.FEMALE), shares(young, Sex.MALE)) == ({(FULL,): 1}, {(WILD,): 1})
    assert [str(one) for one in young.genotypes(ZETA)] == ["Z^+/Z^z", "Z^z/W"]
    assert young.carriers(ZETA, sex=Sex.MALE) == 1
    assert young.carriers(ZETA, {}, Sex.FEMALE) == 0
    assert young.share({ZETA: FULL}, Sex.FEMALE) == HALF


def test_along_the_z_only_the_cock_recombines_and_by_his_own_fraction() -> None:
    yolk = Trait("yolk", "y", Dominance.RECESSIVE, Where.SHARED)
    group = LinkageGroup((ZETA.locus, yolk.locus), Fraction(1, 3), Fraction(1, 10))
    genome = Genome((group,), SexSystem.ZZ_ZW)
    cross = read_cross("Z^z y/W x Z^+ +/Z^z y", [ZETA, yolk], genome=genome)
    dam, sire = (
        parent(side, cross.traits, genome, role) for side, role in ((cross.dam, Role.DAM), (cross.sire, Role.SIRE))
    )
    young = offspring(dam, sire, cross.traits)
    assert young.ratio(Sex.FEMALE) == young.ratio(Sex.MALE) == (9, 1, 1, 9)


def test_what_only_one_sex_carries_goes_from_mother_to_daughters() -> None:
    young = young_of("Z/W^w x wild", Genome(system=SexSystem.ZZ_ZW), WICK)
    assert (shares(young, Sex.FEMALE), shares(young, Sex.MALE)) == ({(FULL,): 1}, {(WILD,): 1})


def test_a_male_without_a_y_is_like_one_with_an_empty_y() -> None:
    without, empty = (young_of("X^+/X^z x wild", Genome(system=one), ZETA) for one in (SexSystem.X0, SexSystem.XX_XY))
    assert without.classes(Sex.MALE) == empty.classes(Sex.MALE)
    assert [str(one) for one in without.genotypes(ZETA, sex=Sex.MALE)] == ["X^+/0", "X^z/0"]


def test_a_feminised_mother_has_no_w_and_the_stated_share_of_daughters() -> None:
    genome = Genome(system=SexSystem.ZZ_ZW, daughters=Fraction(4, 5))
    young = young_of("Z^+/Z^z x Z^z/Z^z", genome, ZETA)
    assert young.share_of(Sex.FEMALE) == Fraction(4, 5)
    assert [str(one) for one in young.genotypes(ZETA)] == ["Z^+/Z^z", "Z^z/Z^z"]
    assert shares(young, Sex.FEMALE) == shares(young, Sex.MALE) == {(WILD,): HALF, (FULL,): HALF}
    with pytest.raises(CrossRefused) as caught:
        young_of("Z^+/Z^z x wild", Genome(system=SexSystem.ZZ_ZW), ZETA).classes()
    assert caught.value.fault is CrossFault.SHARE_UNKNOWN


def test_ww_mothers_have_daughters_only_and_ww_young_live_only_where_they_can() -> None:
    genome = Genome(system=SexSystem.ZZ_ZW)
    assert young_of("W/W x wild", genome, ZETA).share_of(Sex.FEMALE) == 1
    dead, alive = (
        young_of("Z/W x Z/W", Genome(system=SexSystem.ZZ_ZW, ww_lives=lives), ZETA) for lives in (False, True)
    )
    assert dead.share_of(Sex.FEMALE) == Fraction(2, 3)
    assert alive.share_of(Sex.FEMALE) == Fraction(3, 4)


def test_sons_of_a_haplodiploid_mother_have_no_father() -> None:
    bees = Genome(system=SexSystem.HAPLODIPLOID)
    young = young_of("het ember x e/-", bees)
    assert shares(young, Sex.MALE) == shares(young, Sex.FEMALE) == {(WILD,): HALF, (FULL,): HALF}
    assert shares(young_of("wild x e/-", bees), Sex.MALE) == {(WILD,): 1}
    assert young_of("wild x e/-", bees).carriers(EMBER, sex=Sex.FEMALE) == 1
    with pytest.raises(CrossRefused) as caught:
        young.share({EMBER: FULL})
    assert caught.value.fault is CrossFault.SHARE_UNKNOWN


def test_a_clone_is_its_mother() -> None:
    genome = Genome((LinkageGroup((EMBER.locus, FROST.locus), Fraction(1, 10)),), SexSystem.THELYTOKOUS)
    young = young_of("+ f/e + x wild", genome, EMBER, FROST)
    assert [str(one) for one in young.genotypes()] == ["+ f/e +"]
    assert young.sexes == (Sex.FEMALE,)
    with pytest.raises(CrossRefused) as caught:
        young.classes(Sex.MALE)
    assert caught.value.fault is CrossFault.CLONAL_MALE


def test_the_cytoplasm_comes_from_the_dam() -> None:
    cyto = Trait("cyto", "cy", Dominance.RECESSIVE, Where.CYTOPLASM)
    carrying, without = (parent(Side((Stated(cyto, state),)), [cyto]) for state in (State.VISUAL, State.WILD))
    assert shares(offspring(carrying, without, [cyto])) == {(FULL,): 1}
    assert shares(offspring(without, carrying, [cyto])) == {(WILD,): 1}


def test_a_cross_goes_to_another_process_and_back() -> None:
    genome = Genome((LinkageGroup((EMBER.locus, FROST.locus), Fraction(1, 10)),), SexSystem.ZZ_ZW)
    young = young_of("+ f/e + x e f/e f", genome, character(EMBER).with_penetrance(Fraction(4, 5)), FROST, ZETA)
    before = young.classes(Sex.FEMALE)
    again = pickle.loads(pickle.dumps(young))  # noqa: S301 - its own pickle
    assert again.classes(Sex.FEMALE) == before
    assert again.given({before[0].looks: 2}).parts == young.given({before[0].looks: 2}).parts
