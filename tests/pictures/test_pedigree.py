"""Families as drawn: symbols after the published nomenclature, lines that join the right ones and none on another."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.pictures.family import family_picture
from bot.pictures.pedigree import Mating, Member, Pedigree, Sex, Shows
from bot.pictures.pedigree_chart import pedigree_chart
from bot.pictures.pedigree_marks import Line, Mark, PedigreeChart, Shape
from tests.support.families import (
    all_families,
    backcross,
    dam,
    forty_bins,
    group,
    loop,
    sire,
    thelytokous,
    three_generations,
    two_joined,
)
from tests.support.pictures import assert_is_a_picture

FAMILIES = all_families()


def chart_of(pedigree: Pedigree) -> PedigreeChart:
    return pedigree_chart(pedigree, "Family of B-4")


def marks(pedigree: Pedigree) -> dict[str, Mark]:
    return {mark.key: mark for mark in chart_of(pedigree).marks}


# Symbols, after Bennett et al. 2008, figures 1 to 3


def test_square_circle_and_diamond_are_male_female_and_unknown_or_a_group() -> None:
    found = marks(Pedigree((dam("A"), sire("B"), Member("C", "C"), group("D", 4)), ()))
    assert [found[key].shape for key in "ABCD"] == [Shape.CIRCLE, Shape.SQUARE, Shape.DIAMOND, Shape.DIAMOND]
    assert thelytokous().member("T-2").sex is Sex.FEMALE
    assert marks(thelytokous())["T-2"].shape is Shape.CIRCLE


def test_filled_shows_and_a_dot_is_a_carrier_for_sure_and_no_other() -> None:
    found = marks(three_generations())
    assert {key for key, mark in found.items() if mark.fill is Shows.YES} == {"A"}
    assert {key for key, mark in found.items() if mark.dot} == {"C", "D", "E"}
    assert found["H"].texts == ("H", "1/2 het")


def test_one_that_shows_has_no_dot() -> None:
    assert not marks(Pedigree((dam("A", shows=Shows.YES, carries=Fraction(1)),), ()))["A"].dot


@pytest.mark.parametrize(
    ("member", "inside", "texts"),
    [
        (group("B-4", 23), "23", ("B-4",)),
        (group("B-4", 120, estimate=True), "~120", ("B-4",)),
        (group("B-4", 1200, estimate=True), "", ("B-4", "about 1,200")),
        (group("B-4"), "n", ("B-4",)),
        (group("B-4", 0), "0", ("B-4",)),
        (group("B-4", 8, carries=Fraction(2, 3)), "8", ("B-4", "2/3 carry")),
        (group("B-4", 8, carries=Fraction(1)), "8", ("B-4", "carry")),
        (dam("B-4", shows=Shows.UNKNOWN), "?", ("B-4",)),
        (dam("B-4", note="2 broods"), "", ("B-4", "2 broods")),
    ],
)
def test_what_stands_in_and_below_a_symbol(member: Member, inside: str, texts: tuple[str, ...]) -> None:
    (mark,) = chart_of(Pedigree((member,), (), "ember")).marks
    assert (mark.inside, mark.texts) == (inside, texts)


def test_the_dead_are_struck_and_who_was_asked_about_is_pointed_at() -> None:
    found = marks(three_generations())
    assert {key for key, mark in found.items() if mark.dead} == {"B"}
    assert {key for key, mark in found.items() if mark.asked} == {"I"}


@pytest.mark.parametrize(
    ("pedigree", "related"),
    [
        (three_generations(), [False, False]),
        (backcross(), [False, True]),
        (loop(), [False, False, False, True]),
        (two_joined(), [False] * 3),
        (thelytokous(), [False] * 3),
    ],
)
def test_relatives_are_joined_by_a_double_line(pedigree: Pedigree, related: list[bool]) -> None:
    assert [pedigree.related(mating) for mating in pedigree.matings] == related
    assert sum(line.double for line in chart_of(pedigree).lines) == sum(related)


def test_what_the_book_knows_of_relatives_goes_before_what_is_drawn() -> None:
    pair = Mating(("A", "B"), ("C",), related=True)
    assert sum(line.double for line in chart_of(Pedigree((dam("A"), sire("B"), dam("C")), (pair,))).lines) == 1


@pytest.mark.parametrize(
    ("pedigree", "rows"),
    [
        (three_generations(), {"A": 0, "B": 0, "C": 1, "G": 1, "I": 2}),
        (backcross(), {"B-1": 0, "B-2": 0, "B-3": 1, "B-4": 2}),
        (loop(), {"A": 0, "E": 1, "K": 1, "F": 2, "L": 2, "X": 3}),
    ],
)
def test_young_stand_below_their_parents_and_founders_beside_their_mates(
    pedigree: Pedigree, rows: dict[str, int]
) -> None:
    assert {key: pedigree.generation(key) for key in rows} == rows


# Lines


def segments(line: Line) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    yield from zip(line.corners, line.corners[1:], strict=False)


def touching(chart: PedigreeChart, mark: Mark) -> list[Line]:
    """The lines that end or turn at the middle of a symbol."""
    return [line for line in chart.lines if any(abs(x - mark.x) + abs(y - mark.y) < 0.01 for x, y in line.corners)]


def reached(chart: PedigreeChart, start: Line) -> set[int]:
    """All lines that hang together with a line, without passing through a symbol."""
    found, waiting = {id(start)}, [start]
    middles = [(mark.x, mark.y) for mark in chart.marks]
    while waiting:
        line = waiting.pop()
        for other in chart.lines:
            if id(other) in found:
                continue
            ends = [e for e in (line.corners[0], line.corners[-1]) if not at_one(e, middles)]
            theirs = [e for e in (other.corners[0], other.corners[-1]) if not at_one(e, middles)]
            if any(on(other, e) for e in ends) or any(on(line, e) for e in theirs):
                found.add(id(other))
                waiting.append(other)
    return found


def at_one(point: tuple[float, float], middles: list[tuple[float, float]]) -> bool:
    return any(abs(point[0] - x) + abs(point[1] - y) < 0.01 for x, y in middles)


def on(line: Line, point: tuple[float, float]) -> bool:
    x, y = point
    return any(
        min(x0, x1) - 0.01 <= x <= max(x0, x1) + 0.01 and min(y0, y1) - 0.01 <= y <= max(y0, y1) + 0.01
        for (x0, y0), (x1, y1) in segments(line)
    )


@pytest.mark.parametrize("pedigree", FAMILIES.values(), ids=FAMILIES)
def test_the_lines_join_parents_with_their_young(pedigree: Pedigree) -> None:
    """Followed from a young's own line, they lead to its parents and to its brothers and sisters."""
    chart = chart_of(pedigree)
    found = {mark.key: mark for mark in chart.marks}
    for mating in pedigree.matings:
        for key in mating.young:
            net = set().union(
                *(reached(chart, line) for line in touching(chart, found[key]) if above(line, found[key]))
            )
            for other in (*mating.parents, *mating.young):
                assert net & {id(line) for line in touching(chart, found[other])}, (key, other)


