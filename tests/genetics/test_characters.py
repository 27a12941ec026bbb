"""How genotypes show: in one sex, sometimes, late, not at all; alleles and loci together."""

from fractions import Fraction

import pytest

from genetics import (
    Appearance,
    CrossFault,
    CrossRefused,
    Dominance,
    NeverHappens,
    Parent,
    Side,
    State,
    Stated,
    Trait,
    offspring,
    parent,
)
from genetics.characters import character
from genetics.genome import Genome, SexSystem
from genetics.interactions import Interaction, acting_together, series, table
from genetics.loci import Locus, Role, Sex, Where
from tests.support.typed_crosses import EMBER, FROST, KITE, ZETA, linked, shares, young_of

HALF = Fraction(1, 2)
WILD, FULL = Appearance.WILD, Appearance.FULL


# ---- shown in one sex, shown sometimes, shown late, not lived


def test_shown_in_one_sex_is_not_sex_linkage() -> None:
    """Trait dam × free sire: trait daughters and no trait sons mean limited to females and dominant, never Z-linked."""
    birds = Genome(system=SexSystem.ZZ_ZW)
    dark = Trait("dark", "d", Dominance.DOMINANT)
    limited = character(dark).limited_to(Sex.FEMALE)
    dam = parent(Side((Stated(dark, State.HOMOZYGOUS),)), [limited], birds, Role.DAM)
    free = parent(Side(), [limited], birds, Role.SIRE)
    f1 = offspring(dam, free, [limited])
    assert (shares(f1, Sex.FEMALE), shares(f1, Sex.MALE)) == ({(FULL,): 1}, {(WILD,): 1})
    z_linked = Trait("zdark", "zd", Dominance.DOMINANT, Where.SHARED)
    mother = parent(Side((Stated(z_linked, State.HOMOZYGOUS),)), [z_linked], birds, Role.DAM)
    sons = offspring(mother, parent(Side(), [z_linked], birds, Role.SIRE), [z_linked])
    assert (shares(sons, Sex.FEMALE), shares(sons, Sex.MALE)) == ({(WILD,): 1}, {(FULL,): 1})


def test_f1_son_by_trait_dam_tells_z_linked_from_female_limited() -> None:
    """Recessive: Z-linked shows in half of sons and daughters, female-limited in half of daughters and no son."""
    birds = Genome(system=SexSystem.ZZ_ZW)
    z_linked = young_of("Z^z/W x Z^+/Z^z", birds, ZETA)
    assert (shares(z_linked, Sex.FEMALE)[FULL,], shares(z_linked, Sex.MALE)[FULL,]) == (HALF, HALF)
    limited = character(EMBER).limited_to(Sex.FEMALE)
    dam = parent(Side((Stated(EMBER, State.VISUAL),)), [limited], birds, Role.DAM)
    son = parent(Side((Stated(EMBER, State.HET),)), [limited], birds, Role.SIRE)
    young = offspring(dam, son, [limited])
    assert (shares(young, Sex.FEMALE)[FULL,], shares(young, Sex.MALE)) == (HALF, {(WILD,): 1})


def test_a_female_limited_recessive_is_an_eighth_of_unsexed_f2() -> None:
    for genome in (Genome(system=SexSystem.XX_XY), Genome(daughters=HALF)):
        limited = character(EMBER).limited_to(Sex.FEMALE)
        het = Side((Stated(EMBER, State.HET),))
        f2 = offspring(parent(het, [limited], genome, Role.DAM), parent(het, [limited], genome, Role.SIRE), [limited])
        assert f2.share({limited: FULL}) == Fraction(1, 8)


