"""The recombination fraction from counts: against a search of its own, at the ends, and jointly."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from genetics.errors import NeverHappens, OutOfRange
from genetics.linkage_estimate import (
    Edge,
    LinkageCounts,
    Mating,
    linkage_differs,
    linkage_shares,
    product_ratio,
    recombination,
)

MATINGS = st.sampled_from(Mating)
FOURS = st.tuples(*(st.integers(0, 80) for _ in range(4))).filter(any)
DATA = st.builds(LinkageCounts, FOURS, MATINGS)
HALF = Fraction(1, 2)


def gametes(r: Fraction, coupling: bool) -> dict[tuple[bool, bool], Fraction]:
    """What a double het makes; True is the recessive allele."""
    kept, crossed = (1 - r) / 2, r / 2
    together, apart = (kept, crossed) if coupling else (crossed, kept)
    return {(False, False): together, (True, True): together, (False, True): apart, (True, False): apart}


@given(MATINGS, st.fractions(0, HALF, max_denominator=60))
def test_the_shares_are_those_of_a_table_of_gametes(mating: Mating, r: Fraction) -> None:
    mates = gametes(r, mating.in_coupling) if mating.is_f2 else {(True, True): Fraction(1)}
    shown = dict.fromkeys(((False, False), (False, True), (True, False), (True, True)), Fraction(0))
    for egg, chance in gametes(r, mating.in_coupling).items():
        for sperm, other in mates.items():
            shown[egg[0] and sperm[0], egg[1] and sperm[1]] += chance * other
    assert linkage_shares(mating, r) == tuple(shown.values())


def log_likelihood(data: list[LinkageCounts], r: float) -> float:
    return math.fsum(
        count * math.log(share) if share > 0 else -1e300
        for one in data
        for count, share in zip(one.counts, linkage_shares(one.mating, r), strict=True)
        if count
    )


@given(st.lists(DATA, min_size=1, max_size=3))
@settings(max_examples=60, deadline=None)
def test_nothing_on_a_fine_grid_is_likelier(data: list[LinkageCounts]) -> None:
    found = recombination(data)
    best = max(log_likelihood(data, step / 2000) for step in range(1001))
    assert found.log_likelihood == pytest.approx(log_likelihood(data, found.r))
    assert found.log_likelihood >= best - 1e-9 * (1 + abs(best))
    assert 0 <= found.interval.low <= found.r <= found.interval.high <= 0.5
    assert found.lod >= -1e-9


@given(st.lists(DATA, min_size=1, max_size=3))
@settings(max_examples=60, deadline=None)
def test_the_errors_are_those_of_the_curvature(data: list[LinkageCounts]) -> None:
    """Observed information is minus the second derivative; expected information is its mean, summed over cells."""
    found = recombination(data)
    if found.edge or not 0.01 < found.r < 0.49:
        return
    step = 1e-4
    around = [log_likelihood(data, found.r + shift) for shift in (-step, 0, step)]
    curvature = -(around[0] - 2 * around[1] + around[2]) / step**2
    if found.error_observed is not None and curvature > 1:
        assert found.error_observed == pytest.approx(1 / math.sqrt(curvature), rel=0.02)
    if found.error_expected is not None:
        mean = 0.0
        for one in data:
            low, here, high = (linkage_shares(one.mating, found.r + shift) for shift in (-step, 0, step))
            for below, at, above in zip(low, here, high, strict=True):
                mean += one.total * ((above - below) / (2 * step)) ** 2 / at
        assert found.error_expected == pytest.approx(1 / math.sqrt(mean), rel=1e-4)


@given(FOURS.filter(lambda four: four[0] + four[3] > 0))
@settings(max_examples=60, deadline=None)
def test_a_test_cross_is_a_plain_share(four: tuple[int, int, int, int]) -> None:
    share = (four[1] + four[2]) / sum(four)
    found = recombination([LinkageCounts(four, Mating.TEST_COUPLING)])
    assert found.r == pytest.approx(min(share, 0.5), abs=1e-9)
    if 0 < share < 0.5:
        error = math.sqrt(share * (1 - share) / sum(four))
        assert (found.error_expected, found.error_observed) == pytest.approx((error, error))


@given(FOURS)
@settings(max_examples=60, deadline=None)
def test_an_f2_solves_its_quadratic(four: tuple[int, int, int, int]) -> None:
    """nθ² − (a − 2b − 2c − d)θ − 2d = 0 (Fisher & Balmukand 1928), θ between 0 and 1/4 in repulsion, 1/4 and 1 in coupling."""
    a, b, c, d = four
    middle = a - 2 * b - 2 * c - d
    theta = (middle + math.sqrt(middle**2 + 8 * d * sum(four))) / (2 * sum(four))
    coupling = recombination([LinkageCounts(four, Mating.F2_COUPLING)])
    repulsion = recombination([LinkageCounts(four, Mating.F2_REPULSION)])
    assert coupling.r == pytest.approx(1 - math.sqrt(min(1, max(theta, 0.25))), abs=1e-6)
    assert repulsion.r == pytest.approx(math.sqrt(max(0, min(theta, 0.25))), abs=2e-6)


@given(DATA)
@settings(max_examples=40, deadline=None)
def test_swapping_the_two_loci_changes_nothing(data: LinkageCounts) -> None:
    a, b, c, d = data.counts
    assert recombination([LinkageCounts((a, c, b, d), data.mating)]).r == pytest.approx(recombination([data]).r)


@given(DATA)
@settings(max_examples=40, deadline=None)
def test_the_same_data_twice_are_the_same_estimate_more_surely(data: LinkageCounts) -> None:
    once, twice = recombination([data]), recombination([data, data])
    assert twice.r == pytest.approx(once.r, abs=1e-9)
    assert twice.lod == pytest.approx(2 * once.lod, abs=1e-9)
    if once.error_expected is not None and twice.error_expected is not None:
        assert twice.error_expected == pytest.approx(once.error_expected / math.sqrt(2))
    assert once.interval.low - 1e-9 <= twice.interval.low
    assert twice.interval.high <= once.interval.high + 1e-9


def test_crosses_of_every_kind_are_joined() -> None:
    """Four crosses simulated at r = 0.15; the joint estimate is the optimum of a general optimiser."""
    random = np.random.default_rng(11)
    data = []
    for mating in Mating:
        a, b, c, d = random.multinomial(150, [float(share) for share in linkage_shares(mating, 0.15)])
        data.append(LinkageCounts((int(a), int(b), int(c), int(d)), mating))
    found = recombination(data)
    best = optimize.minimize_scalar(
        lambda r: -log_likelihood(data, r), bounds=(1e-6, 0.5), method="bounded", options={"xatol": 1e-12}
    )
    assert found.r == pytest.approx(best.x, abs=1e-7)
    assert found.interval.holds(0.15)
    assert found.misfit.df == 11
    for one in data:
        alone = recombination([one])
        assert found.error_expected is not None
        assert alone.error_expected is not None
        assert found.error_expected < alone.error_expected


@pytest.mark.parametrize("mating", Mating)
def test_the_errors_are_those_seen_when_it_is_done_again_and_again(mating: Mating) -> None:
    random = np.random.default_rng(5)
    shares = [float(share) for share in linkage_shares(mating, 0.2)]
    found = []
    for a, b, c, d in random.multinomial(1500, shares, size=120).tolist():
        found.append(recombination([LinkageCounts((a, b, c, d), mating)]))
    estimates = [one.r for one in found]
    error = found[0].error_expected
    assert error is not None
    assert np.mean(estimates) == pytest.approx(0.2, abs=4 * error / math.sqrt(120))
    assert np.std(estimates) == pytest.approx(error, rel=0.3)
    assert sum(one.interval.holds(0.2) for one in found) / 120 == pytest.approx(0.95, abs=0.07)


def test_no_recombinant_is_an_end_with_an_upper_limit_and_no_error() -> None:
    found = recombination([LinkageCounts((10, 0, 0, 9), Mating.TEST_COUPLING)])
    assert (found.r, found.edge, found.error_expected, found.error_observed) == (0, Edge.COMPLETE, None, None)
    # (1 − r)^19 = e^(−1.92)
    assert found.interval.high == pytest.approx(1 - math.exp(-1.920729 / 19), abs=1e-6)
    assert found.lod == pytest.approx(19 * math.log10(2))
    # Only the parental classes can be, ten against nine; r at an end takes no degree of freedom.
    assert (found.misfit.value, found.misfit.df) == (pytest.approx(1 / 19), 1)


def test_an_empty_class_of_double_recessives_in_repulsion_still_leaves_r_open() -> None:
    """The trap: no double visual in forty F2 young of repulsion looks like r = 0 and hardly says so."""
    found = recombination([LinkageCounts((20, 10, 10, 0), Mating.F2_REPULSION)])
    assert (found.r, found.edge) == (0, Edge.COMPLETE)
    assert found.interval.high > 0.35


def test_more_recombinants_than_half_are_told_as_no_linkage_and_a_doubt_about_the_phase() -> None:
    found = recombination([LinkageCounts((10, 40, 40, 10), Mating.TEST_COUPLING)])
    assert (found.r, found.edge, found.lod) == (0.5, Edge.FREE, 0)
    assert found.other_phase_lod == pytest.approx(
        recombination([LinkageCounts((10, 40, 40, 10), Mating.TEST_REPULSION)]).lod
    )
    assert found.other_phase_lod > 3


def test_young_that_die_show_in_the_misfit_and_not_in_the_product_ratio() -> None:
    """Half the young that show the first recessive are gone: r by likelihood moves, the product ratio stays."""
    shares = linkage_shares(Mating.F2_COUPLING, 0.1)
    a, b, c, d = (round(8000 * share) for share in shares)
    whole = LinkageCounts((a, b, c, d), Mating.F2_COUPLING)
    thinned = LinkageCounts((a, b, c // 2, d // 2), Mating.F2_COUPLING)
    assert recombination([whole]).misfit.p == pytest.approx(1, abs=1e-3)
    p = recombination([thinned]).misfit.p
    assert p is not None
    assert p < 1e-9
    assert product_ratio(thinned) == pytest.approx(product_ratio(whole), abs=2e-3)


@given(MATINGS, st.fractions(Fraction(1, 20), Fraction(9, 20), max_denominator=20))
def test_the_product_ratio_gives_back_what_was_put_in(mating: Mating, r: Fraction) -> None:
    """From expected counts, which are whole numbers when multiplied by 1,600."""
    a, b, c, d = (int(share * 1600 * 20) for share in linkage_shares(mating, r))
    if all(share * 32_000 == int(share * 32_000) for share in linkage_shares(mating, r)):
        assert product_ratio(LinkageCounts((a, b, c, d), mating)) == pytest.approx(float(r))


def test_the_other_phase_of_the_other_phase_is_the_first() -> None:
    for mating in Mating:
        assert mating.reversed != mating
        assert mating.reversed.reversed is mating
        assert mating.reversed.is_f2 == mating.is_f2


def test_what_says_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange, match="crosses"):
        recombination([])
    with pytest.raises(OutOfRange, match="young"):
        LinkageCounts((0, 0, 0, 0), Mating.F2_COUPLING)
    with pytest.raises(OutOfRange, match="classes"):
        LinkageCounts((1, 2, 3), Mating.F2_COUPLING)
    with pytest.raises(OutOfRange, match="recombination"):
        linkage_shares(Mating.F2_COUPLING, 0.6)
    with pytest.raises(NeverHappens):
        product_ratio(LinkageCounts((5, 5, 0, 0), Mating.F2_COUPLING))


DOSES = st.tuples(st.booleans(), st.booleans())


@given(st.sampled_from([Mating.F2_COUPLING, Mating.F2_REPULSION]), DOSES, st.fractions(0, HALF, max_denominator=60))
def test_an_f2_in_which_doses_show_is_a_table_of_gametes(mating: Mating, doses: tuple[bool, bool], r: Fraction) -> None:
    shown: dict[tuple[int, ...], Fraction] = {}
    made = gametes(r, mating.in_coupling)
    for egg, chance in made.items():
        for sperm, other in made.items():
            copies = [one + two for one, two in zip(egg, sperm, strict=True)]
            look = tuple(number if dose else number // 2 for number, dose in zip(copies, doses, strict=True))
            shown[look] = shown.get(look, Fraction(0)) + chance * other
    assert linkage_shares(mating, r, doses) == tuple(share for _, share in sorted(shown.items()))


def test_where_doses_show_the_same_young_say_more() -> None:
    """Nine looks tell nearly every crossing over, four do not: the standard error falls (Mather 1938 compares them)."""
    errors = []
    for doses in ((False, False), (True, False), (True, True)):
        counts = tuple(round(float(share) * 1600) for share in linkage_shares(Mating.F2_REPULSION, 0.25, doses))
        found = recombination([LinkageCounts(counts, Mating.F2_REPULSION, doses)])
        assert found.r == pytest.approx(0.25, abs=0.003)
        assert found.error_expected is not None
        errors.append(found.error_expected)
    assert errors == sorted(errors, reverse=True)
    assert errors[2] < errors[0] / 1.4


def test_dams_and_sires_that_differ_are_told_apart() -> None:
    """As in flies, where males do not recombine (Morgan 1914): a third of eggs recombine and no sperm does."""
    eggs = [LinkageCounts((67, 33, 33, 67), Mating.TEST_COUPLING)]
    sperm = [LinkageCounts((100, 0, 0, 100), Mating.TEST_COUPLING)]
    assert linkage_differs(eggs, sperm) < 1e-12
    # By hand: 2·ln(L apart/L joint) of 66 of 200 and 54 of 200 against 120 of 400.
    pair = [LinkageCounts((73, 27, 27, 73), Mating.TEST_COUPLING)]

    def at(recombinants: int, total: int) -> float:
        share = recombinants / total
        return recombinants * math.log(share) + (total - recombinants) * math.log(1 - share)

    expected = 2 * (at(66, 200) + at(54, 200) - at(120, 400))
    assert linkage_differs(eggs, pair) == pytest.approx(math.erfc(math.sqrt(expected / 2)))


def test_classes_that_do_not_fit_their_cross_are_refused() -> None:
    with pytest.raises(OutOfRange):
        LinkageCounts((1, 2, 3, 4), Mating.F2_COUPLING, (True, False))
    with pytest.raises(OutOfRange):
        product_ratio(LinkageCounts((1, 2, 3, 4, 5, 6), Mating.F2_COUPLING, (True, False)))