def above(line: Line, mark: Mark) -> bool:
    """Whether a line comes down to a symbol, in a picture of either direction."""
    x, y = line.corners[-1]
    return abs(x - mark.x) + abs(y - mark.y) < 0.01


@pytest.mark.parametrize("pedigree", FAMILIES.values(), ids=FAMILIES)
def test_lines_run_level_or_upright_and_no_two_lie_on_each_other(pedigree: Pedigree) -> None:
    chart = chart_of(pedigree)
    level: list[tuple[float, float, float, int]] = []
    for number, line in enumerate(chart.lines):
        for (x0, y0), (x1, y1) in segments(line):
            assert abs(x0 - x1) < 0.01 or abs(y0 - y1) < 0.01
            fixed, low, high = (x0, y0, y1) if chart.turned else (y0, x0, x1)
            if abs(high - low) > 0.01:
                level.append((fixed, min(low, high), max(low, high), number))
    for (a, low, high, one), (b, start, end, other) in combinations(level, 2):
        if one != other and abs(a - b) < 1:
            assert high <= start + 0.01 or end <= low + 0.01


@pytest.mark.parametrize("pedigree", FAMILIES.values(), ids=FAMILIES)
def test_symbols_and_their_letters_do_not_touch_and_stay_in_the_picture(pedigree: Pedigree) -> None:
    chart = chart_of(pedigree)
    boxes = [box(mark) for mark in chart.marks]
    for (left, top, right, bottom), (left2, top2, right2, bottom2) in combinations(boxes, 2):
        assert right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top
    for left, top, right, bottom in boxes:
        assert left >= 0
        assert top >= 20
        assert right <= chart.width
        assert bottom <= chart.height


def box(mark: Mark) -> tuple[float, float, float, float]:
    half = max(mark.radius, *(len(text) * 3 for text in mark.texts))
    return mark.x - half, mark.y - mark.radius, mark.x + half, mark.y + mark.radius + 4 + 12 * len(mark.texts)


