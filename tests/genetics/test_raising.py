"""How many to see: the smallest number, proved exactly."""

import math
import random
import time
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genetics import Appearance, Dominance, HowMany, OutOfRange, Trait, offspring, parent, read_cross
from genetics.raising import Draws, at_least, ceiling, how_many

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
CONFIDENCE = Fraction(95, 100)


@st.composite
def mixtures(draw: st.DrawFn) -> Draws:
    """Up to four parts with any chances, 0 and 1 included."""
    per = draw(st.integers(1, 16))
    weights = draw(st.dictionaries(st.integers(0, per), st.integers(1, 9), min_size=1, max_size=4))
    return Draws(weights, sum(weights.values()), per)


def slow_at_least(draws: Draws, k: int, n: int) -> Fraction:
    """The binomial sum, term by term in fractions."""
    total = Fraction(0)
    for hits, weight in draws.weights.items():
        chance = Fraction(hits, draws.per)
        upper = sum(math.comb(n, i) * chance**i * (1 - chance) ** (n - i) for i in range(k, n + 1))
        total += Fraction(weight, draws.total) * upper
    return total


@given(mixtures(), st.integers(0, 6), st.integers(0, 25))
def test_at_least_is_the_mixture_of_binomials(draws: Draws, k: int, n: int) -> None:
    assert at_least(draws, k, n) == slow_at_least(draws, k, n)


@given(mixtures(), st.integers(1, 6), st.fractions(min_value=Fraction(1, 20), max_value=Fraction(99, 100)))
def test_the_number_to_see_is_enough_and_one_fewer_is_not(draws: Draws, k: int, confidence: Fraction) -> None:
    answer = how_many(draws, k, confidence)
    assert answer.ceiling == ceiling(draws)
    if answer.see is not None:
        assert at_least(draws, k, answer.see) >= confidence
        assert answer.see == k or at_least(draws, k, answer.see - 1) < confidence
    else:
        assert answer.ceiling <= confidence
    able = {hits: weight for hits, weight in draws.weights.items() if hits}
    if able:
        assert answer.see_if_possible == how_many(Draws(able, sum(able.values()), draws.per), k, confidence).see
        assert answer.if_share == slow_at_least(Draws(able, sum(able.values()), draws.per), 1, 1)
    else:
        assert answer == HowMany(None, Fraction(0), None, Fraction(0))


@settings(max_examples=40)
@given(mixtures(), st.integers(1, 6))
def test_no_number_of_young_does_better_than_the_ceiling(draws: Draws, k: int) -> None:
    assert all(at_least(draws, k, n) <= ceiling(draws) for n in (k, 10, 200))


def test_a_ceiling_is_met_only_where_every_young_of_the_able_parts_is_wanted() -> None:
    half_sure = Draws({0: 1, 4: 1}, 2, 4)
    assert how_many(half_sure, 3, Fraction(1, 2)).see == 3
    half_able = Draws({0: 1, 3: 1}, 2, 4)
    assert how_many(half_able, 3, Fraction(1, 2)).see is None
    assert how_many(half_able, 3, Fraction(1, 2) - Fraction(1, 10**9)).see is not None


def test_an_uncertain_parent_puts_a_ceiling_and_the_answer_says_both() -> None:
    cross = read_cross("66% het ember x ember", [EMBER])
    young = offspring(parent(cross.dam, [EMBER]), parent(cross.sire, [EMBER]), [EMBER])
    assert young.how_many(1, CONFIDENCE, {EMBER: Appearance.FULL}) == HowMany(
        see=None, ceiling=Fraction(2, 3), see_if_possible=5, if_share=Fraction(1, 2)
    )
    assert young.how_many(1, Fraction(1, 2), {EMBER: Appearance.FULL}).see == 2
    assert young.how_many(1, CONFIDENCE, {EMBER: Appearance.PARTIAL}).ceiling == 0


def test_several_able_parts_are_weighed_by_their_probability() -> None:
    """Half with 1/4, half with 1/2: seven young still leave more than 5 % without one, eight do not."""
    draws = Draws({1: 1, 2: 1}, 2, 4)
    none = [Fraction(1, 2) * Fraction(3, 4) ** n + Fraction(1, 2) * Fraction(1, 2) ** n for n in range(12)]
    expected = next(n for n, share in enumerate(none) if 1 - share >= CONFIDENCE)
    assert how_many(draws, 1, CONFIDENCE).see == expected


@pytest.mark.parametrize(("k", "n"), [(-1, 1), (1, -1), (1001, 2000), (1, 100_001)])
def test_numbers_outside_the_limits_are_refused(k: int, n: int) -> None:
    with pytest.raises(OutOfRange):
        at_least(Draws({1: 1}, 1, 4), k, n)


@pytest.mark.parametrize("confidence", [Fraction(0), Fraction(1), Fraction(-1), Fraction(2)])
def test_a_confidence_lies_between_0_and_1(confidence: Fraction) -> None:
    with pytest.raises(OutOfRange):
        how_many(Draws({1: 1}, 1, 4), 1, confidence)
    with pytest.raises(OutOfRange):
        how_many(Draws({1: 1}, 1, 4), 0, CONFIDENCE)


def test_more_than_the_bound_is_refused_and_said() -> None:
    with pytest.raises(OutOfRange) as caught:
        how_many(Draws({1: 1}, 1, 4**9), 1, Fraction(99, 100))
    assert caught.value.value == "more than 100000"


@pytest.mark.parametrize(("k", "per"), [(1, 4**7), (5, 4**6), (20, 4**5)])
def test_a_number_near_the_bound_is_proved_quickly(k: int, per: int) -> None:
    started = time.process_time()
    answer = how_many(Draws({1: 1, 2: 1}, 2, per), k, CONFIDENCE).see
    assert answer is not None
    assert 10_000 < answer <= 100_000
    assert time.process_time() - started < 5


def test_a_simulation_agrees_within_its_own_error() -> None:
    """20,000 broods of 9 from a 50 % het × het, drawn allele by allele: at least 2 visuals."""
    cross = read_cross("50% het ember x het ember", [EMBER])
    young = offspring(parent(cross.dam, [EMBER]), parent(cross.sire, [EMBER]), [EMBER])
    exact = float(young.at_least(2, 9, {EMBER: Appearance.FULL}))
    dice = random.Random(20)
    broods = 20_000
    reached = 0
    for _ in range(broods):
        dam = ("+", dice.choice("+e"))
        visuals = sum((dice.choice(dam), dice.choice("+e")) == ("e", "e") for _ in range(9))
        reached += visuals >= 2
    error = math.sqrt(exact * (1 - exact) / broods)
    assert abs(reached / broods - exact) < 4 * error
