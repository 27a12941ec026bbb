"""Parents as keepers know them, against the slow and obviously right reference: every kind, every young, every mate."""

import itertools
from collections.abc import Sequence
from fractions import Fraction

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from genetics import Appearance, CrossText, KeptBack, MixedKinds, Side, Store, TooLarge, Trait
from genetics.parents import LATER_MALE, STORED
from genetics.stating import young_of
from tests.support import enumeration
from tests.support.enumeration import Animal
from tests.support.genetic_strategies import CHANCES, looks_of, stated_sides, trait_lists

Shares = dict[Animal, Fraction]


@st.composite
def animals(draw: st.DrawFn, traits: tuple[Trait, ...], depth: int) -> Side:
    """As listed, drawn from kinds, or kept back; without bins."""
    kind = draw(st.sampled_from(["listed", "mixed", "kept"])) if depth else "listed"
    if kind == "listed":
        return draw(stated_sides(traits))
    inner = animals(traits, depth - 1)
    if kind == "mixed":
        return Side((MixedKinds(tuple(draw(st.lists(st.tuples(st.integers(1, 9), inner), min_size=2, max_size=2)))),))
    return Side((KeptBack(tuple(draw(looks_of(trait)) for trait in traits), draw(inner), draw(inner)),))


@st.composite
def crosses(draw: st.DrawFn) -> tuple[tuple[Trait, ...], CrossText]:
    traits = draw(trait_lists(max_size=2))
    store = draw(st.one_of(st.none(), st.builds(Store, animals(traits, 1), st.one_of(st.none(), CHANCES))))
    dam = Side(draw(animals(traits, 2)).items, 1, store)
    return traits, CrossText(dam, Side(draw(animals(traits, 1)).items, draw(st.integers(1, 2))))


def kinds(side: Side, traits: Sequence[Trait]) -> Shares:
    """What a parent may be, by going through everything."""
    drawn, found = side.drawn, Shares()
    if drawn is None:
        pairs = enumeration.kinds_of(traits, side.stated)
    elif isinstance(drawn, KeptBack):
        wanted = dict.fromkeys(traits, Appearance.WILD) | dict(drawn.looks)
        mates = [[(share, animal) for animal, share in kinds(one, traits).items()] for one in (drawn.dam, drawn.sire)]
        every = [(share, young) for share, young in enumeration.young_shares(*mates)]
        pairs = [(share, young) for share, young in every if enumeration.fits(traits, young, wanted)]
    else:
        pairs = [
            (share * number, animal) for number, kind in drawn.kinds for animal, share in kinds(kind, traits).items()
        ]
    whole = sum((share for share, _ in pairs), Fraction(0))
    assume(whole)
    for share, animal in pairs:
        known = tuple((min(pair), max(pair)) for pair in animal)
        found[known] = found.get(known, Fraction(0)) + share / whole
    return found


def shares(cross: CrossText, traits: Sequence[Trait]) -> dict[tuple[str, ...], Fraction]:
    """The classes of the young: each sire's part of the brood by itself."""
    dams = [(share, animal) for animal, share in kinds(cross.dam, traits).items()]
    own = [Fraction(1)] if cross.sire.number == 1 else [1 - LATER_MALE, LATER_MALE]
    males = [(share, cross.sire) for share in own]
    store = cross.dam.store
    if store is not None:
        stored = store.share if store.share is not None else sum(chance * share for chance, share in STORED)
        males = [(share * (1 - stored), sire) for share, sire in males] + [(Fraction(stored), store.males)]
    found: dict[tuple[str, ...], Fraction] = {}
    for part, male in males:
        sires = [(share, animal) for animal, share in kinds(male, traits).items()]
        for looks, share in enumeration.classes(traits, dams, sires).items():
            found[looks] = found.get(looks, Fraction(0)) + part * share
    return {looks: share for looks, share in found.items() if share}


@given(crosses())
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
def test_the_young_of_known_parents_are_those_of_every_case(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    traits, cross = drawn
    expected = shares(cross, traits)
    try:
        young = young_of(cross, traits)
    except TooLarge:
        assume(False)
        return
    assert {one.looks: one.share for one in young.classes()} == expected


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_several_dams_of_one_uncertain_sire_are_those_of_every_case(data: st.DataObject) -> None:
    (trait,) = data.draw(trait_lists(max_size=1))
    dam, sire = data.draw(animals((trait,), 1)), data.draw(animals((trait,), 1))
    females, males = kinds(dam, (trait,)), kinds(sire, (trait,))
    young = young_of(CrossText(dam, sire), (trait,))
    dams, n = data.draw(st.integers(2, 3)), data.draw(st.integers(1, 4))
    look = data.draw(looks_of(trait))[1]
    none = Fraction(0)
    for male, share in males.items():
        for chosen in itertools.product(females.items(), repeat=dams):
            weight, hits = share, Fraction(0)
            for female, chance in chosen:
                weight *= chance
                all_young = enumeration.young_of(female, male)
                hits += Fraction(sum(enumeration.look(trait, one[0]) is look for one in all_young), len(all_young))
            none += weight * (1 - hits / dams) ** n
    assert 1 - young.at_least(1, n, {trait: look}, dams=dams, one_sire=True) == none