def test_a_wide_family_is_turned_and_stays_readable_on_a_phone() -> None:
    """Letters are 10 points in a picture of 360; shown at that width a wider picture makes them smaller."""
    chart = chart_of(forty_bins())
    assert chart.turned
    assert chart.width <= 360 * 10 / 9
    assert not chart_of(loop()).turned
    assert chart_of(loop()).width == 360


# Words


@pytest.mark.parametrize(
    ("pedigree", "said"),
    [
        (three_generations(), "Family of B-4: 8 animals over 3 generations. Ember shows in A."),
        (three_generations(), "For sure C, D and E carry it unseen."),
        (three_generations(), "I of D and G (male, 1 in 2 to carry it)"),
        (three_generations(), "B (male, dead)"),
        (backcross(), "3 animals and 1 group over 3 generations. Ember shows in B-1. It shows in some of B-4."),
        (backcross(), "Related parents: B-1 and B-3."),
        (thelytokous(), "T-4 of T-2 (a group of about 1,200, female, shows ember)"),
        (thelytokous(), "T-5 of T-3 (a group, female, shows ember)"),
        (two_joined(), "Generation III: B-20 of C and S (a group of 8, 2 in 3 to carry it);"),
        (Pedigree((dam("A"),), (), "ember"), "No one shows ember."),
        (Pedigree((dam("A"),), ()), "Family of B-4: 1 animal over 1 generation. Generation I: A (female)."),
    ],
)
def test_the_words_say_what_the_picture_shows(pedigree: Pedigree, said: str) -> None:
    assert said in family_picture(pedigree, "Family of B-4").alternative


def test_the_key_explains_what_occurs_and_nothing_else() -> None:
    assert [sample.words for sample in chart_of(backcross()).legend] == [
        "male", "female", "group and its number", "shows ember", "some show ember", "carries it for sure", "relatives",
    ]  # fmt: skip
    assert [sample.words for sample in chart_of(Pedigree((group("B-4", 3),), ())).legend] == ["group and its number"]


# What is no family


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        (lambda: Member("A", " "), "no label"),
        (lambda: Member("A", "A", carries=Fraction(3, 2)), "carries with a chance"),
        (lambda: Member("A", "A", count=2), "can't be 2"),
        (lambda: Mating((), ("A",)), "without parents"),
        (lambda: Mating(("A",), ("A",)), "twice"),
        (lambda: Pedigree((), ()), "0 members"),
        (lambda: Pedigree((dam("A"), dam("A")), ()), "stands twice"),
        (lambda: Pedigree((dam("A"),), (Mating(("A",), ("B",)),)), "nobody has the key"),
        (lambda: Pedigree((dam("A"), dam("B")), (Mating(("A",), ("B",)), Mating(("B",), ("A",)))), "own ancestor"),
        (
            lambda: Pedigree((dam("A"), dam("B"), dam("C")), (Mating(("A",), ("C",)), Mating(("B",), ("C",)))),
            "two matings",
        ),
    ],
)
def test_what_is_no_family_is_refused(wrong: object, why: str) -> None:
    assert callable(wrong)
    with pytest.raises(ValueError, match=why):
        wrong()


# Laws


@st.composite
def families(draw: st.DrawFn) -> Pedigree:
    count = draw(st.integers(1, 14))
    members = [draw(st.sampled_from([dam, sire, group]))(f"B-{n}") for n in range(count)]
    matings = []
    free = list(range(1, count))
    while free:
        first = free.pop(0)
        young = [first, *(free.pop(0) for _ in range(min(len(free), draw(st.integers(0, 2)))))]
        parents = draw(st.lists(st.integers(0, first - 1), min_size=0, max_size=2, unique=True))
        if parents:
            matings.append(Mating(tuple(f"B-{n}" for n in parents), tuple(f"B-{n}" for n in young)))
    return Pedigree(tuple(members), tuple(matings), "ember")


@settings(max_examples=60, deadline=None)
@given(families())
def test_any_family_has_its_symbols_apart_and_its_lines_right(pedigree: Pedigree) -> None:
    test_lines_run_level_or_upright_and_no_two_lie_on_each_other(pedigree)
    test_symbols_and_their_letters_do_not_touch_and_stay_in_the_picture(pedigree)
    test_the_lines_join_parents_with_their_young(pedigree)
    assert chart_of(pedigree) == chart_of(pedigree)


@pytest.mark.parametrize("pedigree", FAMILIES.values(), ids=FAMILIES)
def test_it_is_a_picture(pedigree: Pedigree) -> None:
    assert_is_a_picture(family_picture(pedigree, "Family of B-4 ($ember$ line of the big tub)"))
