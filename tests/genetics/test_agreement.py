"""Agreement of scorers: against a general library, against simulated scorers whose errors are known, and its laws."""

import math
import random
from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa

from genetics import OutOfRange
from genetics.agreement import Reading, agreement, cohen, compared, fleiss, majority, misreadings

TWO = st.lists(st.tuples(st.integers(0, 2), st.integers(0, 2)), min_size=2, max_size=40)
MANY = st.integers(2, 5).flatmap(
    lambda scorers: st.lists(st.tuples(*[st.integers(0, 2)] * scorers), min_size=2, max_size=20)
)
GAPPY = st.lists(st.lists(st.one_of(st.none(), st.integers(0, 2)), min_size=4, max_size=4), min_size=1, max_size=15)


@given(TWO)
def test_kappa_of_two_and_its_interval_are_those_of_statsmodels(readings: list[tuple[int, int]]) -> None:
    found = cohen(readings)
    if found.value is None:
        assert len({each for pair in readings for each in pair}) == 1
        return
    table = np.zeros((3, 3))
    for a, b in readings:
        table[a, b] += 1
    with np.errstate(invalid="ignore", divide="ignore"):
        theirs = cohens_kappa(table)
    assert found.value == pytest.approx(theirs.kappa, abs=1e-9)
    if found.interval is None:
        assert math.isnan(theirs.std_kappa) or theirs.std_kappa == pytest.approx(0, abs=1e-6)
        return
    # Theirs may leave -1 to 1, and is no number where rounding makes the variance negative.
    if not math.isnan(theirs.kappa_low):
        assert found.interval.low == pytest.approx(max(-1, theirs.kappa_low), abs=1e-6)
        assert found.interval.high == pytest.approx(min(1, theirs.kappa_upp), abs=1e-6)


@given(MANY)
def test_kappa_of_many_is_that_of_statsmodels(readings: list[tuple[int, ...]]) -> None:
    found = fleiss(readings)
    if found.value is None:
        assert len({each for row in readings for each in row}) == 1
        return
    table = np.array([[row.count(kind) for kind in range(3)] for row in readings])
    assert found.value == pytest.approx(fleiss_kappa(table), abs=1e-9)


@given(GAPPY, st.permutations(range(4)), st.permutations(range(3)), st.randoms())
def test_neither_order_nor_names_matter(
    readings: list[list[Reading]], scorers: list[int], classes: list[int], chance: random.Random
) -> None:
    other = [[None if row[s] is None else classes[row[s]] for s in scorers] for row in readings]
    chance.shuffle(other)
    if all(sum(each is not None for each in row) < 2 for row in readings):
        for figure in (agreement, fleiss):
            with pytest.raises(OutOfRange):
                figure(readings)
        assert compared(readings) == (0, 0)
        return
    assert agreement(other) == (pytest.approx(agreement(readings)[0]), agreement(readings)[1])
    one, two = fleiss(readings).value, fleiss(other).value
    assert one == (None if two is None else pytest.approx(two, abs=1e-9))
    assert compared(other) == compared(readings)
    wrong, pairs = compared(readings)
    assert 0 <= wrong <= pairs


