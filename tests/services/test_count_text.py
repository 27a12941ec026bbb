"""Counts as people write them: 180 lines with their readings, laws, and whatever a keyboard can produce."""

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bot.records import Exactness, Seen, Sex, Stage
from bot.services.count_items import Item
from bot.services.count_sums import class_text, figure_text, written
from bot.services.count_text import CountRead, read_count
from bot.services.count_words import AnimalClass
from bot.services.figures import Figure
from bot.services.refusals import CountNotRead, CountProblem
from bot.services.refusals_bins import CountUnclear
from bot.services.tally import MOST, read_tally

THURSDAY = date(2026, 3, 5)
TRAITS = ("ember", "frost", "night shade", "ink")
LINES: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "data" / "counts.toml").read_text(encoding="utf-8")
)["line"]


def read(text: str, today: date = THURSDAY) -> CountRead:
    return read_count(text, TRAITS, today)


def said(item: Item) -> str:
    animals = class_text(item.animals or AnimalClass(), item.figure.most if item.figure else 2)
    return f"{figure_text(item.figure)} {animals}" if item.figure else f"{item.said}: {animals}"


def test_there_are_enough_lines_of_each_kind() -> None:
    assert len(LINES) >= 150
    assert len({line["typed"] for line in LINES}) == len(LINES)
    assert sum("asks" in line and "refused" not in line for line in LINES) >= 15
    assert {line["refused"] for line in LINES if "refused" in line} == {problem.value for problem in CountProblem}


@pytest.mark.parametrize("line", [each for each in LINES if "whole" in each], ids=lambda line: line["typed"])
def test_a_line_is_read_as_it_is_meant(line: dict[str, Any]) -> None:
    found = read(line["typed"])
    assert figure_text(found.whole) == line["whole"]
    assert [said(item) for item in found.classes] == line.get("classes", [])
    assert (found.seen, str(found.share) if found.share else None) == (line.get("seen"), line.get("share"))
    assert found.on == line.get("on")


@pytest.mark.parametrize(
    "line", [each for each in LINES if "asks" in each and "refused" not in each], ids=lambda line: line["typed"]
)
def test_a_line_that_can_be_meant_in_several_ways_is_asked_about_and_not_guessed(line: dict[str, Any]) -> None:
    with pytest.raises(CountUnclear) as caught:
        read(line["typed"])
    assert caught.value.text == line["typed"]
    assert list(caught.value.readings) == line["asks"]


@pytest.mark.parametrize("line", [each for each in LINES if "refused" in each], ids=lambda line: line["typed"])
def test_a_line_that_is_no_count_is_refused_with_its_reason(line: dict[str, Any]) -> None:
    with pytest.raises(CountNotRead) as caught:
        read(line["typed"])
    assert (caught.value.problem.value, caught.value.text) == (line["refused"], line["typed"])
    assert list(caught.value.readings) == line.get("asks", [])


@pytest.mark.parametrize("reading", sorted({reading for line in LINES for reading in line.get("asks", [])}))
def test_what_is_offered_can_be_meant_in_one_way(reading: str) -> None:
    assert read(reading).whole.total >= 0


def test_not_counted_is_not_none_and_none_seen_is_not_counted_none() -> None:
    texts = ("12 adults, mancae not counted", "12 adults, no mancae", "12 adults, 0 mancae", "12 adults")
    mancae = [next((i for i in read(text).classes if i.animals == AnimalClass(Stage.MANCA)), None) for text in texts]
    assert [item.said if item else None for item in mancae] == [Seen.NOT_COUNTED, Seen.NONE, Seen.COUNTED, None]
    assert [read(text).whole.exactness for text in texts] == [
        Exactness.AT_LEAST,
        Exactness.EXACT,
        Exactness.EXACT,
        Exactness.EXACT,
    ]


@pytest.mark.parametrize("text", ["29 feb 40", "40 on 29 february"])
def test_a_leap_day_is_the_last_there_was(text: str) -> None:
    assert read(text, date(2027, 1, 10)).on == date(2024, 2, 29)
    assert read(text, date(2024, 2, 29)).on == date(2024, 2, 29)


def test_the_day_before_new_years_day_is_in_the_year_before() -> None:
    assert read("40 yesterday", date(2026, 1, 1)).on == date(2025, 12, 31)
    assert read("40 on 31 dec", date(2026, 1, 1)).on == date(2025, 12, 31)


def test_a_trait_is_found_by_its_name_whatever_else_a_word_of_it_means() -> None:
    found = read_count("3 m, 2 little reds, 4 wild", ("little red", "m"), THURSDAY)
    assert [said(item) for item in found.classes] == ["3 m", "2 little red", "4 wild"]


