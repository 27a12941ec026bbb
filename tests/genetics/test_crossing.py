"""Crosses against Mendel, against enumeration, and against their own laws."""

import itertools
import math
from collections.abc import Mapping
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genetics import (
    Appearance,
    CrossText,
    Dominance,
    NeverHappens,
    Offspring,
    OutOfRange,
    Parent,
    Side,
    State,
    Stated,
    TooLarge,
    Trait,
    TraitClash,
    TraitMissing,
    cost,
    mixed,
    offspring,
    parent,
    read_cross,
)
from tests.support import enumeration
from tests.support.genetic_strategies import crosses, mixed_pairs, parents_of

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.INCOMPLETE)
MOON = Trait("Blue Moon", "bm", Dominance.RECESSIVE)
DARK = Trait("dark", "D", Dominance.DOMINANT)
WILD, PARTIAL, FULL = Appearance
HALF = Fraction(1, 2)

Kinds = list[tuple[Fraction, tuple[int, ...]]]
Mixed = tuple[tuple[Trait, ...], Kinds, Kinds]


def young_of(text: str) -> Offspring:
    cross = read_cross(text, (EMBER, FROST, MOON, DARK))
    return offspring(parent(cross.dam, cross.traits), parent(cross.sire, cross.traits), cross.traits)


def shares(young: Offspring) -> dict[tuple[Appearance, ...], Fraction]:
    return {one.appearance: one.share for one in young.classes()}


# ---- by example


@pytest.mark.parametrize(
    ("cross", "looks", "ratio"),
    [
        ("het ember x het ember", [(WILD,), (FULL,)], (3, 1)),
        ("het ember x ember", [(WILD,), (FULL,)], (1, 1)),
        ("ember x wild", [(WILD,)], (1,)),
        ("ember x ember", [(FULL,)], (1,)),
        ("het frost x het frost", [(WILD,), (PARTIAL,), (FULL,)], (1, 2, 1)),
        ("het dark x het dark", [(WILD,), (FULL,)], (1, 3)),
        ("homozygous dark x wild", [(FULL,)], (1,)),
        ("66% het ember x ember", [(WILD,), (FULL,)], (2, 1)),
        (
            "het ember, het blue moon x het ember, het blue moon",
            [(WILD, WILD), (WILD, FULL), (FULL, WILD), (FULL, FULL)],
            (9, 3, 3, 1),
        ),
        (
            "het ember, het blue moon x ember, blue moon",
            [(WILD, WILD), (WILD, FULL), (FULL, WILD), (FULL, FULL)],
            (1, 1, 1, 1),
        ),
    ],
)
def test_the_ratio_is_mendels(cross: str, looks: list[tuple[Appearance, ...]], ratio: tuple[int, ...]) -> None:
    young = young_of(cross)
    assert [one.appearance for one in young.classes()] == looks
    assert young.ratio() == ratio


def test_two_thirds_of_the_wild_looking_young_of_two_hets_carry() -> None:
    young = young_of("het ember x het ember")
    assert young.carriers(EMBER) == Fraction(2, 3)
    assert young.carriers(EMBER, {}) == HALF
    assert young.carriers(EMBER, {EMBER: FULL}) == 0
    assert young.carriers(EMBER, {EMBER: WILD}) == young.carriers(EMBER)


def test_nothing_is_hidden_of_a_trait_that_shows_with_one_copy() -> None:
    young = young_of("het frost, het dark x het frost, het dark")
    assert young.carriers(FROST, {FROST: PARTIAL}) == 0
    assert young.carriers(DARK, {}) == 0


def test_genotypes_are_told_in_gene_notation() -> None:
    young = young_of("het ember, homozygous frost x het ember")
    assert {str(one): one.share for one in young.genotypes()} == {
        "+/+; +/f": Fraction(1, 4),
        "+/e; +/f": HALF,
        "e/e; +/f": Fraction(1, 4),
    }
    assert [str(one) for one in young.genotypes(EMBER)] == ["+/+", "+/e", "e/e"]


def test_a_cross_without_any_trait_has_one_class() -> None:
    young = offspring(parent(Side(), []), parent(Side(), []), [])
    assert [(one.appearance, one.share) for one in young.classes()] == [((), Fraction(1))]


# ---- the traps of a mixture


