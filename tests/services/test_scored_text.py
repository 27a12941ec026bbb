"""Scored broods as people type them: what is read, what is asked about, and that nothing else happens."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import Sex
from bot.services.refusals import CountNotRead
from bot.services.refusals_breeding import LookHasDoses, ScoresNotRead, ScoresUnclear
from bot.services.scored_text import Scored, read_scored
from genetics import Appearance, Dominance, Trait

EMBER, FROST = Trait("ember", "e", Dominance.RECESSIVE), Trait("frost", "f", Dominance.RECESSIVE)
DUSK = Trait("dusk", "d", Dominance.INCOMPLETE)
TRAITS = (EMBER, FROST, DUSK)


def told(scored: Scored) -> dict[str, int]:
    """The looks in short: "ember♂" is full ember, male; "dusk-" is dusk in part."""
    marks = {Sex.FEMALE: "♀", Sex.MALE: "♂", Sex.UNKNOWN: ""}
    return {
        ("+".join(t.name + ("-" if look is Appearance.PARTIAL else "") for t, look in one.shown) or "wild")
        + marks[one.sex]: one.number
        for one in scored.looks
    }


@pytest.mark.parametrize(
    ("typed", "looks"),
    [
        ("6 ember 17 wild", {"ember": 6, "wild": 17}),
        ("6 ember, 17 wild", {"ember": 6, "wild": 17}),
        ("ember 6 wild 17", {"ember": 6, "wild": 17}),
        ("Ember: 6\nwild-looking: 17", {"ember": 6, "wild": 17}),
        ("six ember; seventeen wild", {"ember": 6, "wild": 17}),
        ("three ember; twelve wild", {"ember": 3, "wild": 12}),
        ("0 ember, 23 wild", {"ember": 0, "wild": 23}),
        ("no ember, 23 wild", {"wild": 23}),
        ("3 ember males, 2 ember females, 17 wild", {"ember♂": 3, "ember♀": 2, "wild": 17}),
        ("4 male ember 8 male wild, 5 female ember 6 female wild", {"ember♂": 4, "wild♂": 8, "ember♀": 5, "wild♀": 6}),
        ("5 ember and frost, 3 frost, 8 wild", {"ember+frost": 5, "frost": 3, "wild": 8}),
        ("3 het dusk, 4 super dusk, 2 wild", {"dusk-": 3, "dusk": 4, "wild": 2}),
        ("about 20 wild", {"wild": 20}),
        ("12 visual ember, 11 normal", {"ember": 12, "wild": 11}),
    ],
)
def test_looks_are_read(typed: str, looks: dict[str, int]) -> None:
    assert told(read_scored(typed, TRAITS)) == looks


def test_what_stands_beside_the_looks_is_read_too() -> None:
    scored = read_scored("6 ember 17 wild, 9 weeks old, 3 unsure, 2 dead, 4 too young, 35 born, 6 mm", TRAITS)
    assert (scored.age_days, scored.length_mm) == (63, Fraction(6))
    assert (scored.unsure, scored.dead, scored.unscored, scored.born) == (3, 2, 4, 35)
    assert scored.total == 23


def test_what_was_not_said_is_not_known() -> None:
    scored = read_scored("17 wild", TRAITS)
    assert (scored.dead, scored.born, scored.age_days, scored.length_mm) == (None, None, None, None)


@pytest.mark.parametrize(
    "typed", ["6:17", "6 embr 17 wild", "6 ember of 24", "ember", "6", "2 dead, 3 dead", "9 weeks, 60 days"]
)
def test_what_cannot_be_read_is_pointed_at_and_never_guessed(typed: str) -> None:
    with pytest.raises((ScoresNotRead, ScoresUnclear, CountNotRead)):
        read_scored(typed, TRAITS)


def test_a_look_with_one_dose_or_two_is_asked_about() -> None:
    with pytest.raises(LookHasDoses) as caught:
        read_scored("3 dusk, 4 wild", TRAITS)
    assert caught.value.name == "dusk"


@given(st.integers(0, 300), st.integers(1, 300), st.integers(0, 40), st.integers(1, 80))
def test_what_is_written_in_full_is_read_back(ember: int, wild: int, unsure: int, weeks: int) -> None:
    scored = read_scored(f"{ember} ember {wild} wild, {unsure} unsure, {weeks} weeks", TRAITS)
    assert (told(scored), scored.unsure, scored.age_days) == ({"ember": ember, "wild": wild}, unsure, 7 * weeks)