STAGES = st.sampled_from([None, *Stage])
SEXES = st.sampled_from([None, Sex.MALE, Sex.FEMALE])
FIGURES = st.one_of(
    st.builds(Figure, st.integers(0, 900), st.sampled_from([Exactness.EXACT, Exactness.ESTIMATE, Exactness.AT_LEAST])),
    st.tuples(st.integers(0, 400), st.integers(1, 400)).map(
        lambda pair: Figure(pair[0] + pair[1] // 2, Exactness.RANGE, pair[0], pair[0] + pair[1])
    ),
)
SAID = st.sampled_from([Seen.SOME, Seen.NONE, Seen.NOT_COUNTED])


@st.composite
def counts(draw: st.DrawFn) -> list[Item]:
    """Classes that speak of the same things, so that no animal can be in two of them, and perhaps a whole."""
    kinds = draw(
        st.sampled_from(
            [
                [AnimalClass(stage) for stage in Stage],
                [AnimalClass(sex=sex) for sex in Sex],
                [AnimalClass(stage, sex) for stage in Stage for sex in (Sex.MALE, Sex.FEMALE)],
                [AnimalClass(traits=(name,)) for name in TRAITS] + [AnimalClass(wild=True)],
                [AnimalClass(stage, traits=("ember",)) for stage in Stage] + [AnimalClass(Stage.ADULT, wild=True)],
            ]
        )
    )
    chosen = draw(st.lists(st.sampled_from(kinds), min_size=1, max_size=4, unique=True))
    return [
        Item(Seen.COUNTED, draw(FIGURES), animals) if draw(st.booleans()) else Item(draw(SAID), None, animals)
        for animals in chosen
    ]


@given(counts(), st.sampled_from([None, THURSDAY, date(2025, 12, 31)]))
def test_what_is_written_is_read_as_it_was(items: list[Item], on: date | None) -> None:
    if not any(item.figure for item in items):
        with pytest.raises(CountNotRead):
            read(written(items, on))
        return
    found = read(written(items, on))
    assert list(found.classes) == items
    assert found.on == on
    counted = [item.figure for item in items if item.figure is not None]
    assert found.whole.least == sum(figure.least for figure in counted)
    unknown = any(item.said in (Seen.SOME, Seen.NOT_COUNTED) for item in items)
    assert found.whole.exactness is not Exactness.EXACT or not unknown


@given(counts())
def test_the_order_of_the_classes_changes_nothing(items: list[Item]) -> None:
    if any(item.figure for item in items):
        forward, backward = read(written(items)), read(written(items[::-1]))
        assert forward.whole == backward.whole
        assert set(forward.classes) == set(backward.classes)


@given(st.integers(0, MOST))
def test_a_number_alone_is_read_as_where_nothing_but_numbers_are_taken(total: int) -> None:
    for text in (f"{total}", f"{total:,}", f"about {total}", f"{total}ish", f"~{total}"):
        tally = read_tally(text)
        assert read(text).whole == Figure(tally.total, tally.exactness)


@given(st.integers(1, 300), st.sampled_from(["1/2", "1/4", "25%", "1/3", "3 of 12 scoops"]))
def test_a_share_of_the_bin_makes_the_whole_by_its_inverse(seen: int, share: str) -> None:
    found = read(f"{seen} in {share}{'' if 'scoop' in share else ' of the litter'}")
    assert found.seen == seen
    assert found.share is not None
    assert abs(found.whole.total - seen / found.share) <= 0.5
    assert found.whole.exactness is Exactness.ESTIMATE


SCRAPS = st.lists(
    st.sampled_from(
        ["40", "12", " ", "adults", "juv", "mancae", "m", "f", "ember", "wild", "~", "about ", "-", "+", "/", ",", "?", "no ",
         "not counted", "lots of ", "half the litter", "in all", "(", ")", "of which ", "yesterday", "on 3/4", "dozen", "ish",
         "a ", "1.2.3", "1.5", "\n", "=", ":", "and ", "seen", "1,200", "½", "٣", "x", "3 days ago", "of 12 scoops", "%"]
    ),
    max_size=9,
).map(" ".join)  # fmt: skip


def outcome(text: str) -> CountRead | CountUnclear | CountNotRead:
    """What comes of a text: a count, a question or a refusal."""
    try:
        return read(text)
    except (CountUnclear, CountNotRead) as refused:
        return refused


@given(st.one_of(st.text(max_size=60), SCRAPS, SCRAPS.map(lambda text: text.replace(" ", ""))))
@example("9" * 5000)
@example("- 5")
@example("±")
@example("40 of which")
def test_any_text_is_read_or_asked_about_or_refused_and_never_lost(text: str) -> None:
    found = outcome(text)
    if isinstance(found, CountRead):
        assert 0 <= found.whole.least <= found.whole.total <= found.whole.most <= MOST
        assert found.on is None or found.on <= THURSDAY
        assert found.share is None or 0 < found.share < 1
        return
    assert found.text == text
    if isinstance(found, CountUnclear):
        assert found.readings
    # What is offered may still be refused for another reason, but a press never ends in a question that it was the answer to.
    for reading in found.readings:
        again = outcome(reading)
        assert not isinstance(again, CountUnclear) or reading not in again.readings
