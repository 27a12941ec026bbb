"""Agreement of scorers against the worked examples of those who proposed the figures, and the fifteen scorers of Pearl's kernels."""

from itertools import pairwise

import pytest

from genetics.agreement import agreement, cohen, compared, fleiss, misreadings
from tests.support.claims import check_value

SCHIZOPHRENIA_AND_OTHERS = [[88, 10, 2], [14, 40, 6], [18, 10, 12]]
"""Cohen 1960, Table 2: 200 patients, two judges, three diagnoses. The table and its figures are from memory; they agree with
each other."""

FLEISS_1971 = """
    444444 222555 233335 555555 222444 113333 333355 113334 114444 555555
    144444 124444 222333 144444 224445 333335 111455 111112 224444 133555
    555555 244444 224555 114444 144445 222224 111155 224444 133333 555555
"""
"""Fleiss 1971, Table 1: 30 patients, each read by six psychiatrists as one of five diagnoses, as the R package irr (0.84,
`diagnoses`) and the tests of statsmodels carry it: a patient a word, a reading a figure; the order within a word says nothing."""


def pairs_of(table: list[list[int]]) -> list[tuple[int, int]]:
    """The animals of a square table, one by one."""
    return [(a, b) for a, row in enumerate(table) for b, number in enumerate(row) for _ in range(number)]


def test_kappa_of_two_is_that_of_cohens_example() -> None:
    """Educ. Psychol. Meas. 20:37-46: of .70 seen and .41 by chance, kappa is .492."""
    readings = pairs_of(SCHIZOPHRENIA_AND_OTHERS)
    assert agreement(readings) == (pytest.approx(0.70), 200)
    assert cohen(readings).value == pytest.approx(0.492, abs=5e-4)


def fleiss_rows() -> list[tuple[int, ...]]:
    return [tuple(int(figure) for figure in patient) for patient in FLEISS_1971.split()]


def test_kappa_of_many_is_that_of_fleisss_example() -> None:
    """Psychol. Bull. 76:378-382: .5556 seen, .2201 by chance, kappa .430 (the first two from memory)."""
    rows = fleiss_rows()
    assert (len(rows), {len(row) for row in rows}) == (30, {6})
    seen, animals = agreement(rows)
    assert (seen, animals) == (pytest.approx(0.5556, abs=5e-4), 30)
    found = fleiss(rows)
    assert found.value == pytest.approx(0.430, abs=5e-4)
    # His standard error under no agreement was corrected in 1979; the interval here is another one, and holds 0.43 away from 0.
    assert found.interval is not None
    assert 0.2 < found.interval.low < 0.43 < found.interval.high < 0.66


def least_apart(one: list[int], other: list[int]) -> list[tuple[int, int]]:
    """Readings of the same kernels by two who found these numbers, as alike as they can have been."""
    same = [min(a, b) for a, b in zip(one, other, strict=True)]
    rest = [
        [kind for kind, (n, m) in enumerate(zip(row, same, strict=True)) for _ in range(n - m)] for row in (one, other)
    ]
    return [(kind, kind) for kind, n in enumerate(same) for _ in range(n)] + list(zip(*rest, strict=True))


def test_the_scorers_of_pearls_kernels_read_them_differently_however_it_was() -> None:
    """Pearl 1911, Biol. Bull. 21:339-366: the same ears, fifteen observers, four classes. Data seen: three of them of ear 8.

    Only how many kernels each found of a class is on record. Even if they agreed wherever their numbers let them, kappa falls
    well short of 1, and what one calls white and starchy another does not.
    """
    rows: dict[str, list[int]] = check_value("obs.error.pearl").numbers["sample"]
    ear = [rows[f"Ear08/Obs{number}"] for number in ("01", "02", "13")]
    for one, other in pairwise(ear):
        readings = least_apart(one, other)
        assert len(readings) == sum(one) == 532
        seen, _ = agreement(readings)
        assert seen == 1 - sum(abs(a - b) for a, b in zip(one, other, strict=True)) / 2 / 532
        assert compared(readings) == (round((1 - seen) * 532), 532)
        kappa = cohen(readings)
        assert kappa.value is not None
        assert kappa.value < 0.85
        assert kappa.interval is not None
        assert kappa.interval.high < 0.9
    # Beside observer 13, who found 9:3:3:1, observer 1 missed two white starchy kernels of five.
    first, thirteenth = ear[0], ear[2]
    readings = least_apart(thirteenth, first)
    found = misreadings([(b,) for _, b in readings], [a for a, _ in readings])
    assert (found[2].wrong, found[2].read) == (43, 95)
    assert found[2].interval.low > 0.35
    assert found[0].wrong == 0
