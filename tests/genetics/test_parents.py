"""Parents: distributions over kinds of whole animals."""

from fractions import Fraction

import pytest
from hypothesis import given

from genetics import (
    BinCode,
    BinUnresolved,
    CrossText,
    Dominance,
    Parent,
    SharesRefused,
    Side,
    State,
    Stated,
    TooLarge,
    Trait,
    TraitClash,
    TraitMissing,
    parent,
)
from tests.support import enumeration
from tests.support.genetic_strategies import crosses

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.INCOMPLETE)
HALF = Fraction(1, 2)


@given(crosses(bins=False))
def test_figures_of_one_side_are_independent(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    traits, cross = drawn
    animal = parent(cross.dam, traits)
    slow = {kind: share for share, kind in enumeration.kinds_of(traits, cross.dam.stated)}
    assert {
        tuple((one.first[0], one.second[0]) for one in genotypes): share for share, genotypes in animal.kinds
    } == slow
    assert sum(share for share, _ in animal.kinds) == 1


def test_what_a_side_does_not_say_is_wild() -> None:
    animal = parent(Side((Stated(FROST, State.HET),)), [EMBER, FROST])
    assert animal.carries(EMBER, 0) == animal.carries(FROST, 1) == 1


def test_a_bin_must_be_looked_up_first() -> None:
    with pytest.raises(BinUnresolved, match="B-12"):
        parent(Side((BinCode("B-12"),)), [EMBER])


def test_a_statement_outside_the_traits_of_the_question_is_refused() -> None:
    with pytest.raises(TraitMissing, match="frost"):
        parent(Side((Stated(FROST, State.HET),)), [EMBER])
    with pytest.raises(TraitClash):
        parent(Side(), [EMBER, Trait("EMBER", "q", Dominance.DOMINANT)])
    with pytest.raises(TraitMissing):
        parent(Side(), [EMBER]).carries(FROST, 1)


def test_equal_kinds_are_added_up() -> None:
    animal = Parent.of([EMBER], [(Fraction(1, 4), (1,)), (HALF, (0,)), (Fraction(1, 4), (1,))])
    assert [(str(genotypes[0]), share) for share, genotypes in animal.kinds] == [("+/e", HALF), ("+/+", HALF)]


@pytest.mark.parametrize(
    "kinds",
    [
        [],
        [(HALF, (1,))],
        [(Fraction(0), (1,)), (Fraction(1), (0,))],
        [(Fraction(-1), (1,)), (Fraction(2), (0,))],
        [(Fraction(1), (3,))],
        [(Fraction(1), (1, 1))],
        [(Fraction(1), ())],
    ],
)
def test_kinds_that_are_no_distribution_are_refused(kinds: list[tuple[Fraction, tuple[int, ...]]]) -> None:
    with pytest.raises(SharesRefused):
        Parent.of([EMBER], kinds)


def test_more_kinds_than_can_be_crossed_are_refused() -> None:
    traits = [Trait(f"trait {at}", f"t{at}", Dominance.RECESSIVE) for at in range(8)]
    every = [tuple(number // 3**at % 3 for at in range(8)) for number in range(3**8)]
    with pytest.raises(TooLarge) as caught:
        Parent.of(traits, [(Fraction(1, len(every)), kind) for kind in every])
    assert caught.value.cost == 3**8