def test_at_penetrance_seven_tenths_wild_looking_young_of_hets_are_61_percent_het_and_9_percent_hidden() -> None:
    shown = character(EMBER).with_penetrance(Fraction(7, 10))
    het = Parent.of([EMBER], [(1, (1,))])
    young = offspring(het, het, [shown])
    copies = young.copies(EMBER, {shown: WILD})
    assert copies == {0: Fraction(10, 33), 1: Fraction(20, 33), 2: Fraction(3, 33)}
    assert (f"{float(copies[1]):.2f}", f"{float(copies[2]):.2f}") == ("0.61", "0.09")
    assert young.carriers(EMBER) == Fraction(20, 33)
    kept = young.one({shown: WILD})
    assert (kept.carries(EMBER, 1), kept.carries(EMBER, 2)) == (Fraction(20, 33), Fraction(1, 11))
    backcross = offspring(kept, Parent.of([EMBER], [(1, (2,))]), [shown])
    assert backcross.share({shown: FULL}) == (Fraction(20, 33) * HALF + Fraction(1, 11)) * Fraction(7, 10)


def test_phenocopies_show_without_the_allele() -> None:
    shown = character(EMBER).with_phenocopies(Fraction(1, 20)).with_penetrance({FULL: Fraction(4, 5)})
    wild, visual = (Parent.of([EMBER], [(1, (copies,))]) for copies in (0, 2))
    assert offspring(wild, wild, [shown]).share({shown: FULL}) == Fraction(1, 20) * Fraction(4, 5)
    assert offspring(visual, visual, [shown]).share({shown: FULL}) == Fraction(4, 5)


def test_floats_in_a_table_or_a_viability_make_shares_inexact_and_still_whole() -> None:
    het = Parent.of([EMBER], [(1, (1,))])
    spotted = table("spotted", [EMBER.locus], ["no", "yes"], {"e/e": {"no": 0.1, "yes": 0.9}}, otherwise="no")
    weak = character(EMBER).with_viability({"e/e": 0.85})
    for one, share in ((spotted, 0.9 / 4), (weak, 0.85 / 3.85)):
        young = offspring(het, het, [one])
        assert not young.exact
        assert abs(float(young.classes()[-1].share) - share) < 1e-12
        assert sum(each.share for each in young.classes()) == 1


def test_what_cannot_be_read_yet_is_one_class() -> None:
    late = character(EMBER).readable_from(8)
    het = Parent.of([EMBER], [(1, (1,))])
    assert [one.looks for one in offspring(het, het, [late.at_week(7)]).classes()] == [("too young to read",)]
    assert offspring(het, het, [late.at_week(8)]).ratio() == (3, 1)


def test_a_lethal_homozygote_makes_three_to_one_two_to_one() -> None:
    yellow = Trait("yellow", "yl", Dominance.DOMINANT)
    lethal = character(yellow).with_viability({"yl/yl": 0})
    het = Parent.of([yellow], [(1, (1,))])
    young = offspring(het, het, [lethal])
    assert young.ratio() == (1, 2)
    assert [str(one) for one in young.genotypes(lethal)] == ["+/+", "+/yl"]
    homozygous = Parent.of([yellow], [(1, (2,))])
    with pytest.raises(NeverHappens):
        offspring(homozygous, homozygous, [lethal]).classes()


def test_lost_males_shift_the_sex_ratio_and_each_brood_is_a_whole_of_its_survivors() -> None:
    genome = Genome(system=SexSystem.XX_XY)
    weak = character(ZETA).with_viability({"z/z": HALF}, Sex.MALE)
    dam, sire = (
        parent(Side((Stated(ZETA, State.HET),)), [weak], genome, Role.DAM),
        parent(Side(), [weak], genome, Role.SIRE),
    )
    young = offspring(dam, sire, [weak])
    assert young.share_of(Sex.MALE) == Fraction(3, 7)
    assert shares(young, Sex.MALE) == {(WILD,): Fraction(2, 3), (FULL,): Fraction(1, 3)}


# ---- alleles and loci together


