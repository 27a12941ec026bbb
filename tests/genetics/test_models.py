"""Every way of inheritance against the enumeration, to exact equality."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from genetics import NeverHappens, Offspring, offspring
from genetics.genome import SexSystem
from genetics.loci import Sex
from genetics.parents import Sires
from tests.support import enumeration
from tests.support.enumeration import Brood
from tests.support.genetic_models import Case, cases, genotypes_of

Seen = dict[tuple[object, ...], Fraction]


def broods(case: Case) -> list[tuple[Fraction, Brood]]:
    """Every pair that can have living young, with its probability among such pairs."""
    found = [(share, enumeration.brood_of(case.world, case.characters, dam, sire)) for share, dam, sire in case.pairs()]
    living = sum(share for share, brood in found if brood)
    return [(share / living, brood) for share, brood in found if brood]


def summed(weighted: list[tuple[Fraction, Brood]], sex: Sex | None = None) -> Seen:
    found: Seen = {}
    for share, brood in weighted:
        for part, each, look, _ in brood:
            if sex in (None, each):
                found[look] = found.get(look, Fraction(0)) + share * part
    whole = sum(found.values())
    return {look: share / whole for look, share in found.items()}


def answer(case: Case) -> tuple[Offspring, list[tuple[Fraction, Brood]]]:
    slow = broods(case)
    young = offspring(case.dam(), case.sire(), case.characters)
    if not slow:
        with pytest.raises(NeverHappens):
            young.classes()
    assume(slow)
    return young, slow


@settings(max_examples=100, deadline=None)
@given(cases())
def test_classes_are_those_of_the_enumeration_for_both_sexes_and_each(case: Case) -> None:
    young, slow = answer(case)
    assert {one.looks: one.share for one in young.classes()} == summed(slow)
    assert young.exact
    for sex in (each for each in young.sexes if each is not None):
        share = sum(part * each for part, brood in slow for each, of, _, _ in brood if of is sex)
        assert young.share_of(sex) == share
        if share:
            assert {one.looks: one.share for one in young.classes(sex)} == summed(slow, sex)
        else:
            with pytest.raises(NeverHappens):
                young.classes(sex)


@settings(max_examples=25, deadline=None)
@given(cases())
def test_genotypes_are_those_of_the_enumeration_also_among_those_that_look_so(case: Case) -> None:
    young, slow = answer(case)
    looks = young.classes()[-1].looks
    for wanted in ({}, dict(zip(case.characters, looks, strict=True))):
        found: Seen = {}
        for share, brood in slow:
            for part, _, look, body in brood:
                if not wanted or look == looks:
                    key = genotypes_of(case.genome, case.characters, body)
                    found[key] = found.get(key, Fraction(0)) + share * part
        whole = sum(found.values())
        expected = {key: share / whole for key, share in found.items()}
        assert {one.genotypes: one.share for one in young.genotypes(given=wanted)} == expected


@settings(max_examples=40, deadline=None)
@given(cases(), st.data())
def test_chances_of_a_brood_go_through_the_pairs(case: Case, data: st.DataObject) -> None:
    young, slow = answer(case)
    wanted = dict(zip(case.characters[:2], data.draw(st.sampled_from(young.classes())).looks, strict=False))
    sex = data.draw(st.sampled_from(sorted({None, *young.sexes}, key=str)))
    k, n = data.draw(st.integers(0, 3)), data.draw(st.integers(0, 6))
    chances = [
        (
            share,
            sum(
                (
                    part
                    for part, of, look, _ in brood
                    if look[: len(wanted)] == (*wanted.values(),) and sex in (None, of)
                ),
                Fraction(0),
            ),
        )
        for share, brood in slow
    ]
    slow_way = sum(share * enumeration.k_of_n(chance, k, n) for share, chance in chances)
    assert young.at_least(k, n, wanted, sex=sex) == slow_way
    assert young.ceiling(wanted, sex) == sum(share for share, chance in chances if chance)
    assert young.share(wanted, sex) == sum(share * chance for share, chance in chances)


@settings(max_examples=40, deadline=None)
@given(cases(), st.data())
def test_counts_reweigh_the_pairs_by_bayes_theorem(case: Case, data: st.DataObject) -> None:
    young, slow = answer(case)
    sex = data.draw(st.sampled_from([*young.sexes, None]))
    classes = data.draw(st.lists(st.sampled_from([one.looks for one in young.classes()]), max_size=4))
    weights = []
    for share, brood in slow:
        weight = share
        for look in classes:
            weight *= sum((part for part, of, each, _ in brood if each == look and sex in (None, of)), Fraction(0))
        weights.append(weight)
    counts = {look: classes.count(look) for look in classes}
    if not sum(weights):
        with pytest.raises(NeverHappens):
            young.given(counts, sex)
        return
    after = summed([(weight / sum(weights), brood) for weight, (_, brood) in zip(weights, slow, strict=True) if weight])
    assert {one.looks: one.share for one in young.given(counts, sex).classes()} == after


@settings(max_examples=40, deadline=None)
@given(cases(tuple(system for system in SexSystem if system is not SexSystem.THELYTOKOUS)), st.data())
def test_several_sires_share_one_brood(case: Case, data: st.DataObject) -> None:
    """Each young has one of the males for its father; the males are the same for the whole brood."""
    stored = data.draw(st.sampled_from([Fraction(0), Fraction(28, 100), Fraction(1, 2)]))
    prior = [(Fraction(1, 3), stored), (Fraction(2, 3), Fraction(1, 10))]
    male = case.sire()
    assert male is not None
    sires = Sires((male, male), tuple((chance, (1 - share, share)) for chance, share in prior))
    slow = []
    for of_dam, _, dam in case.dams:
        families = [(one, enumeration.family_of(case.world, case.characters, dam, body)) for one, _, body in case.sires]
        for (one, first), (other, second) in itertools.product(families, families):
            for chance, share in prior:
                brood = enumeration.brood_of_families([(1 - share, first), (share, second)])
                slow.append((chance * one * other * of_dam, brood))
    living = sum(share for share, brood in slow if brood)
    assume(living)
    young = offspring(case.dam(), sires, case.characters)
    alive = [(share / living, brood) for share, brood in slow if brood]
    assert {one.looks: one.share for one in young.classes()} == summed(alive)
    wanted = young.classes()[0].looks
    chances = [(share, sum(part for part, _, look, _ in brood if look == wanted)) for share, brood in alive]
    expected = sum(share * enumeration.k_of_n(Fraction(chance), 2, 5) for share, chance in chances)
    assert young.at_least(2, 5, dict(zip(case.characters, wanted, strict=True))) == expected


@settings(max_examples=40, deadline=None)
@given(cases(), st.data())
def test_a_young_kept_back_is_a_parent_with_the_genotypes_of_its_like(case: Case, data: st.DataObject) -> None:
    young, slow = answer(case)
    sex = data.draw(st.sampled_from([each for each in young.sexes if each is None or young.share_of(each)]))
    looks = data.draw(st.sampled_from([one.looks for one in young.classes(sex)]))
    found: Seen = {}
    for share, brood in slow:
        for part, of, look, body in brood:
            if look == looks and (of is sex or sex is None):
                key = genotypes_of(case.genome, case.characters, body)
                found[key] = found.get(key, Fraction(0)) + share * part
    whole = sum(found.values())
    kept = young.one(dict(zip(case.characters, looks, strict=True)), sex)
    assert {animal: share for share, animal in kept.kinds} == {key: share / whole for key, share in found.items()}
