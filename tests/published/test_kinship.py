"""Kinship and inbreeding: published pedigrees, mating systems and effective numbers."""

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import pytest

from genetics import (
    Animal,
    Bred,
    Founded,
    KinshipFault,
    KinshipRefused,
    Pedigree,
    Where,
    closed_line,
    effective_size,
    group_kinship,
    harmonic_mean,
    inbreeding,
    inbreeding_after,
    kinship_matrix,
    kinships,
)
from genetics.kinship.groups import AnyGroup
from tests.support.claims import check_value, claims


def pedigree_rows(rows: Sequence[Sequence[int]], twins: Sequence[Sequence[int]] = ()) -> list[Animal]:
    """Animals from lines of animal, sire, dam (0: not known)."""
    marks = {animal: f"twins {pair}" for pair in twins for animal in pair}
    return [
        Animal(str(animal), str(dam) if dam else None, str(sire) if sire else None, twins=marks.get(animal))
        for animal, sire, dam, *_ in rows
    ]


@claims("ped.mrode")
def test_mrodes_pedigree() -> None:
    """Mrode 2005, table 2.1; Henderson 1976. Pedigree and F seen; A and its inverse computed exactly. A is twice φ."""
    value = check_value("ped.mrode")
    assert (value.verified, value.verified_scope) == (True, "pedigree and F seen; A and A-inverse computed exactly")
    animals = pedigree_rows(value.numbers["ped"])
    pedigree = Pedigree.of(animals)
    assert inbreeding(pedigree).tolist() == value.expected["F"]
    relationship = 2 * kinship_matrix(pedigree)
    assert relationship.tolist() == value.expected["A"]
    assert np.linalg.inv(relationship) == pytest.approx(np.array(value.expected["Ainv"]), abs=5e-8)
    assert (2 * kinship_matrix(Pedigree.of(animals[::-1])))[::-1, ::-1].tolist() == value.expected["A"]


@claims("ped.kinship2")
def test_the_kinship2_pedigree_with_and_without_twins() -> None:
    """Sinnwell, Therneau & Schaid 2014; all numbers seen in the package's own saved output.

    Its figures for the X chromosome are not worked out here; such a question is refused by name.
    """
    value = check_value("ped.kinship2")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    expected, rows = value.expected, value.numbers["ped"]
    twinned = Pedigree.of(pedigree_rows(rows, value.numbers["mz_twins"]))
    matrix = kinship_matrix(twinned)
    assert matrix[9].tolist() == expected["K_row10"]
    assert matrix[7, 8] == expected["K_8_9"]
    assert inbreeding(twinned)[9] == expected["F10"]
    assert kinships(twinned, [("8", "9"), ("10", "9")]) == (expected["K_8_9"], expected["K_row10"][8])
    single = Pedigree.of(pedigree_rows(rows))
    assert kinship_matrix(single)[9].tolist() == expected["K_row10_without_twins"]
    with pytest.raises(KinshipRefused) as refused:
        Pedigree.of(pedigree_rows(rows), where=Where.SHARED)
    assert refused.value.fault is KinshipFault.SEX_LINKED


def basic_matings(inbred: Fraction = Fraction(0)) -> Pedigree:
    """Two founders, their young, the young of two pairs of sibs from two families, and what else the matings need."""
    return Pedigree.of(
        [
            Animal("dam", inbreeding=inbred),
            *(Animal(name) for name in ("sire", "other sire", "mate", "other mate", "in-law")),
            Animal("sister", "dam", "sire"),
            Animal("brother", "dam", "sire"),
            Animal("half brother", "dam", "other sire"),
            Animal("niece", "in-law", "brother"),
            Animal("uncle", "dam", "sire"),
            Animal("cousin", "sister", "mate"),
            Animal("wife", "other mate", "in-law sire"),
            Animal("husband", "other mate", "in-law sire"),
            Animal("in-law sire"),
            Animal("double cousin", "sister", "husband"),
            Animal("its double cousin", "wife", "brother"),
        ]
    )


@claims("ped.basic")
def test_the_inbreeding_of_basic_matings() -> None:
    """Wright 1922; values seen across several sources. A young of two animals has their kinship as its F."""
    value = check_value("ped.basic")
    assert (value.verified, value.verified_scope) == (True, "values seen across several sources")
    family = basic_matings()
    matings = {
        "selfing": ("dam", "dam"),
        "full sib": ("sister", "brother"),
        "parent-offspring": ("dam", "brother"),
        "half sib": ("sister", "half brother"),
        "uncle-niece / double first cousins": ("niece", "uncle"),
        "first cousins": ("niece", "cousin"),
    }
    published = dict(zip(value.numbers["matings"], value.expected["F"], strict=True))
    for mating, pair in matings.items():
        assert kinships(family, [pair]) == (published.pop(mating),), mating
    assert kinships(family, [("double cousin", "its double cousin")]) == (1 / 8,)
    assert kinships(basic_matings(Fraction(1)), [("sister", "brother")]) == tuple(published.values())


