"""Linkage: published F2 and test-cross counts, and Punnett's gametic series."""

import math
from fractions import Fraction

import pytest

from genetics import Dominance, Genotype, Parent, Trait, offspring
from genetics.exact_tests import exact_multinomial
from genetics.fit import chi_square
from genetics.fit_counts import shares_of
from genetics.genome import Genome
from genetics.linkage_estimate import LinkageCounts, Mating, linkage_shares, product_ratio, recombination
from genetics.loci import LinkageGroup
from tests.support.claims import CheckValue, check_value, claims

F2 = shares_of((9, 3, 3, 1))


def sweet_pea(value: CheckValue) -> LinkageCounts:
    assert value.numbers["phase"] == "coupling F2"
    names = ("purple_long", "purple_round", "red_long", "red_round")
    a, b, c, d = (value.numbers[name] for name in names)
    assert a + b + c + d == value.numbers["n"]
    return LinkageCounts((a, b, c, d), Mating.F2_COUPLING)


def check_sweet_pea(value: CheckValue, counts: LinkageCounts) -> None:
    expected = value.expected
    assert chi_square(counts.counts, F2).value == pytest.approx(expected["chi2_9331"], abs=5e-3)
    assert exact_multinomial(counts.counts, F2).p < 1e-12
    found = recombination([counts])
    assert found.r == pytest.approx(expected["ml_r"], abs=5e-6)
    assert (1 - found.r) ** 2 == pytest.approx(expected["ml_theta"], abs=5e-6)
    assert found.error_expected == pytest.approx(expected["se_r"], abs=5e-6)
    assert product_ratio(counts) == pytest.approx(expected["product_ratio_r"], abs=5e-6)
    assert found.lod > 3


@claims("link.sweetpea.small")
def test_the_small_count_of_sweet_peas_is_linked() -> None:
    """Bateson, Saunders & Punnett 1905-06. Counts and expectations seen; the rest recomputed."""
    value = check_value("link.sweetpea.small")
    assert (value.verified, value.verified_scope) == (True, "counts and expectations seen; ML recomputed")
    counts = sweet_pea(value)
    check_sweet_pea(value, counts)
    # Printed in whole plants and rounded so that they add up: 214.3 is given as 215.
    expectations = [float(share) * counts.total for share in F2]
    printed = value.expected["expected_9331_rounded"]
    assert sum(printed) == counts.total
    assert printed == pytest.approx(expectations, abs=0.7)


@claims("link.sweetpea.large")
def test_the_large_count_of_sweet_peas_is_linked() -> None:
    """Bateson & Punnett, as in Punnett 1917. Counts seen as teaching data, the citation from memory; ML recomputed."""
    value = check_value("link.sweetpea.large")
    scope = "counts seen as teaching data; primary citation memory; ML recomputed"
    assert (value.verified, value.verified_scope) == (True, scope)
    counts = sweet_pea(value)
    check_sweet_pea(value, counts)
    assert [float(share) * counts.total for share in F2] == value.expected["expected_9331"]
    # Punnett's series 7:1:1:7 says r = 1/8; the interval holds it.
    assert recombination([counts]).interval.holds(1 / 8)


def crossed(r: Fraction) -> tuple[int, ...]:
    """The ratio of two double hets in coupling, from the model of inheritance."""
    colour, pollen = Trait("red", "r", Dominance.RECESSIVE), Trait("round", "o", Dominance.RECESSIVE)
    genome = Genome((LinkageGroup((colour.locus, pollen.locus), r),))
    het = Parent.weighted([colour, pollen], [(Fraction(1), [Genotype(("r", "o"), ("+", "+"))])], genome)
    return offspring(het, het, [colour, pollen]).ratio()


@claims("link.punnett.series")
def test_punnetts_gametic_series() -> None:
    """Punnett 1911, Mendelism, ch. IX. All numbers seen; one F2, misprinted 49:7:7:9 in the stored text, is 41:7:7:9."""
    value = check_value("link.punnett.series")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    for series, printed in zip(value.numbers["gametic_series"], value.expected["F2"], strict=True):
        together, apart, *_ = (int(part) for part in series.split(":"))
        r = Fraction(apart, together + apart)
        ratio = (
            [int(part) for part in printed.removesuffix(" of 64").split(":")] if isinstance(printed, str) else printed
        )
        assert linkage_shares(Mating.F2_COUPLING, r) == shares_of(ratio)
        assert crossed(r) == tuple(ratio)
        n = together + apart
        # "3n^2-(2n-1) : 2n-1 : 2n-1 : n^2-(2n-1)" with n the gametes of one half of the series.
        assert ratio == [3 * n * n - (2 * n - 1), 2 * n - 1, 2 * n - 1, n * n - (2 * n - 1)]


