"""The square of a cross and the bars of classes as values: what they refuse, and what they show of it."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.pictures.bars import Bar, BarPicture, Group
from bot.pictures.canvas import lines_of
from bot.pictures.grid import Edge, GridPicture, Square
from tests.support.pictures import assert_is_a_picture

GRID = GridPicture(
    title="het ember x visual ember",
    eggs=(Edge("+"), Edge("e")),
    sperm=(Edge("e"),),
    squares=((Square("+/e", 0),), (Square("e/e", 1),)),
    looks=(("wild-looking", "1 in 2"), ("ember", "1 in 2")),
    alternative="Half the young show ember.",
)
BARS = BarPicture("Shares", (Group("", (Bar("ember", Fraction(1, 4), "25 %"),)),), "A quarter shows ember.")


def test_names_stand_in_the_cells_while_all_have_room_there_and_their_numbers_otherwise() -> None:
    assert GRID.labels() == ("wild-looking", "ember")
    long = replace(GRID, looks=(("wild-looking", ""), ("ember in two doses, no frost", "")))
    assert long.labels() == ("1", "2")


@pytest.mark.parametrize(
    "wrong",
    [
        {"eggs": (Edge("+"),)},
        {"sperm": (Edge("+"), Edge("e"))},
        {"looks": ()},
        {"looks": (("a", ""),) * 10},
        {"looks": (("wild-looking", "all"),)},
    ],
)
def test_a_square_that_does_not_hang_together_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"eggs|looks|look that"):
        replace(GRID, **wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "groups",
    [
        (),
        (Group("", ()),),
        (Group("", (Bar("a", Fraction(0), ""),) * 15),),
        (Group("", (Bar("a", Fraction(1), ""),)),) * 3,
        (Group("", (Bar("a", Fraction(3, 2), ""),)),),
    ],
)
def test_bars_that_cannot_be_drawn_are_refused(groups: tuple[Group, ...]) -> None:
    with pytest.raises(ValueError, match=r"bars|share"):
        replace(BARS, groups=groups)


def test_a_share_of_nothing_is_still_seen() -> None:
    picture = replace(BARS, groups=(Group("", (Bar("a", Fraction(0), "none"), Bar("b", Fraction(0), "none"))),))
    assert picture.lengths() == ((0, 0),)
    assert_is_a_picture(picture)


def test_shares_beside_eggs_and_notes_in_cells_are_drawn() -> None:
    """Recombination of one in ten: the kinds of eggs are not equally many, nor are the cells."""
    linked = GridPicture(
        title="a cross of linked traits whose name is long enough to take a second line of the heading",
        eggs=tuple(
            Edge(text, share) for text, share in (("+ +", "45 %"), ("+ f", "5 %"), ("e +", "5 %"), ("e f", "45 %"))
        ),
        sperm=(Edge("e f"),),
        squares=tuple(
            (Square(f"{text}/e f", look, "♀ 45 %"),) for look, text in enumerate(("+ +", "+ f", "e +", "e f"))
        ),
        looks=(("wild-looking", "45 %"), ("frost", "5 %"), ("ember", "5 %"), ("ember and frost", "45 %")),
        alternative="Nearly half show both.",
    )
    assert_is_a_picture(linked)


def test_a_figure_stays_on_one_line() -> None:
    lines = lines_of("dusk in two doses and frost in two doses: 1 in 16 (6 %) of all the young", 240, 11.5)
    assert [line.replace("\u00a0", " ") for line in lines] == [
        "dusk in two doses and frost in two", "doses: 1 in 16 (6 %) of all the", "young",
    ]  # fmt: skip


@given(st.text("ab %1", max_size=80), st.integers(40, 400))
def test_lines_fit_and_lose_nothing_until_they_are_cut(text: str, width: int) -> None:
    found = lines_of(text, width, 10, most=99)
    assert all(len(line) <= max(4, int(width / 5.8)) for line in found)
    assert "".join(found).replace("\u00a0", "").replace(" ", "") == text.replace(" ", "")
    assert len(lines_of(text, width, 10, most=2)) <= 2