@claims("inb.fullsib")
def test_full_sib_mating() -> None:
    """Falconer & Mackay 1996 (table number from memory). First three decimals, 98.7 % and 19.1 % seen; the rest computed."""
    value = check_value("inb.fullsib")
    scope = ".25/.375/.5, 98.7% and 19.1% seen; other decimals computed; Falconer table number memory"
    assert (value.verified, value.verified_scope) == (True, scope)
    expected = value.expected
    line = closed_line(1, 1, 41)[1:]
    assert [float(young.inbreeding) for young in line[:10]] == expected["F"]
    assert float(line[19].inbreeding) == pytest.approx(expected["F20"], abs=5e-7)
    # 98.7 % is printed for twenty generations; 98.63 % after 20 and 98.89 % after 21 both lie near it.
    assert line[19].inbreeding < Fraction(str(expected["F_published_20gen"])) < line[20].inbreeding
    assert float(line[-1].loss) == pytest.approx(expected["rate_of_loss"], abs=5e-7)
    assert 1 - float(line[-1].loss) == pytest.approx(expected["lambda_"], abs=5e-7)
    f = [Fraction(0), *(young.inbreeding for young in line)]
    assert all(f[t] == (1 + 2 * f[t - 1] + f[t - 2]) / 4 for t in range(2, len(f)))
    sibs = [Animal("d0"), Animal("s0")]
    for t in range(1, 11):
        sibs += [Animal(f"d{t}", f"d{t - 1}", f"s{t - 1}"), Animal(f"s{t}", f"d{t - 1}", f"s{t - 1}")]
    found = inbreeding(Pedigree.of(sibs))[2::2].tolist()
    assert found[1:] == expected["F"][:9]


@claims("inb.halfsib")
def test_half_sib_mating() -> None:
    """Crow & Kimura 1970; Falconer & Mackay 1996. Recurrence seen, values computed. One sire with many of his half sisters."""
    value = check_value("inb.halfsib")
    assert (value.verified, value.verified_scope) == (True, "recurrence seen; values computed")
    groups: list[AnyGroup] = [Founded("dams 0"), Founded("sire 0", 1)]
    for t in range(1, 8):
        mates = (f"dams {t - 1}", f"sire {t - 1}")
        groups += [Bred(f"dams {t}", *mates), Bred(f"sire {t}", *mates, number=1)]
    kin = group_kinship(groups)
    found = [float(kin.inbreeding(f"dams {t}")) for t in range(2, 8)]
    assert found == pytest.approx(value.expected["F"], abs=5e-7)


@claims("inb.backcross")
def test_repeated_backcrossing() -> None:
    """Falconer & Mackay 1996. The selfing series seen, the backcross to an animal not inbred computed."""
    value = check_value("inb.backcross")
    assert (value.verified, value.verified_scope) == (True, "selfing seen; backcross computed")

    def series(founder: Founded) -> list[float]:
        groups: list[AnyGroup] = [founder, Founded("wild"), Bred("b0", "wild", founder.name)]
        groups += [Bred(f"b{t}", f"b{t - 1}", founder.name) for t in range(1, 7)]
        kin = group_kinship(groups)
        return [float(kin.inbreeding(f"b{t}")) for t in range(1, 7)]

    assert series(Founded("visual", 1)) == value.expected["noninbred"]
    assert series(Founded("visual", 1, inbreeding=1))[:5] == value.expected["inbred_or_selfing"]
    # The same for marked animals.
    animals = [Animal("visual"), Animal("wild"), Animal("b0", "wild", "visual")]
    animals += [Animal(f"b{t}", f"b{t - 1}", "visual") for t in range(1, 7)]
    assert inbreeding(Pedigree.of(animals))[3:].tolist() == value.expected["noninbred"]


@claims("inb.ne")
def test_inbreeding_in_an_ideal_population() -> None:
    """Falconer & Mackay 1996, ch. 3-4; all numbers seen as worked examples."""
    value = check_value("inb.ne")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    expected = value.expected
    assert float(inbreeding_after(10, 50)) == pytest.approx(expected["N10_t50"], abs=5e-7)
    assert float(inbreeding_after(50, 50)) == pytest.approx(expected["N50_t50"], abs=5e-8)
    assert inbreeding_after(10, 0) == expected["N10_t0"]


@claims("inb.wright")
def test_effective_numbers() -> None:
    """Wright 1931, 1938. The formulas from memory, the values computed from them; none seen in print."""
    value = check_value("inb.wright")
    assert (value.verified, value.verified_scope) == (False, "none seen")
    expected = value.expected
    assert float(effective_size(1, 9)) == expected["one_male_nine_females"]
    assert float(effective_size(1, 99)) == expected["one_male_99_females"]
    assert float(effective_size(2, 20)) == pytest.approx(expected["two_males_20_females"], abs=5e-7)
    assert float(harmonic_mean([10, 100, 50, 10])) == pytest.approx(expected["harmonic_10_100_50_10"], abs=5e-7)
