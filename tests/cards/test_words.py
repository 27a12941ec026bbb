"""Numbers in the words that keepers use, and text from people made harmless."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards import words
from tests.support.markup import as_read, live_marks

SHARES = st.fractions(0, 1, max_denominator=10**7)
POSSIBLE = SHARES.filter(lambda share: 0 < share < 1)
TRICKY = [
    "@everyone come and look",
    "@here",
    "<@910000000000000101>",
    "<@&910000000000000101> and <#910000000000000011>",
    "# Sold out",
    "  ## Sold out",
    "-# small print",
    "> quoted",
    ">>> all of it",
    "- a list",
    "**bold** __under__ ~~gone~~ ||hidden||",
    "_italic_ *italic*",
    "`code` and ```\nblock\n```",
    "[a gift](https://example.org)",
    "https://example.org/a?b=c",
    "<https://example.org>",
    "<t:1700000000:R>",
    "</odds:123> <id:customize> <:moss:123> <a:moss:123> :moss:",
    "back\\slash \\@everyone \\\\@everyone",
    "first line\n# second line",
    "🐚" * 30,
]


@st.composite
def distributions(draw: st.DrawFn) -> list[Fraction]:
    """Shares of classes that sum to 1, some of them minute."""
    weights = draw(st.lists(st.one_of(st.integers(1, 30), st.integers(1, 10**6)), min_size=1, max_size=32))
    return [Fraction(weight, sum(weights)) for weight in weights]


def scale(said: str) -> Fraction:
    """The figure in a percentage; "under" and "over" a figure are read as the 0 and the 100 they stand near."""
    if said.startswith("under"):
        return Fraction(0)
    return Fraction(100) if said.startswith("over") else Fraction(said.removesuffix(" %"))


@given(distributions(), st.sampled_from([0, 1, 2]))
def test_the_percentages_of_all_classes_add_up_to_100(shares: list[Fraction], decimals: int) -> None:
    assert sum(map(scale, words.percents(shares, decimals))) == 100


@given(distributions(), st.sampled_from([0, 1, 2]))
def test_each_percentage_of_a_class_is_within_one_unit_of_its_share(shares: list[Fraction], decimals: int) -> None:
    for share, said in zip(shares, words.percents(shares, decimals), strict=True):
        assert abs(scale(said) - share * 100) < Fraction(1, 10**decimals)


@given(distributions(), st.sampled_from([0, 1, 2]))
def test_a_class_that_occurs_is_never_given_0_percent_nor_100_beside_another(
    shares: list[Fraction], decimals: int
) -> None:
    for share, said in zip(shares, words.percents(shares, decimals), strict=True):
        assert not said.startswith("0 %")
        assert said.strip("0. %") or share == 0
        assert share == 1 or not said.startswith("100")


def test_three_equal_classes_share_the_last_percent_out() -> None:
    assert words.percents([Fraction(1, 3)] * 3) == ("34 %", "33 %", "33 %")
    assert words.percents([Fraction(1)]) == ("100 %",)


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (Fraction(1, 4), "1 in 4"),
        (Fraction(1, 2), "1 in 2"),
        (Fraction(2, 3), "2 in 3"),
        (Fraction(9, 16), "9 in 16"),
        (Fraction(1, 64), "1 in 64"),
        (Fraction(1, 256), "about 1 in 260"),
        (Fraction(1, 1024), "about 1 in 1,000"),
        (Fraction(27, 256), "about 2 in 19"),
        (Fraction(255, 256), "about 99.6 %"),
        (Fraction(9999, 10000), "over 99.9 %"),
        (Fraction(0), "none"),
        (Fraction(1), "all"),
    ],
)
def test_a_share_as_keepers_say_it(share: Fraction, said: str) -> None:
    assert words.in_words(share) == said


@given(POSSIBLE)
def test_what_can_happen_is_not_called_none_and_what_may_fail_is_not_called_all(share: Fraction) -> None:
    said = words.in_words(share)
    assert "none" not in said
    assert "all" not in said
    assert not said.startswith(("0 ", "about 0 ", "about 100"))
    upper, found, lower = said.removeprefix("about ").partition(" in ")
    if found:
        assert 0 < int(upper) < int(lower.replace(",", ""))


@given(POSSIBLE)
def test_a_share_in_words_is_near_the_share(share: Fraction) -> None:
    upper, found, lower = words.in_words(share).removeprefix("about ").partition(" in ")
    if found:
        spoken = Fraction(int(upper), int(lower.replace(",", "")))
        assert abs(spoken - share) <= share / 15


@given(POSSIBLE)
def test_a_percentage_never_rounds_a_chance_away(share: Fraction) -> None:
    said = words.percent(share)
    figure = Fraction(said.removeprefix("under ").removeprefix("over ").removesuffix(" %"))
    assert 0 < figure < 100
    if said.startswith("under"):
        assert share * 100 < figure
    elif said.startswith("over"):
        assert share * 100 > figure
    else:
        assert abs(share * 100 - figure) <= Fraction(1, 2)


def test_certainty_and_impossibility_have_their_own_percentages() -> None:
    assert (words.percent(Fraction(0)), words.percent(Fraction(1))) == ("0 %", "100 %")


@given(POSSIBLE)
def test_of_a_brood_of_twenty_not_all_are_promised_short_of_certainty(share: Fraction) -> None:
    said = words.of_twenty(share)
    assert not said.startswith("all")
    assert "about 0 " not in said
    assert "about 20 " not in said


def test_a_quarter_of_a_brood_of_twenty_is_about_five() -> None:
    assert words.of_twenty(Fraction(1, 4)) == "about 5 of 20"
    assert words.of_twenty(Fraction(1)) == "all 20 of 20"
    assert words.of_twenty(Fraction(1, 64)) == "under 1 of 20"


def test_a_geneticist_reads_the_exact_fraction_while_it_says_something() -> None:
    assert words.exact(Fraction(3, 16)) == "3/16"
    assert words.exact(Fraction(1, 4**6)) == "1/4096"
    assert words.exact(Fraction(1234567, 10**7)) == "12 %"


@pytest.mark.parametrize("text", TRICKY)
def test_nothing_that_a_person_writes_works_in_a_reply(text: str) -> None:
    assert live_marks(words.plain(text)) == []
    assert live_marks(words.inline(text)) == []
    assert live_marks(words.quoted(text)) == []
    assert live_marks(words.bin_name("B-3", text)) == []


@given(st.text(st.sampled_from("@everyone<#&!1:t>/\\`*_~|[]()-+. \n\té🐚"), max_size=80))
def test_no_combination_of_marks_works_in_a_reply(text: str) -> None:
    assert live_marks(words.plain(text)) == []
    assert live_marks(f"Note: {words.inline(text)} x") == []
    assert live_marks(words.quoted(text)) == []


@given(st.text(max_size=200))
def test_what_a_person_wrote_is_read_back_as_they_wrote_it(text: str) -> None:
    assert as_read(words.plain(text)) == text


@given(st.text(min_size=1, max_size=300), st.integers(10, 60))
def test_a_text_that_is_cut_says_so_and_keeps_within_its_length(text: str, most: int) -> None:
    said = as_read(words.plain(text, most))
    assert len(said) <= most
    assert said == text or said.endswith("…")
    assert len(words.inline(text, most)) <= max(most + 2, len("(nothing)"))
    assert len(words.quoted(text, most)) <= most + len("```\n\n```")


def test_a_note_of_4000_characters_is_quoted_up_to_a_screen() -> None:
    assert len(words.quoted("x" * 4000)) < 1600


def test_a_bins_name_stays_on_its_line() -> None:
    assert words.bin_name("B-3", "ember\n# F2") == "B-3 (ember \\# F2)"
    assert words.bin_name("B-3", None) == "B-3"
    assert words.bin_name("B-3", "") == "B-3"


def test_nothing_typed_is_said_to_be_nothing() -> None:
    assert words.inline("  ") == "(nothing)"


@given(st.text("abcdefgh ", min_size=1, max_size=300), st.data(), st.integers(20, 120))
def test_the_piece_around_a_place_holds_that_place(text: str, data: st.DataObject, width: int) -> None:
    position = data.draw(st.integers(0, len(text) - 1))
    marked = text[:position] + "⟪" + text[position:]
    piece = words.around(marked, position, width)
    assert "⟪" in piece
    assert len(piece) <= width
    assert piece.strip("…") in marked
    assert piece.startswith("…") or marked.startswith(piece.rstrip("…"))
    assert piece.endswith("…") or marked.endswith(piece.lstrip("…"))


def test_the_end_of_a_long_text_is_shown_when_the_place_is_there() -> None:
    assert words.around("a" * 200 + "END", 201, 40).endswith("aEND")


def test_things_in_a_row() -> None:
    assert words.listed([]) == ""
    assert words.listed(["ember"]) == "ember"
    assert words.listed(["ember", "frost"]) == "ember and frost"
    assert words.listed(["ember", "frost", "dusk"], "or") == "ember, frost or dusk"


def test_counts_say_whether_they_were_judged() -> None:
    assert words.counted(1200, estimate=False) == "1,200"
    assert words.counted(36, estimate=True) == "about 36"
    assert (words.plural(1, "week"), words.plural(3, "manca", "mancae")) == ("1 week", "3 mancae")
    assert words.plural(0, "bin") == "0 bins"


def test_a_time_is_left_to_each_readers_own_zone() -> None:
    assert words.when(datetime(2026, 3, 1, 12, 0, tzinfo=UTC)) == "<t:1772366400:R>"
    assert words.when(datetime(2026, 3, 1, 12, 0, tzinfo=UTC), "F") == "<t:1772366400:F>"
