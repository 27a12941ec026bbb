"""Errors in a written cross: the mark stands at the place, and the sentence says what would be right."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards.notation import advice, pointed
from genetics import NotationError, Problem, read_cross
from tests.support.crosses import BOOK
from tests.support.genetic_strategies import is_code, scribbles
from tests.support.markup import live_marks

NAMES = tuple(trait.name for trait in BOOK)


def refused(text: str) -> NotationError:
    with pytest.raises(NotationError) as caught:
        read_cross(text, BOOK, is_code)
    return caught.value


def marked(said: str) -> str:
    """What stands between the marks."""
    found = re.search(r"⟪(.*?)⟫", said, re.DOTALL)
    assert found is not None, said
    return found[1]


@pytest.mark.parametrize("problem", Problem)
def test_every_mistake_in_a_cross_has_its_own_words(problem: Problem) -> None:
    said = pointed(NotationError("het ember x wild", 4, 5, problem), "cross")
    assert said.startswith("I can't read the cross at the mark: `het ⟪ember⟫ x wild` – ")
    reason = said.partition(" – ")[2]
    assert len(reason) > 20
    others = [pointed(NotationError("het ember x wild", 4, 5, p), "cross") for p in Problem if p is not problem]
    assert said not in others


@pytest.mark.parametrize(
    ("text", "at", "says"),
    [
        ("het ember wild", "", "no `x` between two sides; write the dam, an x and the sire, like `het ember x wild`"),
        ("het ember xx wild", "xx", "joined by one `x`"),
        ("het ember x", " ", "write `wild`"),
        ("het embr x wild", "embr", "no trait of that name"),
        ("het x wild", "", "the name of a trait is missing here"),
        ("possible het ember x wild", "possible", "how likely"),
        ("150% het ember x wild", "150%", "above 0 %"),
        ("66% ember x wild", "66%", "after a figure"),
        ("dusk x wild", "dusk", "`het` or `homozygous`"),
        ("66% het dusk x wild", "66% het dusk", "nobody carries it unseen"),
        ("ember, het ember x wild", "ember", "two different things"),
        ("wild ember x wild", "wild", "stands alone on its side"),
        ("B-12 ember x wild", "", "bin's code stands alone"),
        ("+/q x wild", "q", "no trait with this gene symbol"),
    ],
)
def test_the_mark_points_at_what_was_not_understood(text: str, at: str, says: str) -> None:
    error = refused(text)
    said = pointed(error, "cross")
    assert marked(said) == (error.found or " ")
    assert at.strip() in marked(said)
    assert says in said
    assert said.startswith("I can't read the cross at the mark: `")


@given(scribbles())
def test_the_mark_points_at_what_the_error_found(text: str) -> None:
    try:
        read_cross(text, BOOK, is_code)
    except NotationError as error:
        assert_marked(error)


def assert_marked(error: NotationError) -> None:
    said = pointed(error, "cross")
    assert len(said) < 300
    if len(error.found) < 60:
        typed = " ".join(error.found.split()).replace("`", "ˋ")
        assert " ".join(marked(said).split()) == typed
    assert live_marks(said) == []
    assert live_marks("\n".join(advice(error, NAMES))) == []


@given(st.integers(0, 40), st.integers(0, 40))
def test_the_mark_is_seen_in_a_cross_of_any_length(before: int, after: int) -> None:
    text = "het ember, " * before + "het zzz" + ", wild" * after + " x wild"
    error = refused(text[:1000])
    assert "⟪" in pointed(error, "cross")
    assert len(pointed(error, "cross")) < 300


def test_a_nearby_name_is_offered() -> None:
    assert advice(refused("het embr x wild"), NAMES) == ("Did you mean `het ember x wild`?",)


def test_two_readings_are_both_offered() -> None:
    (said,) = advice(refused("dusk x wild"), NAMES)
    assert "`het dusk x wild`" in said
    assert "`homozygous dusk x wild`" in said


def test_a_name_like_no_other_shows_the_names_on_record() -> None:
    assert advice(refused("het zzzz x wild"), NAMES) == ("Traits in this book: ember, frost, dusk and pale.",)
    many = tuple(f"trait{number}" for number in range(40))
    (said,) = advice(refused("het zzzz x wild"), many)
    assert said.endswith("trait11 and more.")


def test_an_empty_book_says_how_to_write_the_first_trait() -> None:
    (said,) = advice(refused("het zzzz x wild"), ())
    assert "/trait define" in said


def test_a_possible_het_without_its_figure_is_told_the_usual_ones() -> None:
    """2/3 of the wild-looking young of two hets, 1/2 of het x wild, 1/3 = 1/2 x 2/3."""
    said = "\n".join(advice(refused("possible het ember x wild"), NAMES))
    assert "2/3 from het × het, 1/2 from het × wild, 1/3 from 2/3 het × wild" in said


def test_a_long_correction_is_shown_around_the_mistake_only() -> None:
    text = "het ember, " + "het frost, " * 60 + "het embr x wild"
    error = NotationError(
        text, text.index("embr "), 4, Problem.UNKNOWN_TRAIT, suggestion=text.replace("embr ", "ember ")
    )
    (said,) = advice(error, NAMES)
    assert len(said) < 260
    assert "het ember x wild" in said
