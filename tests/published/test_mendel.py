"""Mendel's counts against the shares that `genetics` gives, by its own tests of counts.

scipy and an enumeration of every table in this file stand beside them as independent judges.
"""

from fractions import Fraction

import numpy as np
import pytest
from scipy import special, stats

from genetics import Appearance, Dominance, Offspring, Parent, Trait, fit, offspring, parent, read_cross
from genetics.exact_tests import Ordering, exact_binomial, exact_multinomial
from tests.support.claims import check_value, claims

SEED_FORM = Trait("wrinkled", "w", Dominance.RECESSIVE)
COLOUR = Trait("green", "g", Dominance.RECESSIVE)
WILD, FULL = Appearance.WILD, Appearance.FULL


def young_of(text: str) -> Offspring:
    cross = read_cross(text, (SEED_FORM, COLOUR))
    traits = [trait for trait in (SEED_FORM, COLOUR) if trait in cross.traits]
    return offspring(parent(cross.dam, traits), parent(cross.sire, traits), traits)


def chi_square(counts: list[int], shares: list[Fraction]) -> float:
    """Ours, which a library confirms."""
    found = fit.chi_square(counts, shares).value
    library = stats.chisquare(counts, [float(share * sum(counts)) for share in shares]).statistic
    assert found == pytest.approx(float(library))
    return found


@claims("mendel.mono")
def test_seven_monohybrid_f2_fit_three_to_one() -> None:
    """Mendel 1866 (Bateson 1902, pp. 52 and 54). Counts and ratios seen in the source; χ² and p recomputed."""
    value = check_value("mendel.mono")
    assert (value.verified, value.verified_scope) == (True, "counts/ratios seen; chi2 and p recomputed")
    young = young_of("het wrinkled x het wrinkled")
    assert list(young.ratio()) == value.numbers["ratio"]
    shares = [one.share for one in young.classes()]
    counts = list(value.numbers["counts"].values())
    expected = value.expected
    assert [round(wild / visual, 2) for wild, visual in counts] == expected["published_ratios"]
    pooled = [sum(column) for column in zip(*counts, strict=True)]
    assert round(pooled[0] / pooled[1], 2) == expected["average"]
    statistics = [chi_square(pair, shares) for pair in counts]
    assert statistics == pytest.approx(expected["chi2"], abs=6e-5)
    assert [fit.chi_square(pair, shares).p for pair in counts] == pytest.approx(expected["p"], abs=6e-5)
    assert sum(statistics) == pytest.approx(expected["sum_chi2"], abs=6e-5)
    assert fit.upper_tail(sum(statistics), expected["df"]) == pytest.approx(expected["p_sum"], abs=6e-5)
    exact = [exact_binomial(visual, wild + visual, shares[1]).p for wild, visual in counts]
    assert exact == pytest.approx(expected["binom_exact_two_sided"], abs=6e-5)


@claims("mendel.f3.seeds")
def test_one_in_three_round_seeds_of_an_f2_breeds_true() -> None:
    """Mendel 1866 (Bateson 1902, pp. 55-56). All numbers seen in the source."""
    value = check_value("mendel.f3.seeds")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    carriers = young_of("het wrinkled x het wrinkled").carriers(SEED_FORM)
    assert [1 - carriers, carriers] == [Fraction(part, 3) for part in value.numbers["ratio"]]
    counts = value.numbers["true_breeding_vs_segregating"]
    assert [sum(pair) for pair in counts] == value.numbers["n"]
    statistics = [chi_square(pair, [1 - carriers, carriers]) for pair in counts]
    assert statistics == pytest.approx(value.expected["chi2"], abs=6e-5)
    # "1.93 to 1 (565 plants); 2.13 to 1 (519 plants)"
    assert [
        f"{segregating / pure:.2f} to 1 ({pure + segregating} plants)" for pure, segregating in counts
    ] == value.expected["published"].split("; ")


@claims("mendel.f3.plants")
def test_ten_young_let_one_het_in_eighteen_pass_for_pure() -> None:
    """Mendel 1866, p. 56 of Bateson 1902; Fisher 1936, Table V. From memory: no number was seen in a source."""
    value, seeds = check_value("mendel.f3.plants"), check_value("mendel.f3.seeds")
    assert (value.verified, value.verified_scope) == (False, "none seen")
    f2 = young_of("het wrinkled x het wrinkled")
    carriers = f2.carriers(SEED_FORM)
    looks_pure = 1 - f2.at_least(1, value.numbers["offspring_per_test"], {SEED_FORM: FULL})
    assert float(looks_pure) == pytest.approx(value.expected["fisher_misclassification"], abs=5e-11)
    pure_of_hundred = 100 * (1 - carriers + carriers * looks_pure)
    assert float(pure_of_hundred) == pytest.approx(value.expected["expected_true_breeding_of_100"], abs=5e-5)
    counts = value.numbers["true_breeding_vs_segregating_of_100"] + seeds.numbers["true_breeding_vs_segregating"]
    assert len(counts) == value.expected["df"]
    total = sum(chi_square(pair, [1 - carriers, carriers]) for pair in counts)
    assert total == pytest.approx(value.expected["sum_chi2_all_eight_tests"], abs=6e-5)
    assert [Fraction(part, 3) for part in value.numbers["ratio"]] == [1 - carriers, carriers]


