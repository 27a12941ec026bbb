"""What is said with so much confidence comes true so often: a hundred small programmes from the priors, with fixed seeds.

All of it, and the worlds outside the model, are a command: `python -m tests.bench.calibration`.
"""

import pytest
from scipy.stats import binom

from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word
from tests.support.calibrating import SMALL, Bin, Weighed, of_cause, of_leaders, reliability, weighed

PROGRAMMES = 100
ERROR = 0.01 / 10
"""Of each of ten bins."""


@pytest.fixture(scope="module")
def every() -> list[Weighed]:
    return [weighed(SMALL, seed) for seed in range(PROGRAMMES)]


def outside(bins: tuple[Bin, ...]) -> list[Bin]:
    return [one for one in bins if not one.inside]


def test_the_leader_is_the_truth_as_often_as_is_said(every: list[Weighed]) -> None:
    assert not outside(reliability(of_leaders(every), ERROR))


def test_each_explanation_is_the_truth_as_often_as_is_said(every: list[Weighed]) -> None:
    pooled = [claim for cause in Cause for claim in of_cause(every, cause)]
    assert not outside(reliability(pooled, ERROR))


def test_firm_words_are_seldom_wrong(every: list[Weighed]) -> None:
    """*Supported* and *established* are said from 95 % on: one in twenty may be wrong, and so many by chance."""
    firm = [one for one in every if one.word in (Word.SUPPORTED, Word.ESTABLISHED)]
    assert len(firm) >= 5
    assert sum(not one.right for one in firm) <= binom.ppf(0.999, len(firm), 0.05)


def test_bounds_are_those_of_a_binomial() -> None:
    """Of 100 claims of .95, 95 % of the time 90 to 99 come true (tables of the binomial); 80 or 100 would be outside."""
    (one,) = reliability([(0.95, at < 80) for at in range(100)], 0.05)
    assert (one.least, one.most, one.true, one.inside) == (90, 99, 80, False)
    assert not reliability([(0.95, True)] * 100, 0.05)[0].inside
    assert reliability([(0.95, at < 95) for at in range(100)], 0.05)[0].inside