@given(st.lists(st.integers(0, 2), min_size=2, max_size=20), st.integers(2, 5))
def test_who_agree_in_everything_agree_perfectly(truth: list[int], scorers: int) -> None:
    readings = [[each] * scorers for each in truth]
    assert agreement(readings) == (1.0, len(truth))
    assert fleiss(readings).value in (None, pytest.approx(1.0))
    assert compared(readings) == (0, len(truth) * (scorers // 2))
    assert [majority(row) for row in readings] == truth
    assert all(found.wrong == 0 for found in misreadings(readings, truth).values())


def test_two_of_two_count_as_they_differ() -> None:
    assert compared([(0, 1)] * 3 + [(1, 1)] * 7) == (3, 10)


def simulated(
    chance: random.Random, animals: int, scorers: int, missed: float, alarms: float
) -> tuple[list[list[Reading]], list[Reading]]:
    """Animals of which two in five show a trait, read by people who err as often as this, each by themselves."""
    truth: list[Reading] = [int(chance.random() < 0.4) for _ in range(animals)]
    errs = {0: alarms, 1: missed}
    readings: list[list[Reading]] = [
        [true if chance.random() >= errs[true or 0] else 1 - (true or 0) for _ in range(scorers)] for true in truth
    ]
    return readings, truth


def test_the_error_of_each_class_is_found_and_its_interval_holds_it_as_often_as_it_says() -> None:
    """Simulated: 400 programmes of 60 photos and one scorer each; 95 % of the intervals, less the play of chance."""
    chance, held = random.Random(1971), Counter[int]()
    for _ in range(400):
        readings, truth = simulated(chance, 60, 1, missed=0.15, alarms=0.05)
        found = misreadings(readings, truth)
        held[1] += found[1].interval.holds(0.15)
        held[0] += found[0].interval.holds(0.05)
    low = float(beta.ppf(1e-4, 376, 24))
    assert held[0] / 400 > low
    assert held[1] / 400 > low


def test_the_jackknife_of_many_holds_the_true_kappa() -> None:
    """Two readings agree with .4 (.85² + .15²) + .6 (.95² + .05²), and by chance with .37² + .63². The jackknife is
    approximate: its 95 % may be 88 %.
    """
    chance = random.Random(1979)
    seen, alone = 0.4 * (0.85**2 + 0.15**2) + 0.6 * (0.95**2 + 0.05**2), 0.37**2 + 0.63**2
    truth = (seen - alone) / (1 - alone)
    many = [fleiss(simulated(chance, 40, 3, missed=0.15, alarms=0.05)[0]) for _ in range(200)]
    held = sum(each.interval is not None and each.interval.holds(truth) for each in many)
    assert held >= 176


def test_a_stated_error_of_two_scorers_comes_back_from_how_they_differ() -> None:
    """Two who err with chance e differ with 2e(1 - e), elementary probability: what the evidence takes half of."""
    readings, _ = simulated(random.Random(5), 4_000, 2, missed=0.1, alarms=0.1)
    wrong, pairs = compared(readings)
    assert pairs == 4_000
    assert wrong / pairs == pytest.approx(2 * 0.1 * 0.9, abs=4 * math.sqrt(0.18 * 0.82 / 4_000))
    three, _ = simulated(random.Random(6), 4_000, 3, missed=0.1, alarms=0.1)
    assert compared(three)[1] == 4_000
    assert compared(three)[0] / 4_000 == pytest.approx(0.18, abs=0.03)


@pytest.mark.parametrize("readings", [[(0,)], [(0, 1, 1)]])
def test_kappa_of_two_is_of_two(readings: list[tuple[int, ...]]) -> None:
    with pytest.raises(OutOfRange, match="scorers"):
        cohen(readings)


def test_truths_are_as_many_as_animals() -> None:
    with pytest.raises(OutOfRange, match="truths"):
        misreadings([(0, 1)], [])
    with pytest.raises(OutOfRange, match="confidence"):
        cohen([(0, 0), (1, 0)], confidence=1.0)
    with pytest.raises(OutOfRange, match="read by two"):
        cohen([(0, None)])


@pytest.mark.parametrize("animals", [1, 4, 9])
def test_how_sure_a_perfect_agreement_is_cannot_be_told(animals: int) -> None:
    """The variance of Fleiss, Cohen & Everitt 1969 and the jackknife are both 0 there, however few were read."""
    for found in (cohen([(0, 0), (1, 1)] * animals), fleiss([(0, 0, 0), (1, 1, 1)] * (animals + 1))):
        assert found.value == pytest.approx(1.0)
        assert found.interval is None
    assert cohen([(0, 0), (1, 1)] * animals + [(0, 1)]).interval is not None


def test_nothing_is_said_of_readings_of_one_class() -> None:
    assert cohen([(1, 1), (1, 1)]).value is None
    assert fleiss([(1, 1, 1)]).value is None
    assert fleiss([(0, 1)]).interval is None
    assert misreadings([(None,)], [1])[1].share is None
