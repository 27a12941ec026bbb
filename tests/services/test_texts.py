"""How much free text the book takes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.refusals import TextTooLong
from bot.services.texts import MOST, checked


@pytest.mark.parametrize(("what", "most"), MOST.items())
def test_a_text_of_the_longest_length_is_kept_whole_and_one_character_more_is_refused(what: str, most: int) -> None:
    assert checked(what, "🐚" * most) == "🐚" * most
    with pytest.raises(TextTooLong) as caught:
        checked(what, "🐚" * (most + 1))
    assert (caught.value.what, caught.value.length, caught.value.most) == (what, most + 1, most)


def test_blanks_around_a_text_do_not_count() -> None:
    assert checked("name", " " * 100 + "ember F2" + "\n" * 100) == "ember F2"
    assert checked("note", "  \n ") == ""


def test_a_note_as_long_as_a_form_allows_is_taken() -> None:
    """The platform's text input takes 4,000 characters."""
    assert MOST["note"] == 4000


def test_only_kinds_of_text_that_are_known_have_a_length() -> None:
    with pytest.raises(KeyError, match="poem"):
        checked("poem", "moss")


@given(st.text(max_size=200))
def test_nothing_inside_a_text_is_changed(text: str) -> None:
    assert checked("origin", text[:200]) == text[:200].strip()