def exact_tails(observed: list[int], shares: list[float]) -> tuple[int, dict[str, float]]:
    """All tables of four counts with the observed total, and P(a table at least as extreme) in three orderings."""
    total = sum(observed)
    log_shares, expected = np.log(shares), np.array(shares) * total
    log_factorial = special.gammaln(np.arange(total + 2) + 1.0)
    surprise = special.xlogy(np.arange(total + 1.0)[:, None], np.arange(total + 1.0)[:, None] / expected)
    squares = (np.arange(total + 1.0)[:, None] - expected) ** 2 / expected

    def measures(table: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        log_p = log_factorial[total] + sum(
            count * log_share - log_factorial[count] for count, log_share in zip(table, log_shares, strict=True)
        )
        likelihood = sum(surprise[count, cell] for cell, count in enumerate(table))
        square = sum(squares[count, cell] for cell, count in enumerate(table))
        return log_p, likelihood, square

    here = measures([np.array(count) for count in observed])
    slack = 1e-7
    tables, tails = 0, {"probability": 0.0, "likelihood ratio": 0.0, "chi-square": 0.0}
    for first in range(total + 1):
        left = total - first
        second = np.repeat(np.arange(left + 1), np.arange(left + 1, 0, -1))
        third = np.arange(second.size) - np.searchsorted(second, second)
        log_p, likelihood, square = measures([np.full_like(second, first), second, third, left - second - third])
        p = np.exp(log_p)
        tables += second.size
        tails["probability"] += float(p[log_p <= here[0] + slack].sum())
        tails["likelihood ratio"] += float(p[likelihood >= here[1] - slack].sum())
        tails["chi-square"] += float(p[square >= here[2] - slack].sum())
    return tables, tails


@claims("mendel.dihybrid")
def test_the_dihybrid_f2_fits_nine_three_three_one() -> None:
    """Mendel 1866; exact p from XNomial's vignette (Engels). All numbers seen; all 28,956,759 tables enumerated here."""
    value = check_value("mendel.dihybrid")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    young = young_of("het wrinkled, het green x het wrinkled, het green")
    assert list(young.ratio()) == value.numbers["ratio"]
    assert [one.appearance for one in young.classes()] == [(WILD, WILD), (WILD, FULL), (FULL, WILD), (FULL, FULL)]
    shares = [one.share for one in young.classes()]
    # Wrinkled yellow (wY) looks full in the first trait and wild in the second.
    counts = [value.numbers[name] for name in ("RY", "Rg", "wY", "wg")]
    assert sum(counts) == value.numbers["n"]
    statistic = chi_square(counts, shares)
    expected = value.expected
    assert round(statistic, 2) == expected["chi2"]
    assert len(counts) - 1 == expected["df"]
    assert fit.upper_tail(statistic, 3) == pytest.approx(expected["p_chi2"], abs=6e-5)
    ours = {ordering: exact_multinomial(counts, shares, ordering) for ordering in Ordering}
    tables, tails = exact_tails(counts, [float(share) for share in shares])
    assert tables == expected["n_tables"] == ours[Ordering.PROBABILITY].tables
    assert {ordering.value: found.p for ordering, found in ours.items()} == pytest.approx(tails, abs=1e-9)
    assert tails == pytest.approx(
        {
            "probability": expected["exact_p_prob"],
            "likelihood ratio": expected["exact_p_LLR"],
            "chi-square": expected["exact_p_chisq"],
        },
        abs=6e-5,
    )


@claims("mendel.testcross")
def test_a_double_het_makes_four_gametes_equally_often() -> None:
    """Mendel 1866 (Bateson 1902, pp. 69-71); Fisher 1936. Four of five crosses seen, the fifth from memory."""
    value = check_value("mendel.testcross")
    assert (value.verified, value.verified_scope) == (True, "4 of 5 crosses seen, 5th memory; chi2 recomputed")
    hybrid = "het wrinkled, het green"
    shown = [young_of(f"{hybrid} x wrinkled, green"), young_of(f"wrinkled, green x {hybrid}")]
    assert [list(young.ratio()) for young in shown] == [value.numbers["ratio"]] * 2
    # With the wild parent every young looks wild; the four kinds were told apart by their own young, so by genotype.
    for text in (f"{hybrid} x wild", f"wild x {hybrid}"):
        young = young_of(text)
        assert young.ratio() == (1,)
        assert [one.share for one in young.genotypes()] == [Fraction(1, 4)] * 4
    names = ("hybrid_x_AB", "hybrid_x_ab", "AB_x_hybrid", "ab_x_hybrid", "flower_stem")
    counts = [value.numbers[name] for name in names]
    assert [sum(four) for four in counts] == value.expected["totals"]
    statistics = [chi_square(four, [one.share for one in shown[0].classes()]) for four in counts]
    assert statistics == pytest.approx(value.expected["chi2"], abs=6e-5)
    assert sum(statistics) == pytest.approx(value.expected["sum_chi2"], abs=6e-5)
    assert sum(len(four) - 1 for four in counts) == value.expected["df"]


@claims("mendel.selfing")
def test_selfing_halves_the_hybrids_each_generation() -> None:
    """Mendel 1866 (Bateson 1902, pp. 58-59). All numbers seen in the source."""
    value = check_value("mendel.selfing")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    shares = {1: Fraction(1)}
    for _ in range(value.numbers["generations"]):
        grown: dict[int, Fraction] = {}
        for copies, share in shares.items():
            itself = Parent.of([SEED_FORM], [(Fraction(1), (copies,))])
            for one in offspring(itself, itself, [SEED_FORM]).genotypes():
                number = one.genotypes[0].copies("w")
                grown[number] = grown.get(number, Fraction(0)) + share * one.share
        shares = grown
    expected = value.expected["per_2048"]
    assert {copies: share * 2048 for copies, share in shares.items()} == {
        0: expected["dominant_constant"],
        1: expected["hybrid"],
        2: expected["recessive_constant"],
    }
