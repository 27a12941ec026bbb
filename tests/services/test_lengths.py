"""Body lengths in the two units of the trade, read and written."""

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards import words
from bot.services.lengths import LONGEST_MM, read_length
from bot.services.refusals import LengthNotRead


def test_seven_tenths_of_an_inch_are_about_18_millimetres_both_ways() -> None:
    """Common practice, no source: a list that says 0.7 inch and one that says 1.7 to 1.8 cm mean the same animal."""
    assert Fraction(17) < read_length("0.7 inch") < Fraction(18)
    assert words.length(read_length("0.7 inch")) == "1.8 cm (0.7 in)"
    for text in ("1.7 cm", "1.75 cm", "1.8 cm"):
        assert words.length(read_length(text)).endswith("(0.7 in)")


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("12 mm", 12),
        ("12mm", 12),
        ("12 MM", 12),
        ("1.2 cm", 12),
        ("1,2 cm", 12),
        ("1.2 centimetres", 12),
        ("1.2 centimeters", 12),
        ("12 millimeters", 12),
        ("1 in", Fraction(254, 10)),
        ("1 inch", Fraction(254, 10)),
        ('1"', Fraction(254, 10)),
        ("1″", Fraction(254, 10)),
        ("0.5 in.", Fraction(127, 10)),
        ("3/4 in", Fraction(254 * 3, 40)),
        ("1/2 inch", Fraction(127, 10)),
        ("about 12 mm", 12),
        ("~12 mm", 12),
        ("ca. 12 mm", 12),
        ("  12 mm  ", 12),
        ("12\u00a0mm", 12),
        ("500 mm", 500),
    ],
)
def test_a_length_is_exact_as_typed(text: str, millimetres: Fraction) -> None:
    assert read_length(text) == millimetres


@pytest.mark.parametrize(
    "text",
    [
        "",
        "12",
        "mm",
        "12 m",
        "12 feet",
        "0 mm",
        "0/4 in",
        "1/0 in",
        "1/00 in",
        "-12 mm",
        "501 mm",
        "1000 mm",
        "51 cm",
        "long",
        "12 mm long",
        "10-12 mm",
        "1 1/2 in",
        "1.2.3 cm",
        "½ in",
        "1/０ in",
        "12 cm mm",
    ],
)
def test_what_is_no_length_is_refused_as_typed(text: str) -> None:
    with pytest.raises(LengthNotRead) as caught:
        read_length(text)
    assert caught.value.text == text


@given(st.one_of(st.text(max_size=20), st.text('0123456789/.,０ mcin"″~', max_size=12)))
def test_any_text_is_a_length_or_is_refused(text: str) -> None:
    with suppress(LengthNotRead):
        assert 0 < read_length(text) <= LONGEST_MM


@given(st.integers(1, 500))
def test_centimetres_as_written_are_read_back(millimetres: int) -> None:
    written = words.length(Fraction(millimetres)).partition(" (")[0]
    assert read_length(written) == millimetres


@given(st.integers(1, 190))
def test_inches_as_written_are_read_back_within_their_last_figure(tenths: int) -> None:
    inches = words.length(read_length(f"{tenths / 10} in")).partition("(")[2].rstrip(")")
    assert inches == f"{tenths / 10:.1f} in"
