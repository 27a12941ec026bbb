"""Families and broods: published likelihoods, and posteriors of every member."""

from fractions import Fraction

import numpy as np
import pytest

from genetics.errors import EvidenceRefused
from genetics.evidence.families import Family, family_posterior
from genetics.loci import Where
from tests.support.claims import check_value, claims, family_value

COPIES = {"AA": 0, "Aa": 1, "AB": 1, "BB": 2, "A": 0, "B": 1}


def hardy_weinberg(q: float) -> list[float]:
    return [(1 - q) ** 2, 2 * q * (1 - q), q * q]


def check_family(value: dict[str, object]) -> None:
    q, penetrance = (float(Fraction(*value[name])) for name in ("q", "penetrance"))  # type: ignore[misc]
    shows = {None: [1.0, 1.0, 1.0], 0: [1.0, 1.0, 1 - penetrance], 1: [0.0, 0.0, penetrance]}
    looks = [shows[look] for look in value["phenotype"]]  # type: ignore[attr-defined]
    found = family_posterior(Family(tuple(value["dam"]), tuple(value["sire"])), looks, hardy_weinberg(q))  # type: ignore[arg-type]
    assert found.het == pytest.approx(np.array(value["P_het"], dtype=float), abs=1e-12)
    assert found.genotypes[:, 2] == pytest.approx(np.array(value["P_aa"], dtype=float), abs=1e-12)
    assert found.het.sum() == pytest.approx(value["sum_P_het"], abs=1e-12)
    assert found.log_evidence == pytest.approx(float(value["log_evidence"]), abs=1e-12)  # type: ignore[arg-type]
    assert found.genotypes.sum(axis=1) == pytest.approx(np.ones(value["n"]), abs=1e-12)  # type: ignore[arg-type]


@claims("families.A30")
def test_every_member_of_a_family_of_thirty() -> None:
    """Synthetic; exact by rational elimination, confirmed by two general libraries of networks (so the file says)."""
    check_family(family_value("families.A30"))


@claims("families.A100")
def test_every_member_of_a_family_of_a_hundred() -> None:
    """Synthetic; exact by rational elimination, confirmed by two general libraries of networks (so the file says)."""
    check_family(family_value("families.A100"))


def looks_normal_het(wild_young: int) -> float:
    """P(het) of a normal animal with so many normal young by an aa mate; q = 3/10, penetrance 4/5."""
    normal, hidden = [1.0, 1.0, 0.2], [0.0, 0.0, 1.0]
    family = Family((-1, -1, *[1] * wild_young), (-1, -1, *[0] * wild_young))
    looks = [normal, hidden, *[normal] * wild_young]
    return float(family_posterior(family, looks, hardy_weinberg(0.3)).het[0])


@claims("broods.normal-animal-no-other-data")
def test_a_normal_animal_without_young() -> None:
    expected = Fraction(family_value("broods.normal-animal-no-other-data"))
    assert looks_normal_het(0) == pytest.approx(float(expected), abs=1e-12)


@claims("broods.normal-sire-x-aa-dam-0-of-8-visual")
def test_a_normal_sire_with_eight_clean_young() -> None:
    expected = Fraction(family_value("broods.normal-sire-x-aa-dam-0-of-8-visual"))
    assert looks_normal_het(8) == pytest.approx(float(expected), abs=1e-12)


@claims("broods.normal-sire-x-aa-dam-0-of-12-visual")
def test_a_normal_sire_with_twelve_clean_young() -> None:
    expected = Fraction(family_value("broods.normal-sire-x-aa-dam-0-of-12-visual"))
    assert looks_normal_het(12) == pytest.approx(float(expected), abs=1e-12)


def likelihood(family: Family, known: dict[int, str], frequency: float, where: Where) -> float:
    """P(these members have these genotypes) where the frequency is that of allele B."""
    looks = [[1.0, 1.0, 1.0] for _ in family.dams]
    for member, genotype in known.items():
        looks[member] = [float(copies == COPIES[genotype]) for copies in range(3)]
    two = hardy_weinberg(frequency)
    founders = [two, [1 - frequency, frequency, 0.0]] if where is Where.SHARED else [two, two]
    try:
        return float(np.exp(family_posterior(family, looks, founders, where).log_evidence))
    except EvidenceRefused:
        return 0.0


@claims("bayes.pedprobr")
def test_likelihoods_of_a_trio() -> None:
    """Vigeland, tests of the R package pedprobr. All numbers seen. p is the frequency of the first allele, A."""
    value = check_value("bayes.pedprobr")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    p, q = value.numbers["p"], value.numbers["q"]
    assert p + q == 1
    father, mother, child = 1, 0, 2
    named = {"p^2": p**2, "2pq": 2 * p * q, "p^2 q^2": p**2 * q**2, "p": p, "p q^2": p * q**2, "q^2": q**2, 0: 0.0}
    expected = {kind: {case: named[figure] for case, figure in cases.items()} for kind, cases in value.expected.items()}
    trio = Family((-1, -1, mother), (-1, -1, father))

    def on(where: Where, family: Family = trio, **known: str) -> float:
        numbers = {"father": father, "mother": mother, "child": child}
        return likelihood(family, {numbers[name]: genotype for name, genotype in known.items()}, q, where)

    auto = Where.AUTOSOME
    assert {
        "father_AA": on(auto, father="AA"),
        "father_Aa": on(auto, father="Aa"),
        "child_AA": on(auto, child="AA"),
        "AA_x_BB_child_AB": on(auto, father="AA", mother="BB", child="AB"),
        "AA_x_AA_child_BB": on(auto, father="AA", mother="AA", child="BB"),
    } == pytest.approx(expected["autosomal"], abs=1e-15)
    son = Family((-1, -1, mother), (-1, -1, father), females=(True, False, False))
    x = Where.SHARED
    assert {
        "father_A": on(x, son, father="A"),
        "mother_AB": on(x, son, mother="AB"),
        "son_A": on(x, son, child="A"),
        "father_A_mother_BB": on(x, son, father="A", mother="BB"),
        "mother_BB_son_B": on(x, son, mother="BB", child="B"),
        "mother_AA_son_B": on(x, son, mother="AA", child="B"),
    } == pytest.approx(expected["X"], abs=1e-15)
