"""Integrals are as good as they are said to be: finer grids, plain numeric integration, closed forms."""

import math

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from scipy.stats import beta, betabinom

from genetics.evidence.explanations import Cause, Explanation, Figure, default_table
from genetics.evidence.grids import beta_grid, fixed
from genetics.evidence.programme import Founders, Kept, Programme, Stock
from genetics.evidence.rates import predicted, rated
from genetics.evidence.weighing import weigh
from tests.bench.evidence import recorded
from tests.support.programmes import FULL, WILD, F, M, brood, isolated, programme, unsexed


def finer(table: tuple[Explanation, ...]) -> tuple[Explanation, ...]:
    """The table with 24 points of penetrance for its 10 (or 6), and 6 of survival for its 2; the same priors."""
    found = []
    for row in table:
        grids = dict(row.grids)
        if Figure.PENETRANCE in grids:
            grids |= {Figure.PENETRANCE: beta_grid(3, 1, 24), Figure.SURVIVAL: beta_grid(2.9, 1.6, 6, 0.4, 1.1)}
        found.append(Explanation(row.cause, row.prior, grids, row.predicts))
    return tuple(found)


def partly_penetrant() -> Programme:
    """A recessive at 0.7 with many young of visual × visual, where the likelihood is sharpest in penetrance."""
    return programme(
        [
            Founders("odd", M, odd=True, stock=Stock.HOME),
            Founders("dam", F, look=WILD),
            Kept("d", F, "F1", look=WILD),
            Kept("v", F, "BC", look=FULL),
            Kept("w", M, "BC", look=FULL),
        ],
        [isolated("P", "dam", "odd"), isolated("back", "d", "odd"), isolated("visuals", "v", "w")],
        [
            brood("F1", "P", unsexed(0, 30)),
            brood("BC", "back", unsexed(14, 40)),
            brood("VV", "visuals", unsexed(85, 120)),
            brood("VV2", "visuals", unsexed(28, 40)),
        ],
    )


@pytest.mark.parametrize(
    "held", [recorded(2), recorded(5), recorded(12), partly_penetrant()], ids=["2", "5", "12", "partly penetrant"]
)
def test_a_finer_grid_moves_no_posterior_by_two_in_a_hundred(held: Programme) -> None:
    """Stated beforehand: 0.2 in the leader's log evidence, 0.02 in any posterior."""
    coarse, fine = weigh(held), weigh(held, finer(default_table()))
    assert coarse.leader.cause is fine.leader.cause
    assert abs(coarse.leader.log_evidence - fine.leader.log_evidence) < 0.2
    exact = {share.cause: share.posterior for share in fine.shares}
    assert max(abs(share.posterior - exact[share.cause]) for share in coarse.shares) < 0.02
    if coarse.penetrance is not None and fine.penetrance is not None:
        assert abs(coarse.penetrance.mean - fine.penetrance.mean) < 0.02


def not_inherited(rate: float, bins: float, spread: float) -> Explanation:
    grids = {Figure.RATE: fixed(rate), Figure.BIN_SPREAD: fixed(bins), Figure.BROOD_SPREAD: fixed(spread)}
    return Explanation(Cause.NOT_INHERITED, 1.0, grids, "")


def none_of_these(rate: float, spread: float) -> Explanation:
    return Explanation(Cause.NONE, 1.0, {Figure.RATE: fixed(rate), Figure.BROOD_SPREAD: fixed(spread)}, "")


def broods(*counts: tuple[int, int, str, bool]) -> Programme:
    return programme(
        [Founders("dam", F), Founders("sire", M)],
        [isolated("P", "dam", "sire")],
        [brood(f"b{i}", "P", unsexed(k, n), where, found=found) for i, (k, n, where, found) in enumerate(counts)],
    )


def in_one_order(k: int, n: int, first: float, second: float) -> float:
    """Beta-binomial without its coefficient, by scipy."""
    return float(betabinom.pmf(k, n, first, second)) / math.comb(n, k)


