"""What is drawn of a cross: recomputed from textbook figures, and said in words that need no eyes."""

from fractions import Fraction

import pytest
from hypothesis import given, settings

from bot.cards.card import Drawing
from bot.cards.odds_picture import drawing_of, picture_card
from bot.pictures.bars import BarPicture
from bot.pictures.grid import GridPicture
from genetics import CrossText, SexSystem, Trait
from tests.support.crosses import pictured_of, pictured_of_cross
from tests.support.genetic_strategies import crosses
from tests.support.pictures import assert_is_a_picture

TWO = "het ember, het frost x het ember, het frost"
THREE = "het ember, het frost, het dusk x het ember, het frost, het dusk"


def grid(text: str, system: SexSystem = SexSystem.UNKNOWN) -> GridPicture:
    drawing = drawing_of(pictured_of(text, system))
    assert isinstance(drawing, GridPicture)
    return drawing


def bars(text: str, system: SexSystem = SexSystem.UNKNOWN) -> BarPicture:
    drawing = drawing_of(pictured_of(text, system))
    assert isinstance(drawing, BarPicture)
    return drawing


def looks(picture: GridPicture) -> list[list[str]]:
    return [[picture.looks[one.look][0] for one in row] for row in picture.squares]


def test_two_hets_make_a_square_of_four() -> None:
    picture = grid("het ember x het ember")
    assert [(edge.text, edge.share) for edge in picture.eggs] == [("+", ""), ("e", "")]
    assert [[one.genotype for one in row] for row in picture.squares] == [["+/+", "+/e"], ["+/e", "e/e"]]
    assert looks(picture) == [["wild-looking", "wild-looking"], ["wild-looking", "ember"]]
    assert picture.looks == (("wild-looking", "3 in 4 (75 %)"), ("ember", "1 in 4 (25 %)"))
    assert picture.labels() == ("wild-looking", "ember")


def test_two_loci_make_sixteen_cells_of_nine_three_three_one() -> None:
    """Mendel 1866."""
    picture = grid(TWO)
    cells = [look for row in looks(picture) for look in row]
    assert {look: cells.count(look) for look in cells} == {
        "wild-looking": 9,
        "frost, no ember": 3,
        "ember, no frost": 3,
        "ember and frost": 1,
    }
    assert picture.labels() == ("1", "2", "3", "4")


def test_the_square_of_a_sex_chromosome_marks_daughters_and_sons() -> None:
    picture = grid("Z^+/W x Z^z/Z^z", SexSystem.ZZ_ZW)
    assert [(one.genotype, one.note) for row in picture.squares for one in row] == [("Z^+/Z^z", "♂"), ("Z^z/W", "♀")]
    shares = dict(picture.looks)
    assert shares["zeta"] == "all of the daughters and none of the sons"
    assert "♀ marks daughters, ♂ sons" in picture.alternative


@pytest.mark.parametrize("text", [THREE, "66% het ember x het ember"], ids=["three loci", "a possible het"])
def test_what_one_square_cannot_tell_is_told_by_bars(text: str) -> None:
    picture = bars(text)
    assert sum(bar.share for group in picture.groups for bar in group.bars) == 1


def test_bars_are_as_long_as_their_shares() -> None:
    picture = bars("66% het ember x het ember")
    ((wild, ember),) = picture.lengths()
    assert [bar.share for bar in picture.groups[0].bars] == [Fraction(5, 6), Fraction(1, 6)]
    assert wild == pytest.approx(5 * ember)
    assert [bar.said for bar in picture.groups[0].bars] == ["83 % · 5/6", "17 % · 1/6"]


def test_what_does_not_fit_is_one_bar_of_its_own() -> None:
    """Two looks each of ember, frost and pale, three of dusk: 24 in all, of which thirteen are drawn."""
    picture = bars("het ember, het frost, het pale, het dusk x het ember, het frost, het pale, het dusk")
    (group,) = picture.groups
    assert len(group.bars) == 14
    assert group.bars[-1].name == "11 rarer looks together"
    assert sum(bar.share for bar in group.bars) == 1
    assert "rarer looks together" in picture.alternative


def test_daughters_and_sons_have_bars_of_their_own_where_they_differ() -> None:
    picture = bars("Z^+/W; het ember; het frost x Z^+/Z^z; het ember; het frost", SexSystem.ZZ_ZW)
    assert [group.heading for group in picture.groups] == [
        "Daughters, 1 in 2 of the young",
        "Sons, 1 in 2 of the young",
    ]
    for group in picture.groups:
        assert sum(bar.share for bar in group.bars) == 1
    assert not any("zeta" in bar.name and "no zeta" not in bar.name for bar in picture.groups[1].bars)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("het ember x het ember", "Young of het ember x het ember: wild-looking 3 in 4 (75 %); ember 1 in 4 (25 %)."),
        (
            "het ember x visual ember",
            "A square of eggs (+ · e) by sperm (e), each cell with its genotype and its look.",
        ),
        ("66% het ember x het ember", "wild-looking 5 in 6 (83 %); ember 1 in 6 (17 %)."),
    ],
)
def test_the_words_say_the_finding(text: str, said: str) -> None:
    assert said in drawing_of(pictured_of(text)).alternative


def test_the_card_says_the_answer_above_the_picture() -> None:
    card = picture_card(pictured_of("het ember x het ember"))
    assert card.lead.startswith("**1 in 4** young will show ember.")
    assert len(card.drawings) == 1


@settings(max_examples=40, deadline=None)
@given(crosses(bins=False))
def test_whatever_is_asked_can_be_drawn(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    drawing = drawing_of(pictured_of_cross(drawn[1], "any cross"))
    assert drawing.alternative
    if isinstance(drawing, BarPicture):
        assert sum(bar.share for group in drawing.groups for bar in group.bars) == 1
    else:
        assert isinstance(drawing, GridPicture)


PICTURES: dict[str, Drawing] = {
    "one locus": drawing_of(pictured_of("het ember x het ember")),
    "two loci": drawing_of(pictured_of(TWO)),
    "nine looks": drawing_of(pictured_of("het dusk x het dusk")),
    "one kind of egg": drawing_of(pictured_of("visual ember, visual frost x het ember, het frost")),
    "a sex chromosome": drawing_of(pictured_of("Z^+/W x Z^+/Z^z", SexSystem.ZZ_ZW)),
    "three loci": drawing_of(pictured_of(THREE)),
    "sexes apart": drawing_of(
        pictured_of("Z^+/W; het ember; het frost x Z^+/Z^z; het ember; het frost", SexSystem.ZZ_ZW)
    ),
    "one look": drawing_of(pictured_of("66% het ember x wild")),
}


@pytest.mark.parametrize("drawing", PICTURES.values(), ids=PICTURES)
def test_it_is_a_picture(drawing: Drawing) -> None:
    assert_is_a_picture(drawing)
