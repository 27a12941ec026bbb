"""What to do first with an odd animal, of each kind of it, and the days on which is asked."""

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.records import Sex, SexSystem, Stage
from bot.services.find_steps import Step, alive_later, count_sisters_on, photograph_on, steps_of
from bot.services.species import shipped_species
from tests.support.finds import FIND, NOW

DAY = timedelta(days=1)
SCABER = shipped_species().named("Porcellio scaber")


@pytest.mark.parametrize(
    ("changed", "steps"),
    [
        ({}, [Step.MATES, Step.STORED_SPERM, Step.BREED_FIRST]),
        ({"stage": None, "sex": Sex.UNKNOWN}, [Step.MATES, Step.STORED_SPERM, Step.BREED_FIRST]),
        ({"sex": Sex.MALE}, [Step.MATES, Step.BREED_FIRST]),
        ({"stage": Stage.JUVENILE}, [Step.YOUNG_ALONE]),
        ({"stage": Stage.MANCA, "sex": Sex.UNKNOWN}, [Step.UNSEXED_ALONE]),
        ({"stage": Stage.JUVENILE, "sex": Sex.MALE}, [Step.YOUNG_MALE]),
        ({"pouch_filled": True}, [Step.POUCH, Step.MATES]),
        ({"pouch_filled": True, "sheen": True}, [Step.SICK_APART]),
        ({"slow": True, "stage": Stage.JUVENILE}, [Step.SLOW_APART, Step.YOUNG_ALONE]),
        ({"slow": True}, [Step.SLOW_APART]),
        ({"slow": True, "pouch_filled": True}, [Step.SLOW_APART, Step.POUCH]),
        ({"slow": True, "sheen": False, "stage": Stage.JUVENILE}, [Step.YOUNG_ALONE]),
    ],
)
def test_the_steps_of_each_kind_of_animal(changed: dict[str, object], steps: list[Step]) -> None:
    """science.md §5 (a disease first), isopods.md §7.2 (virgins), chat.md (first advice of find)."""
    find = replace(FIND, **changed)
    assert list(steps_of(find, SexSystem.UNKNOWN)) == steps


def test_a_clonal_animal_needs_nobody() -> None:
    assert steps_of(FIND, SexSystem.THELYTOKOUS) == (Step.CLONE_ALONE,)
    assert steps_of(replace(FIND, sheen=True), SexSystem.THELYTOKOUS) == (Step.SICK_APART,)


def test_of_grown_animals_57_in_100_live_nine_months_more() -> None:
    """The figure of science.md §6 for the default survival of .94 in 30 days."""
    assert SCABER.figures["adult_survival"].usual == Fraction(94, 100)
    assert round(float(alive_later(SCABER)), 2) == 0.57


def test_the_photograph_comes_after_the_moult_that_is_next() -> None:
    """33 days from moult to moult in *P. scaber* (Zidar, Drobne and Štrus 1998), and five days of peace."""
    assert photograph_on(replace(FIND, moulted_at=NOW - 3 * DAY), NOW) == NOW + 35 * DAY
    assert photograph_on(FIND, NOW) == NOW + 38 * DAY
    # 100 days ago it moulted, so three moults are past and the fourth comes after 132 days.
    assert photograph_on(replace(FIND, moulted_at=NOW - 100 * DAY), NOW) == NOW + 4 * DAY
    assert photograph_on(replace(FIND, stage=Stage.MANCA), NOW) == NOW + 19 * DAY


def test_sisters_are_counted_once_they_can_be_read() -> None:
    assert count_sisters_on(FIND, SCABER, NOW) == NOW + 7 * DAY
    readable = round(SCABER.figures["scoring_days"].usual)
    # Colour is not scored before six to eight weeks (isopods.md §0).
    assert 42 <= readable <= 56
    assert count_sisters_on(replace(FIND, stage=Stage.MANCA), SCABER, NOW) == NOW + readable * DAY
    assert count_sisters_on(replace(FIND, stage=Stage.MANCA, found_at=NOW - 300 * DAY), SCABER, NOW) == NOW + 7 * DAY


@settings(max_examples=60)
@given(st.integers(0, 3_653), st.sampled_from([None, *Stage]), st.booleans())
def test_nothing_is_asked_before_tomorrow(days: int, stage: Stage | None, moulted: bool) -> None:
    find = replace(FIND, stage=stage, found_at=NOW - days * DAY, moulted_at=NOW - days * DAY if moulted else None)
    assert NOW + DAY <= photograph_on(find, NOW) <= NOW + 38 * DAY
    assert count_sisters_on(find, SCABER, NOW) >= NOW + 7 * DAY
