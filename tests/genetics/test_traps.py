"""The traps of mixtures and broods; an independent library and chance itself as judges."""

import itertools
import json
import math
import random
from fractions import Fraction
from pathlib import Path

from genetics import (
    Appearance,
    Dominance,
    Genotype,
    Parent,
    Side,
    State,
    Stated,
    Trait,
    mixed,
    offspring,
    parent,
)
from genetics.characters import character
from genetics.genome import Genome, SexSystem
from genetics.loci import LinkageGroup, Role, Sex, Where
from genetics.parents import several, stored_sperm
from genetics.sides import Spelled
from tests.support.typed_crosses import EMBER, FROST, KITE, ZETA, linked, shares, young_of

HALF = Fraction(1, 2)
WILD, FULL = Appearance.WILD, Appearance.FULL
ORACLE = json.loads((Path(__file__).parent / "data" / "bayes_net.json").read_text())


# ---- the traps of science.md §2 and their like


def test_the_trap_of_a_mixed_bin() -> None:
    """Half e/e F/F, half +/+ f/f on both sides: no double visual, though the product of the traits would say 1/16."""
    bin_of_two = mixed([(10, Parent.of([EMBER, FROST], [(1, (2, 0))])), (10, Parent.of([EMBER, FROST], [(1, (0, 2))]))])
    young = offspring(bin_of_two, bin_of_two, [EMBER, FROST])
    assert young.share({EMBER: FULL, FROST: FULL}) == 0
    assert young.share({EMBER: FULL}) * young.share({FROST: FULL}) == Fraction(1, 16)


def test_the_trap_of_one_brood_and_the_mean_of_many() -> None:
    young = young_of("66% het ember x ember", Genome())
    wanted = {EMBER: FULL}
    assert 1 - young.at_least(1, 10, wanted) == Fraction(1, 3) + Fraction(2, 3) * HALF**10
    assert 1 - young.at_least(1, 10, wanted) != (1 - young.share(wanted)) ** 10


def test_the_trap_of_several_dams() -> None:
    """A brood found in a bin is not assumed to have one mother: with m of them the chance of none is smaller."""
    young = young_of("66% het ember x ember", Genome())
    none = [1 - young.at_least(1, 12, {EMBER: FULL}, dams=dams) for dams in (1, 2, 5)]
    assert none == sorted(none, reverse=True)
    two = [(Fraction(1, 9), 0), (Fraction(4, 9), Fraction(1, 4)), (Fraction(4, 9), HALF)]
    assert none[1] == sum(share * (1 - chance) ** 12 for share, chance in two)
    assert young.ceiling({EMBER: FULL}) == Fraction(2, 3)


def test_broods_of_known_sizes_are_each_a_draw_of_their_own() -> None:
    """P(none) is the product over dams of 1 − π + π(1 − p)^n."""
    young = young_of("66% het ember x ember", Genome())
    none = [Fraction(1, 3) + Fraction(2, 3) * HALF**n for n in (3, 5, 0)]
    assert 1 - young.at_least_in_broods(1, [3, 5, 0], {EMBER: FULL}) == none[0] * none[1] * none[2]
    assert young.at_least_in_broods(0, [], {EMBER: FULL}) == 1
    one = young.at_least_in_broods(2, [6], {EMBER: FULL})
    assert one == young.at_least(2, 6, {EMBER: FULL}) != young.at_least_in_broods(2, [3, 3], {EMBER: FULL})


def test_the_trap_of_stored_sperm() -> None:
    """Wild-looking young of visual × visual are exactly what stored wild sperm produces; three of them say nothing of loci."""
    visual, wild = (Parent.of([EMBER], [(1, (copies,))]) for copies in (2, 0))
    unsure = stored_sperm(visual, wild, [(HALF, 0), (HALF, Fraction(28, 100))])
    young = offspring(visual, unsure, [EMBER])
    assert young.share({EMBER: WILD}) == Fraction(14, 100)
    assert young.at_least(1, 8, {EMBER: WILD}) == HALF * (1 - Fraction(72, 100) ** 8)
    after = young.given({(WILD,): 1})
    assert [part.others[0][0] for part in after.parts] == [Fraction(28, 100)]


def test_young_of_one_brood_with_two_sires_are_not_one_binomial_over_unknown_sires() -> None:
    maybe = Parent.of([EMBER], [(HALF, (1,)), (HALF, (0,))])
    visual, wild = (Parent.of([EMBER], [(1, (copies,))]) for copies in (2, 0))
    young = offspring(visual, several([(Fraction(72, 100), wild), (Fraction(28, 100), maybe)]), [EMBER])
    assert young.share({EMBER: FULL}) == HALF * Fraction(14, 100)
    assert young.ceiling({EMBER: FULL}) == HALF


