"""The notation by law: what is written is read back, and no text breaks the reader."""

from collections.abc import Callable
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from genetics import CrossText, Dominance, NotationError, Trait, read_cross, read_side, write_cross, write_genes
from genetics.figures import read_figure, write_figure
from genetics.reading import TEXT_LIMIT
from genetics.words import tokens
from tests.support.genetic_strategies import CHANCES, crosses, is_code, rich_crosses, scribbles

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.INCOMPLETE)
MOON = Trait("Blue Moon", "bm", Dominance.RECESSIVE)
FIRE = Trait("🔥", "fi", Dominance.DOMINANT)
TRAITS = (EMBER, FROST, MOON, FIRE)


@given(crosses())
def test_plain_notation_is_read_back(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    traits, cross = drawn
    assert read_cross(write_cross(cross), traits, is_code) == cross


@given(rich_crosses())
def test_parents_drawn_from_kinds_and_crosses_are_read_back(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    traits, cross = drawn
    text = write_cross(cross)
    # What is longer than a person may type is refused for its length.
    if len(text) <= TEXT_LIMIT:
        assert read_cross(text, traits, is_code) == cross


@given(crosses())
def test_what_is_read_back_is_written_the_same(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    traits, cross = drawn
    text = write_cross(cross)
    assert write_cross(read_cross(text, traits, is_code)) == text


@given(crosses(bins=False))
def test_gene_notation_is_read_back(drawn: tuple[tuple[Trait, ...], CrossText]) -> None:
    traits, cross = drawn
    for side in (cross.dam, cross.sire):
        assert set(read_side(write_genes(side, traits), traits).items) == set(side.items)
    both = read_cross(f"{write_genes(cross.dam, traits)} x {write_genes(cross.sire, traits)}", traits)
    assert set(both.dam.items) == set(cross.dam.items)
    assert set(both.sire.items) == set(cross.sire.items)


@given(crosses(), st.booleans())
def test_case_and_wider_spaces_change_nothing(drawn: tuple[tuple[Trait, ...], CrossText], upper: bool) -> None:
    traits, cross = drawn
    text = write_cross(cross).replace(" ", "   ")
    # Case folding is not undone by upper() in every script: "ß" becomes "SS", which folds to the same.
    if upper and text.isascii() and cross.dam.bin_code is None and cross.sire.bin_code is None:
        text = text.upper()
    assert read_cross(text, traits, is_code) == cross


def refusal(read: Callable[[], object]) -> NotationError | None:
    """The one error that reading may raise; any other fails the test."""
    try:
        read()
    except NotationError as error:
        return error
    return None


@settings(max_examples=400)
@given(scribbles())
def test_any_text_is_read_or_refused_with_a_place_and_a_way_out_that_can_be_read(text: str) -> None:
    error = refusal(lambda: read_cross(text, TRAITS, is_code))
    if error is None:
        cross = read_cross(text, TRAITS, is_code)
        assert read_cross(write_cross(cross), TRAITS, is_code) == cross
        return
    assert 0 <= error.position <= len(error.text)
    assert 0 <= error.length <= len(error.text) - error.position
    for way_out in (*error.offers, *([error.suggestion] if error.suggestion is not None else [])):
        read_cross(way_out, TRAITS, is_code)


@settings(max_examples=200)
@given(scribbles())
def test_any_lone_side_is_read_or_refused(text: str) -> None:
    error = refusal(lambda: read_side(text, TRAITS, is_code))
    assert error is None or error.position + error.length <= len(error.text)


@given(CHANCES)
def test_a_figure_is_read_back_exactly(chance: Fraction) -> None:
    text = f"{write_figure(chance)} het"
    typed = tokens(text)
    figure = read_figure(text, typed, 0, len(typed))
    assert figure is not None
    assert figure.value == chance
