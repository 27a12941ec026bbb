"""Custom ids: what a button carries, and what comes back with its press."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards.ids import LONGEST_ARGUMENT, CustomId, read

VERBS = st.from_regex(r"[a-z]{1,12}(\.[a-z]{1,12}){0,1}", fullmatch=True)
ARGUMENTS = st.text(max_size=LONGEST_ARGUMENT)


@given(VERBS, ARGUMENTS)
def test_a_press_brings_back_what_its_button_carried(verb: str, argument: str) -> None:
    made = CustomId(verb, argument)
    assert read(str(made)) == made
    assert len(str(made)) <= 100


def test_the_longest_id_fits_the_platform() -> None:
    assert len(str(CustomId("v" * 30, "a" * 60))) <= 100


@pytest.mark.parametrize("verb", ["", "Bin", "bin.", ".bin", "bin:show", "bin show", "bin1", "v" * 31, "bin\n"])
def test_what_is_no_verb_makes_no_button(verb: str) -> None:
    with pytest.raises(ValueError, match="not a verb"):
        CustomId(verb)


def test_a_long_text_makes_no_button() -> None:
    with pytest.raises(ValueError, match="61 characters"):
        CustomId("odds.ask", "a" * 61)


@pytest.mark.parametrize(
    "text", ["", "m1", "m1:", "m1:bin.show", "m2:bin.show:B-3", "m1:Bin:B-3", "done", f"m1:bin.show:{'a' * 61}"]
)
def test_a_press_of_anothers_button_is_none_of_ours(text: str) -> None:
    assert read(text) is None


@given(st.text(max_size=120))
def test_any_text_at_all_is_read_or_is_none_of_ours(text: str) -> None:
    found = read(text)
    assert found is None or str(found) == text


def test_a_cross_with_colons_in_it_comes_back_whole() -> None:
    assert read("m1:odds.ask:=a:b:c") == CustomId("odds.ask", "=a:b:c")