def test_the_trap_of_associated_phases() -> None:
    """Dams half coupling, half repulsion: the mean gamete has no linkage, but a brood of visuals of both does."""
    genome = linked(Fraction(1, 10))
    kinds = [
        parent(Side((Spelled((EMBER.locus, FROST.locus), Genotype(*pair)),)), [EMBER, FROST], genome)
        for pair in ((("+", "+"), ("e", "f")), (("+", "f"), ("e", "+")))
    ]
    dams = mixed([(1, kinds[0]), (1, kinds[1])])
    visual = parent(Side((Stated(EMBER, State.VISUAL), Stated(FROST, State.VISUAL))), [EMBER, FROST], genome)
    young = offspring(dams, visual, [EMBER, FROST])
    assert young.ratio() == (1, 1, 1, 1)
    assert (
        young.given({(FULL, FULL): 1}).share({EMBER: FULL, FROST: FULL})
        == (Fraction(9, 20) ** 2 + Fraction(1, 20) ** 2) / HALF
    )


# ---- an independent library, and chance itself


def test_a_bayesian_network_library_agrees_on_three_linked_loci() -> None:
    genome = Genome((LinkageGroup((EMBER.locus, FROST.locus, KITE.locus), (0.1, 0.2), (0.05, 0.3)),))
    traits = [EMBER, FROST, KITE]
    coupling, repulsion = Genotype(("+", "+", "+"), ("e", "f", "k")), Genotype(("+", "f", "+"), ("e", "+", "k"))
    dam = Parent.weighted(traits, [(Fraction(2, 3), [coupling]), (Fraction(1, 3), [repulsion])], genome)
    young = offspring(dam, Parent.weighted(traits, [(1, [coupling])], genome), traits)
    assert not young.exact
    for looks, share in shares(young).items():
        key = "".join(str(int(look == FULL)) for look in looks)
        assert abs(float(share) - ORACLE["linked"]["shares"][key]) < 1e-12
    after = young.given({(FULL, FULL, WILD): 1})
    of_coupling = sum(part.share for part in after.parts if part.dam[0] == coupling)
    assert abs(float(of_coupling) - ORACLE["linked"]["coupling_after_110"]) < 1e-12


def test_a_bayesian_network_library_agrees_on_sex_linkage() -> None:
    genome = Genome(system=SexSystem.ZZ_ZW)
    shown = character(ZETA).with_penetrance(0.7)
    dam = parent(Side(), [shown], genome, Role.DAM)
    sire = parent(Side((Stated(ZETA, State.POSSIBLE_HET, Fraction(2, 3)),)), [shown], genome, Role.SIRE)
    young = offspring(dam, sire, [shown])
    for key, (sex, look) in {
        "00": (Sex.MALE, WILD),
        "01": (Sex.MALE, FULL),
        "10": (Sex.FEMALE, WILD),
        "11": (Sex.FEMALE, FULL),
    }.items():
        assert abs(float(young.share({shown: look}, sex)) - ORACLE["sex_linked"]["shares"][key]) < 1e-12
    after = young.given({(WILD,): 1}, Sex.FEMALE)
    assert abs(float(after.sire.carries(ZETA, 1)) - ORACLE["sex_linked"]["het_after_wild_daughter"]) < 1e-12


def test_simulated_broods_agree_within_their_error() -> None:
    """Two linked loci on the Z, the dam with stored sperm: young drawn chromosome by chromosome, seeded."""
    other = Trait("yolk", "y", Dominance.RECESSIVE, Where.SHARED)
    genome = Genome((LinkageGroup((ZETA.locus, other.locus), Fraction(1, 5)),), SexSystem.ZZ_ZW)
    asked = [ZETA, other]
    dam = Parent.weighted(asked, [(1, [Genotype(("Z", "+", "y"), ("W",))])], genome, Role.DAM)
    mates = [
        Parent.weighted(asked, [(1, [Genotype(("Z", *one), ("Z", *two))])], genome, Role.SIRE)
        for one, two in ((("+", "+"), ("z", "y")), (("z", "+"), ("z", "y")))
    ]
    young = offspring(dam, stored_sperm(mates[0], mates[1], Fraction(28, 100)), asked)
    rng = random.Random(20240611)
    draws = 40_000
    seen: dict[tuple[Sex, bool, bool], int] = {}
    for _ in range(draws):
        strands = [("+", "+"), ("z", "y")] if rng.random() > 0.28 else [("z", "+"), ("z", "y")]
        start = rng.randrange(2)
        switched = rng.random() < 0.2
        sperm = (strands[start][0], strands[1 - start if switched else start][1])
        sex = rng.choice([Sex.FEMALE, Sex.MALE])
        egg = (None, None) if sex is Sex.FEMALE else ("+", "y")
        key = (sex, {sperm[0], egg[0]} <= {"z", None}, {sperm[1], egg[1]} <= {"y", None})
        seen[key] = seen.get(key, 0) + 1
    for sex, z, y in itertools.product(Sex, (False, True), (False, True)):
        looks = {ZETA: FULL if z else WILD, other: FULL if y else WILD}
        share = float(young.share(looks, sex))
        error = math.sqrt(share * (1 - share) / draws)
        assert abs(seen.get((sex, z, y), 0) / draws - share) <= 4 * error