@claims("link.maize")
def test_starchy_and_sugary_maize_in_repulsion() -> None:
    """Fisher & Balmukand 1928; Fisher, Statistical Methods ch. IX. Counts and θ seen; errors computed; details memory."""
    value = check_value("link.maize")
    scope = "counts and theta seen; SEs computed; SMRW citation details memory"
    assert (value.verified, value.verified_scope) == (True, scope)
    assert (value.numbers["phase"], value.numbers["cells"]) == ("repulsion, t=r^2", "(2+t)/4,(1-t)/4,(1-t)/4,t/4")
    a, b, c, d = value.numbers["counts"]
    counts = LinkageCounts((a, b, c, d), Mating.F2_REPULSION)
    assert counts.total == value.numbers["n"]
    found = recombination([counts])
    expected = value.expected
    assert found.r == pytest.approx(expected["r"], abs=5e-7)
    assert found.r**2 == pytest.approx(expected["theta_ML"], abs=5e-10)
    assert found.error_expected == pytest.approx(expected["se_r"], abs=5e-8)
    assert found.error_observed is not None
    assert found.error_expected is not None
    # θ = r², so an error of θ is 2r times that of r.
    assert 2 * found.r * found.error_expected == pytest.approx(expected["se_expected_info"], abs=5e-8)
    assert 2 * found.r * found.error_observed == pytest.approx(expected["se_observed_info"], abs=5e-8)
    assert product_ratio(counts) ** 2 == pytest.approx(expected["product_ratio_theta"], abs=5e-8)
    assert (a - b - c + d) / counts.total == pytest.approx(expected["moment_theta_T1"], abs=1e-6)


@claims("link.rao")
def test_the_multinomial_of_rao_and_of_the_em_paper() -> None:
    """Rao 1973, p. 368; Dempster, Laird & Rubin 1977, Table 1. All numbers seen. θ = (1 − r)² here."""
    value = check_value("link.rao")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    assert value.numbers["cells"] == "(2+t)/4,(1-t)/4,(1-t)/4,t/4"
    a, b, c, d = value.numbers["counts"]
    counts = LinkageCounts((a, b, c, d), Mating.F2_COUPLING)
    assert counts.total == value.numbers["n"]
    found = recombination([counts])
    expected = value.expected
    theta = (1 - found.r) ** 2
    assert theta == pytest.approx(expected["theta_ML"], abs=5e-10)
    assert expected["exact"] == "(15+sqrt(53809))/394"
    assert theta == pytest.approx((15 + math.sqrt(53809)) / 394, abs=1e-12)
    assert found.error_observed is not None
    assert found.error_expected is not None
    slope = 2 * (1 - found.r)
    assert slope * found.error_observed == pytest.approx(expected["se_observed"], abs=5e-7)
    assert slope * found.error_expected == pytest.approx(expected["se_expected"], abs=5e-7)
    # Expectation and maximisation, done here, comes to the same root at the published pace.
    step, seen = 0.5, []
    for _ in range(60):
        hidden = a * step / (2 + step)
        step = (hidden + d) / (hidden + b + c + d)
        seen.append(step)
    assert seen[:5] == pytest.approx(expected["EM_iterates_from_half"], abs=5e-9)
    assert seen[-1] == pytest.approx(theta, abs=1e-12)
    assert (seen[4] - theta) / (seen[3] - theta) == pytest.approx(expected["EM_rate"], abs=5e-4)


@claims("link.morgan.testcross")
def test_purple_and_vestigial_in_a_test_cross() -> None:
    """Morgan, in Griffiths et al. Counts seen; r computed. The two parental classes differ, and the misfit says so."""
    value = check_value("link.morgan.testcross")
    assert (value.verified, value.verified_scope) == (True, "counts seen in textbook page text; r computed")
    names = ("prplus_vgplus", "prplus_vg", "pr_vgplus", "pr_vg")
    a, b, c, d = (value.numbers[name] for name in names)
    counts = LinkageCounts((a, b, c, d), Mating.TEST_COUPLING)
    assert counts.total == value.numbers["n"]
    found = recombination([counts])
    assert found.r == pytest.approx(value.expected["r"], abs=5e-7)
    assert found.error_expected == pytest.approx(value.expected["se"], abs=5e-7)
    assert found.error_observed == pytest.approx(value.expected["se"], abs=5e-7)
    assert found.lod == pytest.approx(value.expected["lod_at_mle"], abs=5e-4)
    assert value.expected["chi2_parental_equality"] == f"{a} vs {d}"
    parental = chi_square((a, d), shares_of((1, 1)))
    assert parental.p is not None
    assert parental.p < 0.01
    assert found.misfit.p is not None
    assert found.misfit.p < 0.02