def test_a_series_follows_its_dominance_order() -> None:
    shade = Locus("shade", ("+", "s", "sp"), order=("+", "s", "sp"))
    look = series("shade", shade, {"s": "sand", "sp": "pale"})
    sand, pale = (Trait(name, symbol, Dominance.RECESSIVE, shade) for name, symbol in (("sand", "s"), ("pale", "sp")))
    dam = parent(Side((Stated(sand, State.HET), Stated(pale, State.HET))), [look])
    sire = parent(Side((Stated(pale, State.HET),)), [look])
    young = offspring(dam, sire, [look])
    assert shares(young) == {("wild",): HALF, ("sand",): Fraction(1, 4), ("pale",): Fraction(1, 4)}
    assert offspring(dam, sire, [pale]).share({pale: FULL}) == Fraction(1, 4)
    with pytest.raises(CrossRefused) as caught:
        parent(Side((Stated(sand, State.VISUAL), Stated(pale, State.HET))), [look])
    assert caught.value.fault is CrossFault.TOO_MANY_COPIES


@pytest.mark.parametrize("kind", Interaction)
@pytest.mark.parametrize("dominance", [Dominance.RECESSIVE, Dominance.DOMINANT])
def test_two_double_hets_give_the_ratio_that_an_interaction_is_named_for(
    kind: Interaction, dominance: Dominance
) -> None:
    first, second = (Trait(name, name[0], dominance) for name in ("brown", "pale"))
    coat = acting_together("coat", kind, first, second, "uvw"[: kind.classes])
    het = Parent.of([first, second], [(1, (1, 1))])
    assert offspring(het, het, [coat]).ratio() == tuple(map(int, kind.split(":")))


def test_an_interaction_of_linked_loci_knows_its_phase() -> None:
    genome = linked(Fraction(1, 10))
    coat = acting_together("coat", Interaction.COMPLEMENTARY, EMBER, FROST, ["dark", "pale"])
    coupling, repulsion = (young_of(f"{dam} x {dam}", genome, coat) for dam in ("+ +/e f", "+ f/e +"))
    theta = Fraction(81, 100)
    assert coupling.share({coat: "dark"}) == (2 + theta) / 4
    assert repulsion.share({coat: "dark"}) == (2 + Fraction(1, 100)) / 4


def test_any_table_of_a_keeper_is_taken_at_its_word() -> None:
    odd = table(
        "odd",
        [EMBER.locus, FROST.locus],
        ["plain", "spotted"],
        {"e/e; +/*": {"spotted": Fraction(1, 3), "plain": Fraction(2, 3)}, "+/e; f/f": "spotted"},
        otherwise="plain",
    )
    het = Parent.of([EMBER, FROST], [(1, (1, 1))])
    expected = Fraction(1, 4) * Fraction(3, 4) / 3 + HALF * Fraction(1, 4)
    assert offspring(het, het, [odd]).share({odd: "spotted"}) == expected


def test_groups_tied_by_a_character_keep_their_places_when_all_is_multiplied_out() -> None:
    """Ember and kite act together, frost stands between them: what the pair is said to be stays in the order asked."""
    coat = acting_together("coat", Interaction.COMPLEMENTARY, EMBER, KITE, ["dark", "pale"])
    asked = [EMBER, FROST, coat]
    traits = [EMBER, FROST, KITE]
    states = (State.HET, State.VISUAL, State.HET)
    dam = parent(Side(tuple(map(Stated, traits, states))), asked)
    sire = parent(Side((Stated(EMBER, State.POSSIBLE_HET, HALF), Stated(KITE, State.HET))), asked)
    young = offspring(dam, sire, asked)
    (part,) = young.given({(FULL, WILD, "pale"): 1}).parts
    assert [str(one) for one in part.dam] == ["+/e", "f/f", "+/k"]
    assert [str(one) for one in part.sire] == ["+/e", "+/+", "+/k"]
    assert young.share({coat: "pale", FROST: WILD}) == HALF * Fraction(7, 16) + HALF * Fraction(1, 4)