@pytest.mark.parametrize(("rate", "bins", "spread"), [(0.12, 10.0, 30.0), (0.3, 2.0, 5.0), (0.4, 10.0, 300.0)])
def test_a_bins_rate_is_integrated_as_scipy_integrates_it(rate: float, bins: float, spread: float) -> None:
    """Two bins of two broods; shapes above 1 or mildly below, where adaptive quadrature is to be trusted."""
    held = broods((3, 20, "A", False), (1, 15, "A", False), (0, 30, "B", False), (6, 24, "B", False))

    def of_bin(*seen: tuple[int, int]) -> float:
        def integrand(m: float) -> float:
            told = math.prod(in_one_order(k, n, m * spread, (1 - m) * spread) for k, n in seen)
            return told * float(beta.pdf(m, rate * bins, (1 - rate) * bins))

        return float(quad(integrand, 0, 1, limit=400, epsabs=1e-14)[0])

    expected = math.log(of_bin((3, 20), (1, 15))) + math.log(of_bin((0, 30), (6, 24)))
    found = rated(not_inherited(rate, bins, spread), held)
    assert found.log_evidence == pytest.approx(expected, abs=1e-5)
    assert found.dropped["b3"] == pytest.approx(
        math.log(of_bin((3, 20), (1, 15))) + math.log(of_bin((0, 30))), abs=1e-5
    )


def test_a_found_brood_is_conditioned_on_being_found() -> None:
    """By scipy: P(2 of 12 in one order) over P(at least one of 12), the bin's rate integrated in both."""
    row, held = not_inherited(0.12, 10.0, 30.0), broods((2, 12, "A", True), (1, 10, "A", False))

    def integral(told: object) -> float:
        def integrand(m: float) -> float:
            return told(m) * float(beta.pdf(m, 1.2, 8.8))  # type: ignore[operator]

        return float(quad(integrand, 0, 1, limit=400, epsabs=1e-14)[0])

    both = integral(lambda m: in_one_order(2, 12, 30 * m, 30 - 30 * m) * in_one_order(1, 10, 30 * m, 30 - 30 * m))
    turned_up = integral(lambda m: 1 - in_one_order(0, 12, 30 * m, 30 - 30 * m))
    assert rated(row, held).log_evidence == pytest.approx(math.log(both / turned_up), abs=1e-6)


def test_none_of_these_has_a_rate_for_each_brood_and_none_for_a_bin() -> None:
    held = broods((3, 20, "A", False), (7, 9, "A", False), (2, 6, "B", True))
    expected = [in_one_order(3, 20, 0.6, 1.4), in_one_order(7, 9, 0.6, 1.4)]
    last = in_one_order(2, 6, 0.6, 1.4) / (1 - in_one_order(0, 6, 0.6, 1.4))
    found = rated(none_of_these(0.3, 2.0), held)
    assert found.log_evidence == pytest.approx(math.log(math.prod(expected) * last), abs=1e-9)
    assert found.dropped["b1"] == pytest.approx(math.log(expected[0] * last), abs=1e-9)


def test_what_a_brood_is_expected_to_be_by_its_bin() -> None:
    """P(k of 8 | the bin's other brood), by double integration over the bin's and the brood's rate."""
    row, held = not_inherited(0.3, 10.0, 30.0), broods((4, 10, "A", False), (2, 8, "A", False))
    expected = predicted(row, held)["b1"]
    assert expected.sum() == pytest.approx(1, abs=1e-12)

    def joint(k: int) -> float:
        def integrand(p: float, m: float) -> float:
            first = in_one_order(4, 10, 30 * m, 30 - 30 * m) * float(beta.pdf(m, 3, 7))
            return first * float(beta.pdf(p, 30 * m, 30 - 30 * m)) * math.comb(8, k) * p**k * (1 - p) ** (8 - k)

        return float(dblquad(integrand, 0.01, 0.99, 1e-4, 1 - 1e-4, epsabs=1e-9)[0])

    ratio = joint(2) / joint(3)
    assert expected[2] / expected[3] == pytest.approx(ratio, rel=1e-3)


def test_a_true_quarter_looks_like_a_third_in_found_broods_of_five() -> None:
    """science.md §5 (ascertainment, Fisher 1934, from memory): .33. Exactly ¼ / (1 − (¾)^5)."""
    shown = np.arange(6)
    chances = np.array([math.comb(5, k) * 0.25**k * 0.75 ** (5 - k) for k in shown])
    given_found = chances[1:] / chances[1:].sum()
    assert (given_found * shown[1:]).sum() / 5 == pytest.approx(0.25 / (1 - 0.75**5), abs=1e-12)
    assert round(0.25 / (1 - 0.75**5), 2) == 0.33
