"""How many young to see: the tables of sample sizes."""

from fractions import Fraction

import pytest

from genetics import Appearance, Dominance, Offspring, Trait, offspring, parent, read_cross
from genetics.raising import Draws, how_many
from tests.support.claims import check_value, claims

NAMES = ("ash", "birch", "cedar", "dogwood")
TRAITS = tuple(Trait(name, name[0], Dominance.RECESSIVE) for name in NAMES)
ASH, BIRCH, CEDAR, DOGWOOD = TRAITS
WILD, FULL = Appearance.WILD, Appearance.FULL


def young_of(text: str) -> Offspring:
    cross = read_cross(text, TRAITS)
    return offspring(parent(cross.dam, TRAITS), parent(cross.sire, TRAITS), TRAITS)


# A cross and a class for every share of the table that a cross of known genotypes can give.
CROSSES: dict[str, tuple[str, dict[Trait, Appearance]]] = {
    "1/2": ("het ash x ash", {ASH: FULL}),
    "3/8": ("het ash, het birch x het ash, birch", {ASH: WILD, BIRCH: FULL}),
    "1/4": ("het ash x het ash", {ASH: FULL}),
    "3/16": ("het ash, het birch x het ash, het birch", {ASH: WILD, BIRCH: FULL}),
    "1/8": ("het ash, het birch x het ash, birch", {ASH: FULL, BIRCH: FULL}),
    "1/16": ("het ash, het birch x het ash, het birch", {ASH: FULL, BIRCH: FULL}),
    "1/32": (
        "het ash, het birch, het cedar x het ash, het birch, cedar",
        {ASH: FULL, BIRCH: FULL, CEDAR: FULL},
    ),
    "1/64": (
        "het ash, het birch, het cedar x het ash, het birch, het cedar",
        {ASH: FULL, BIRCH: FULL, CEDAR: FULL},
    ),
    "1/256": (
        "het ash, het birch, het cedar, het dogwood x het ash, het birch, het cedar, het dogwood",
        {ASH: FULL, BIRCH: FULL, CEDAR: FULL, DOGWOOD: FULL},
    ),
}


@claims("size.recover")
def test_the_whole_table_of_numbers_to_see() -> None:
    """Exact negative-binomial minimum; computed, no printed table was seen (Sedcole 1977 is partly an approximation)."""
    value = check_value("size.recover")
    assert (value.verified, value.verified_scope) == (False, "none seen")
    # No cross of known genotypes gives 1/3; that row is put to the arithmetic underneath.
    assert set(value.expected) == {*CROSSES, "1/3"}
    confidences = (Fraction(95, 100), Fraction(99, 100))
    for share, rows in value.expected.items():
        if share == "1/3":
            found = [[how_many(Draws({1: 1}, 1, 3), k, sure).see for k in range(1, 6)] for sure in confidences]
        else:
            text, wanted = CROSSES[share]
            young = young_of(text)
            assert young.share(wanted) == Fraction(share)
            found = [[young.how_many(k, sure, wanted).see for k in range(1, 6)] for sure in confidences]
        assert found == rows, share


@claims("size.carrier")
def test_clean_young_that_clear_a_suspected_carrier() -> None:
    """Standard progeny-test table. Only 1/1024 was seen in print; the other cells are computed."""
    value = check_value("size.carrier")
    assert (value.verified, value.verified_scope) == (False, "only 1/1024 seen; rest computed")
    suspect = "het ash"
    mates = ["ash", "het ash", "2/3 het ash", "1/2 het ash"]
    crosses = [young_of(f"{suspect} x {mate}") for mate in mates]
    shares = [young.share({ASH: FULL}) for young in crosses]
    assert shares == [Fraction(1, lower) for lower in (2, 4, 6, 8)]
    # The last two rows take every young from another mate, so that each is a draw of its own from the mean share.
    draws = [Draws({share.numerator: 1}, 1, share.denominator) for share in shares]
    for name, confidence in (("n95", "0.95"), ("n99", "0.99"), ("n999", "0.999")):
        assert [how_many(one, 1, Fraction(confidence)).see for one in draws] == value.expected[name]
    # All young from one and the same uncertain mate never clear the suspect: the mate may be no carrier.
    assert [young.how_many(1, Fraction("0.95"), {ASH: FULL}).see for young in crosses] == [5, 11, None, None]
    ten = value.expected["ten_polled_calves"]
    undetected = 1 - crosses[0].at_least(1, ten["n"], {ASH: FULL})
    assert undetected == Fraction(ten["chance_carrier_undetected"])
    assert float(1 - undetected) == pytest.approx(ten["confidence"], abs=5e-4)