def test_associated_traits_are_not_multiplied_over_the_mixture() -> None:
    """Dams and sires half e/e +/+, half +/+ f/f: no young can show both, though half × half of each would say 1/16."""
    mixed = Parent.of([EMBER, MOON], [(HALF, (2, 0)), (HALF, (0, 2))])
    young = offspring(mixed, mixed, [EMBER, MOON])
    assert young.share({EMBER: FULL}) * young.share({MOON: FULL}) == Fraction(1, 16)
    assert young.share({EMBER: FULL, MOON: FULL}) == 0
    assert (FULL, FULL) not in shares(young)
    # The trap as it is told: dams and sires half e/e F/F, half +/+ f/f, F being the wild allele.
    assert young.share({EMBER: FULL, MOON: WILD}) == Fraction(1, 4)


def test_a_class_of_one_trait_tells_of_the_carriers_of_an_associated_one() -> None:
    mixed = Parent.of([EMBER, MOON], [(HALF, (2, 0)), (HALF, (0, 2))])
    young = offspring(mixed, mixed, [EMBER, MOON])
    assert young.carriers(MOON) == Fraction(2, 3)
    assert young.carriers(MOON, {EMBER: FULL}) == 0


@pytest.mark.parametrize("n", [0, 1, 2, 5, 20])
def test_a_brood_is_a_draw_from_one_part_and_no_average(n: int) -> None:
    """P(no visual among n) from a 2/3 het × visual is 1/3 + 2/3·(1/2)^n, not (1 − 1/3)^n."""
    young = young_of("66% het ember x ember")
    none = 1 - young.at_least(1, n, {EMBER: FULL})
    assert none == Fraction(1, 3) + Fraction(2, 3) * HALF**n
    assert (none == Fraction(2, 3) ** n) == (n <= 1)


# ---- against enumeration


def enumerated(
    traits: tuple[Trait, ...], dams: Kinds, sires: Kinds
) -> tuple[enumeration.Kinds, enumeration.Kinds, Offspring]:
    dam, sire = parents_of(traits, dams, sires)
    animals = [[(share, enumeration.animal_of(traits, copies)) for share, copies in side] for side in (dams, sires)]
    return animals[0], animals[1], offspring(dam, sire, traits)


@given(mixed_pairs(max_size=3))
def test_classes_equal_the_enumeration(drawn: Mixed) -> None:
    traits, dams, sires = drawn
    slow_dams, slow_sires, young = enumerated(traits, dams, sires)
    assert shares(young) == enumeration.classes(traits, slow_dams, slow_sires)
    assert sum(one.share for one in young.classes()) == 1


@given(mixed_pairs(), st.data())
def test_carriers_equal_the_enumeration(drawn: Mixed, data: st.DataObject) -> None:
    traits, dams, sires = drawn
    slow_dams, slow_sires, young = enumerated(traits, dams, sires)
    trait = data.draw(st.sampled_from(traits))
    given_looks = data.draw(st.dictionaries(st.sampled_from(traits), st.sampled_from(Appearance)))
    slow = enumeration.carriers(traits, slow_dams, slow_sires, trait, given_looks)
    if slow is None:
        with pytest.raises(NeverHappens):
            young.carriers(trait, given_looks)
    else:
        assert young.carriers(trait, given_looks) == slow


@given(mixed_pairs(), st.data(), st.integers(0, 4), st.integers(0, 6))
def test_at_least_equals_the_enumeration(drawn: Mixed, data: st.DataObject, k: int, n: int) -> None:
    traits, dams, sires = drawn
    slow_dams, slow_sires, young = enumerated(traits, dams, sires)
    wanted = data.draw(st.dictionaries(st.sampled_from(traits), st.sampled_from(Appearance)))
    assert young.at_least(k, n, wanted) == enumeration.at_least(traits, slow_dams, slow_sires, wanted, k, n)


@given(mixed_pairs(), st.data())
def test_the_parents_after_a_brood_equal_the_enumeration(drawn: Mixed, data: st.DataObject) -> None:
    traits, dams, sires = drawn
    slow_dams, slow_sires, young = enumerated(traits, dams, sires)
    looks = st.tuples(*(st.sampled_from(Appearance) for _ in traits))
    counts = data.draw(st.dictionaries(looks, st.integers(0, 5), max_size=4))
    slow = enumeration.parts_given(traits, slow_dams, slow_sires, counts)
    if not slow:
        with pytest.raises(NeverHappens):
            young.given(counts)
        return
    fast = {
        tuple(tuple((one.first[0], one.second[0]) for one in side) for side in (part.dam, part.sire)): part.share
        for part in young.given(counts).parts
    }
    assert fast == slow


