"""Broods as keepers type them on a phone: what a line means was decided by hand before it was read (`data/broods.toml`)."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import Sex
from bot.services.refusals import CountNotRead
from bot.services.refusals_breeding import LookHasDoses, ScoresNotRead, ScoresUnclear
from bot.services.scored_text import Look, Scored, read_scored, written
from genetics import Appearance, Dominance, Trait

EMBER, FROST = Trait("ember", "e", Dominance.RECESSIVE), Trait("frost", "f", Dominance.RECESSIVE)
INK, DUSK = Trait("ink", "i", Dominance.RECESSIVE), Trait("dusk", "d", Dominance.INCOMPLETE)
TRAITS = (EMBER, FROST, INK, DUSK)
LINES = tomllib.loads((Path(__file__).parent / "data" / "broods.toml").read_text(encoding="utf-8"))
MARKS = {Sex.FEMALE: "♀", Sex.MALE: "♂", Sex.UNKNOWN: ""}


def says(scored: Scored) -> frozenset[str]:
    """A reading as the lines have it."""
    parts = [f"{_look(look)} {look.number}" for look in scored.looks]
    for name, number in (("unsure", scored.unsure), ("unscored", scored.unscored)):
        parts += [f"{name} {number}"] * (number > 0)
    told = {"dead": scored.dead, "born": scored.born, "age": scored.age_days, "mm": scored.length_mm}
    parts += [f"{name} {value}" for name, value in told.items() if value is not None]
    parts += [f"day {scored.day}"] if scored.day else []
    return frozenset(parts + ["about"] * scored.estimated)


def _look(look: Look) -> str:
    names = [trait.name + "-" * (appearance is Appearance.PARTIAL) for trait, appearance in look.shown]
    return ("+".join(names) or "wild") + MARKS[look.sex]


def meant(text: str) -> frozenset[str]:
    return frozenset(part.strip() for part in text.split(";"))


def read(typed: str) -> Scored:
    return read_scored(typed, TRAITS, about="ember")


def test_there_are_two_hundred_lines_and_many_of_them_are_doubtful() -> None:
    assert sum(map(len, LINES.values())) >= 200
    assert len(LINES["asked"]) >= 25
    typed = [line[0] for lines in LINES.values() for line in lines]
    assert len(set(typed)) == len(typed)


@pytest.mark.parametrize(("typed", "expected"), LINES["clear"])
def test_a_line_with_one_meaning_is_read_as_that(typed: str, expected: str) -> None:
    assert says(read(typed)) == meant(expected)


@pytest.mark.parametrize("line", LINES["asked"], ids=lambda line: line[0])
def test_a_line_with_two_meanings_is_asked_about_and_each_answer_is_read_as_what_it_says(line: list[str]) -> None:
    typed, *expected = line
    with pytest.raises((ScoresUnclear, LookHasDoses)) as caught:
        read(typed)
    assert isinstance(caught.value, ScoresUnclear | LookHasDoses)
    readings = caught.value.readings
    assert [says(read(reading)) for reading in readings] == [meant(text) for text in expected]
    # They go into a button, with the number of a draft before them.
    assert all(len(reading) <= 45 for reading in readings)


@pytest.mark.parametrize(("typed", "rest"), LINES["refused"])
def test_a_line_without_a_meaning_is_refused_where_it_has_none(typed: str, rest: str) -> None:
    with pytest.raises((ScoresNotRead, CountNotRead)) as caught:
        read(typed)
    refusal = caught.value
    assert rest in (refusal.rest if isinstance(refusal, ScoresNotRead | CountNotRead) else "")


_WORDS = st.sampled_from(
    [
        "6",
        "17",
        "20",
        "0",
        "no",
        "none",
        "about",
        "~",
        "ember",
        "wild",
        "frost",
        "dusk",
        "het",
        "super",
        "of",
        "out",
        "in",
        "all",
        "rest",
        "unsure",
        "dead",
        "born",
        "weeks",
        "9w",
        "mm",
        ",",
        ";",
        ":",
        "/",
        "-",
        "?",
        "=",
        "(",
        "\n",
        "females",
        "males",
        "f",
        "m",
        "mancae",
        "young",
        "scored",
        "too",
        "small",
        "yesterday",
        "3",
        "may",
        "on",
        "3/5",
        "and",
        "+",
        "x",
        "ish",
        "embr",
        "♀",
    ]
)


@given(st.lists(_WORDS, max_size=9).map(" ".join) | st.text(max_size=40))
def test_any_line_is_read_or_refused_and_its_numbers_are_consistent(text: str) -> None:
    try:
        scored = read(text)
    except (ScoresUnclear, LookHasDoses) as question:
        for reading in question.readings:
            _consistent(read(reading))
    except (ScoresNotRead, CountNotRead):
        return
    else:
        _consistent(scored)
        assert not text.strip() or scored != Scored()


def _consistent(scored: Scored) -> None:
    numbers = [
        scored.unsure,
        scored.unscored,
        scored.dead or 0,
        scored.born or 0,
        *(one.number for one in scored.looks),
    ]
    assert all(number >= 0 for number in numbers)
    assert scored.total == sum(one.number for one in scored.looks)


_LOOKS = st.sampled_from([(), ((EMBER, Appearance.FULL),), ((DUSK, Appearance.PARTIAL),), ((DUSK, Appearance.FULL),)])
_COUNTS = st.lists(st.tuples(_LOOKS, st.sampled_from(Sex), st.integers(1, 300)), min_size=1, max_size=4).map(
    lambda told: tuple(
        Look(number, sex, look) for (look, sex), number in {(one[0], one[1]): one[2] for one in told}.items()
    )
)
_MAYBE = st.none() | st.integers(0, 400)


@given(
    st.builds(
        Scored,
        looks=_COUNTS,
        unsure=st.integers(0, 40),
        unscored=st.integers(0, 40),
        dead=_MAYBE,
        born=_MAYBE,
        age_days=st.none() | st.integers(1, 500),
        length_mm=st.none() | st.sampled_from([6, 9]),
        day=st.sampled_from(["", "3 may", "yesterday", "2 days ago"]),
    )
)
def test_what_is_written_in_few_words_is_read_back_as_the_same(scored: Scored) -> None:
    assert says(read(written(scored))) == says(scored)
