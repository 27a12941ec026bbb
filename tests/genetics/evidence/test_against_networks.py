"""Families against two general libraries of Bayesian networks, and laws of the elimination itself."""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Factor, calibrate, planned
from genetics.evidence.families import Family, FamilyPosterior, family_posterior
from genetics.loci import Where
from tests.support.networks import Known, by_pgmpy, by_pyagrum, random_family

FAMILIES = [random_family(random.Random(seed), 4 + seed % 27) for seed in range(200)]


def ours(family: Known) -> FamilyPosterior:
    return family_posterior(Family(family.dams, family.sires), family.likelihoods, family.founders)


@pytest.mark.parametrize("tens", range(10))
def test_two_hundred_random_families_as_pyagrum_has_them(tens: int) -> None:
    for family in FAMILIES[tens * 20 : tens * 20 + 20]:
        posteriors, log_evidence = by_pyagrum(family)
        found = ours(family)
        assert found.genotypes == pytest.approx(posteriors, abs=1e-10)
        assert found.log_evidence == pytest.approx(log_evidence, abs=1e-10)


@pytest.mark.parametrize("tens", range(10))
def test_two_hundred_random_families_as_pgmpy_has_them(tens: int) -> None:
    """By its variable elimination; three members of each family: a founder, one in the middle, the last."""
    for family in FAMILIES[tens * 20 : tens * 20 + 20]:
        size = len(family.dams)
        members = [0, size // 2, size - 1]
        assert ours(family).genotypes[members] == pytest.approx(by_pgmpy(family, members), abs=1e-10)


def test_a_family_that_is_no_family_is_refused() -> None:
    cases = {
        EvidenceFault.CIRCLE: lambda: Family((-1, -1, 3, 2), (-1, -1, 0, 0)),
        EvidenceFault.UNKNOWN: lambda: Family((-1, 0), (-1, -1)),
        EvidenceFault.IMPOSSIBLE: lambda: family_posterior(
            Family((-1, -1, 0), (-1, -1, 1)), [[1, 0, 0], [1, 0, 0], [0, 0, 1]], [0.25, 0.5, 0.25]
        ),
    }
    for fault, build in cases.items():
        with pytest.raises(EvidenceRefused) as refused:
            build()
        assert refused.value.fault is fault
    with pytest.raises(EvidenceRefused):
        Family((-1, 5), (-1, 5))


def test_members_in_any_order_are_the_same_family() -> None:
    family = FAMILIES[23]
    size = len(family.dams)
    order = list(range(size))
    random.Random(5).shuffle(order)
    place = {one: at for at, one in enumerate(order)} | {-1: -1}
    mixed = Family(tuple(place[family.dams[one]] for one in order), tuple(place[family.sires[one]] for one in order))
    found = family_posterior(mixed, [family.likelihoods[one] for one in order], family.founders)
    assert found.genotypes == pytest.approx(ours(family).genotypes[order], abs=1e-12)


def test_a_knot_too_wide_is_refused_and_names_a_member() -> None:
    """Thirty founders, every pair of them mated and their young mated on: nothing that can be summed exactly."""
    rng = random.Random(1)
    dams, sires = [-1] * 30, [-1] * 30
    for _ in range(400):
        dam, sire = rng.sample(range(len(dams)), 2)
        dams.append(dam)
        sires.append(sire)
    with pytest.raises(EvidenceRefused) as refused:
        family_posterior(Family(tuple(dams), tuple(sires)), np.ones((430, 3)), [0.49, 0.42, 0.09])
    assert refused.value.fault is EvidenceFault.TOO_WIDE
    assert int(refused.value.fact) > 3**14
    assert 0 <= int(refused.value.what) < 430


def test_on_the_z_a_hen_passes_her_only_copy_to_her_sons() -> None:
    """By hand: ZZ males. An a-hen by a wild sire has het sons and clean daughters."""
    family = Family((-1, -1, 0, 0), (-1, -1, 1, 1), females=(True, False, False, True), homogametic_females=False)
    seen = [[0, 1, 0], [1, 0, 0], [1, 1, 1], [1, 1, 1]]
    found = family_posterior(family, seen, [[0.9, 0.1, 0], [0.81, 0.18, 0.01]], Where.SHARED)
    assert found.genotypes[2].tolist() == [0, 1, 0]
    assert found.genotypes[3].tolist() == [1, 0, 0]


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_elimination_is_the_sum_over_everything(data: st.DataObject) -> None:
    """Evidence and joint posteriors of random factors against the full table."""
    sizes = tuple(data.draw(st.lists(st.integers(2, 3), min_size=1, max_size=5)))
    rng = np.random.default_rng(data.draw(st.integers(0, 10**6)))
    factors = [Factor((one,), rng.random((size, 1))) for one, size in enumerate(sizes)]
    for _ in range(data.draw(st.integers(0, 4))):
        scope = tuple(rng.permutation(len(sizes))[: rng.integers(1, min(3, len(sizes)) + 1)].tolist())
        table = rng.random((*(sizes[one] for one in scope), 2))
        factors.append(Factor(scope, np.where(table < 0.15, 0.0, table)))
    whole = np.ones((*sizes, 2))
    for factor in factors:
        order = np.argsort(factor.scope)
        table = factor.table.transpose([*order, len(order)])
        whole = whole * table.reshape([sizes[v] if v in factor.scope else 1 for v in range(len(sizes))] + [-1])
    total = whole.sum(axis=tuple(range(len(sizes))))
    found = calibrate(factors, sizes, 2)
    assert np.exp(found.log_z) == pytest.approx(total, rel=1e-12, abs=1e-300)
    for factor in factors:
        left = whole.sum(axis=tuple(v for v in range(len(sizes)) if v not in factor.scope))
        rank = [sorted(factor.scope).index(v) for v in factor.scope]
        joint = left.transpose([*rank, len(rank)]) / np.where(total > 0, total, 1.0)
        assert found.joint(factor.scope) * (total > 0) == pytest.approx(joint, abs=1e-12)


def test_the_order_of_elimination_is_min_fill() -> None:
    """A chain needs no fill at all: its widest table spans two variables, whatever the numbering."""
    scopes = ((3, 0), (0, 4), (4, 1), (1, 2))
    assert planned(scopes, (3,) * 5).widest == 9


def test_the_carrier_risks_of_the_textbooks() -> None:
    """A wild-looking sib of a visual, and what clean young by a visual mate make of it: 2 / (2 + 2^n), by Bayes.

    2/3 stands in any text of medical genetics; the series is derived (bayes.sib and bayes.testcross of the check values).
    """
    for clean in range(9):
        # Parents 0 and 1, their visual young 2 and wild-looking young 3, a visual mate 4, and the clean young.
        family = Family((-1, -1, 0, 0, -1, *[3] * clean), (-1, -1, 1, 1, -1, *[4] * clean))
        looks = [[1, 1, 0], [1, 1, 0], [0, 0, 1], [1, 1, 0], [0, 0, 1], *[[1, 1, 0]] * clean]
        found = family_posterior(family, looks, [0.98**2, 2 * 0.98 * 0.02, 0.02**2])
        assert found.het[3] == pytest.approx(2 / (2 + 2**clean), abs=1e-12)