@given(crosses(bins=False))
def test_a_stated_cross_equals_the_enumeration(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    traits, cross = drawn
    young = offspring(parent(cross.dam, traits), parent(cross.sire, traits), traits)
    dams, sires = (enumeration.kinds_of(traits, side.stated) for side in (cross.dam, cross.sire))
    assert shares(young) == enumeration.classes(traits, dams, sires)


# ---- laws


@given(mixed_pairs(max_size=3))
def test_swapping_dam_and_sire_changes_nothing(drawn: Mixed) -> None:
    traits, dams, sires = drawn
    dam, sire = parents_of(traits, dams, sires)
    there, back = offspring(dam, sire, traits), offspring(sire, dam, traits)
    assert there.classes() == back.classes()
    assert there.genotypes() == back.genotypes()
    assert all(there.carriers(trait, {}) == back.carriers(trait, {}) for trait in traits)


@given(mixed_pairs(max_size=3), st.randoms(use_true_random=False))
def test_reordering_the_traits_permutes_the_classes(drawn: Mixed, random: object) -> None:
    traits, dams, sires = drawn
    dam, sire = parents_of(traits, dams, sires)
    plain = shares(offspring(dam, sire, traits))
    for order in itertools.permutations(range(len(traits))):
        permuted = shares(offspring(dam, sire, [traits[at] for at in order]))
        assert permuted == {tuple(looks[at] for at in order): share for looks, share in plain.items()}


@given(mixed_pairs())
def test_renaming_the_traits_changes_nothing(drawn: Mixed) -> None:
    traits, dams, sires = drawn
    renamed = tuple(Trait(f"trait {at}", f"q{at}", trait.dominance) for at, trait in enumerate(traits))
    plain, other = (
        offspring(*parents_of(named, dams, sires), named)  # the same kinds under both names
        for named in (traits, renamed)
    )
    assert plain.classes() == other.classes()
    assert [one.share for one in plain.parts] == [one.share for one in other.parts]


@given(mixed_pairs(max_size=3))
def test_one_trait_alone_is_the_sum_over_the_others(drawn: Mixed) -> None:
    traits, dams, sires = drawn
    dam, sire = parents_of(traits, dams, sires)
    young = offspring(dam, sire, traits)
    for at, trait in enumerate(traits):
        summed: dict[Appearance, Fraction] = {}
        for looks, share in shares(young).items():
            summed[looks[at]] = summed.get(looks[at], Fraction(0)) + share
        assert {one.appearance[0]: one.share for one in young.of_trait(trait)} == summed
        assert shares(offspring(dam, sire, [trait])) == {(look,): share for look, share in summed.items()}
        assert young.share({trait: WILD}) == summed.get(WILD, 0)


@given(mixed_pairs())
def test_genotypes_sum_to_one_and_the_ratio_is_in_lowest_terms(drawn: Mixed) -> None:
    traits, dams, sires = drawn
    young = offspring(*parents_of(traits, dams, sires), traits)
    assert sum(one.share for one in young.genotypes()) == 1
    assert math.gcd(*young.ratio()) == 1
    total = sum(young.ratio())
    assert [Fraction(number, total) for number in young.ratio()] == [one.share for one in young.classes()]


@given(mixed_pairs(), st.data())
def test_two_broods_one_after_the_other_are_one_brood(drawn: Mixed, data: st.DataObject) -> None:
    traits, dams, sires = drawn
    young = offspring(*parents_of(traits, dams, sires), traits)
    looks = st.sampled_from([one.appearance for one in young.classes()])
    first, second = (data.draw(st.dictionaries(looks, st.integers(0, 3))) for _ in range(2))
    both = {key: first.get(key, 0) + second.get(key, 0) for key in {**first, **second}}
    try:
        together = young.given(both)
    except NeverHappens:
        return
    assert young.given(first).given(second).parts == together.parts


def test_what_counts_say_of_the_parents_is_what_further_young_of_theirs_follow() -> None:
    before = young_of("66% het ember x ember")
    after = before.given({(WILD,): 3})
    assert after.dam.carries(EMBER, 1) == Fraction(1, 5)
    assert after.sire.carries(EMBER, 2) == 1
    assert after.share({EMBER: FULL}) == Fraction(1, 10)
    assert after.ceiling({EMBER: FULL}) == Fraction(1, 5)
    assert before.given({(FULL,): 1}).dam.carries(EMBER, 1) == 1
    assert before.given({}).parts == before.parts


def test_dam_and_sire_depend_on_each_other_after_a_brood() -> None:
    after = young_of("50% het ember x 50% het ember").given({(FULL,): 1})
    assert [(str(part.dam[0]), str(part.sire[0]), part.share) for part in after.parts] == [("+/e", "+/e", Fraction(1))]


def test_a_brood_says_of_independent_traits_the_same_whatever_was_asked_before() -> None:
    """Each of two 2/3 hets by itself: 5 wild young of a visual mate leave 1/17 of it."""
    young = young_of("66% het ember, 66% het Blue Moon x ember, Blue Moon")
    assert len(young.classes()) == 4
    after = young.given({(WILD, WILD): 5})
    assert after.ceiling({EMBER: FULL}) == after.ceiling({MOON: FULL}) == Fraction(1, 17)
    assert after.ceiling({EMBER: FULL, MOON: FULL}) == Fraction(1, 289)
    assert after.given({(FULL, WILD): 1}).dam.carries(EMBER, 1) == 1


# ---- refusals


def test_counts_that_cannot_be_are_refused() -> None:
    young = young_of("het ember x wild")
    impossible: list[Mapping[tuple[Appearance, ...], int]] = [{(FULL,): 1}, {(WILD, FULL): 1}, {(): 1}]
    for counts in impossible:
        with pytest.raises(NeverHappens):
            young.given(counts)
    with pytest.raises(OutOfRange):
        young.given({(WILD,): -1})
    with pytest.raises(OutOfRange):
        young.given({(WILD,): 100_001})


def test_a_trait_that_was_not_asked_for_is_refused_by_name() -> None:
    young = young_of("het ember x wild")
    with pytest.raises(TraitMissing, match="frost"):
        young.share({FROST: FULL})
    with pytest.raises(TraitMissing, match="frost"):
        offspring(young.dam, young.sire, [EMBER, FROST])
    with pytest.raises(TraitClash):
        offspring(young.dam, young.sire, [EMBER, EMBER])


def numbered(count: int, chance: Fraction | None = None) -> tuple[list[Trait], Side]:
    traits = [Trait(f"trait {at}", f"t{at}", Dominance.RECESSIVE) for at in range(count)]
    state = State.HET if chance is None else State.POSSIBLE_HET
    return traits, Side(tuple(Stated(trait, state, chance) for trait in traits))


def test_many_uncertain_traits_are_answered_one_by_one_and_refused_jointly() -> None:
    """Figures of a side are independent of each other: no kind of whole animal is needed to answer for each trait."""
    traits, side = numbered(40, HALF)
    animal = parent(side, traits)
    young = offspring(animal, animal, traits)
    assert young.share(dict.fromkeys(traits, FULL)) == Fraction(1, 16) ** 40
    assert young.carriers(traits[7], {}) == 2 * Fraction(1, 4) * Fraction(3, 4)
    with pytest.raises(TooLarge) as caught:
        _ = animal.kinds
    assert (caught.value.cost, caught.value.fits, caught.value.unit) == (2**40, 12, "uncertain traits")
    fitting = Side(side.items[: caught.value.fits])
    assert len(parent(fitting, traits).kinds) == 2**12
    with pytest.raises(TooLarge):
        young.classes()


def test_too_many_pairs_of_associated_kinds_are_refused_before_they_run() -> None:
    traits, side = numbered(8, HALF)
    animal = parent(side, traits)
    with pytest.raises(TooLarge) as caught:
        _ = offspring(animal, animal, traits).parts
    assert caught.value.cost == 2**16 * 8
    associated = mixed([(1, animal)])
    for run in (offspring, cost):
        with pytest.raises(TooLarge) as caught:
            run(associated, associated, traits)
        assert (caught.value.cost, caught.value.fits, caught.value.unit) == (2**16 * 8, 6250, "pairs")


def test_a_joint_table_that_nobody_can_read_is_refused_but_single_traits_are_answered() -> None:
    traits, side = numbered(30)
    animal = parent(side, traits)
    young = offspring(animal, animal, traits)
    with pytest.raises(TooLarge) as caught:
        young.classes()
    fits = caught.value.fits
    assert fits == 15
    assert len(offspring(animal, animal, traits[:fits]).classes()) == 2**fits
    assert young.share(dict.fromkeys(traits, FULL)) == Fraction(1, 4) ** 30


def test_six_uncertain_traits_on_both_sides_are_answered() -> None:
    traits, side = numbered(6, Fraction(2, 3))
    animal = parent(side, traits)
    young = offspring(animal, animal, traits)
    assert len(young.parts) == 4096
    assert young.share(dict.fromkeys(traits, FULL)) == Fraction(1, 9) ** 6
    assert sum(one.share for one in young.classes()) == 1
