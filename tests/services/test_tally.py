"""Counts as keepers type them beside an open bin: what is read, what is called an estimate, what is refused and why."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import Exactness
from bot.services.refusals import CountNotRead, CountProblem
from bot.services.tally import MOST, Tally, read_tally

COUNTED = [
    ("40", 40), ("0", 0), ("1", 1), ("007", 7), (" 40 ", 40), ("40\n", 40), ("1200", 1200), ("1,200", 1200),
    ("1 200", 1200), ("1'200", 1200), ("1’200", 1200), ("1\u00a0200", 1200), ("1\u202f200", 1200), ("1\u2009200", 1200),
    ("12,345", 12345), ("100,000", 100_000), ("100000", 100_000), ("none", 0), ("None", 0), ("zero", 0), ("one", 1),
    ("two", 2), ("Seven", 7), ("TWELVE", 12), ("４０", 40), ("٤٠", 40),
]  # fmt: skip
JUDGED = [
    ("~80", 80), ("~ 80", 80), ("≈80", 80), ("about 40", 40), ("About 40", 40), ("about40", 40), ("around 40", 40),
    ("approx 40", 40), ("approx. 40", 40), ("approximately 40", 40), ("roughly 40", 40), ("nearly 40", 40),
    ("almost 40", 40), ("maybe 40", 40), ("circa 40", 40), ("ca 40", 40), ("ca. 40", 40), ("c. 40", 40), ("c.40", 40),
    ("40ish", 40), ("40-ish", 40), ("40 ish", 40), ("40 or so", 40), ("40 +/-", 40), ("40±", 40), ("~40ish", 40),
    ("about 1,200", 1200), ("~1 200", 1200), ("about none", 0), ("about twelve", 12), ("a dozen", 12), ("2 dozen", 24),
    ("3 dozen", 36), ("about 3 dozen", 36), ("3 dozen or so", 36), ("three dozen", 36), ("3 doz.", 36), ("3 doz", 36),
    ("2 dozens", 24), ("half a dozen", 6), ("half dozen", 6), ("about half a dozen", 6), ("1.5 dozen", 18),
    ("2,5 dozen", 30), ("10dozen", 120), ("~3 dozen-ish", 36),
]  # fmt: skip
REFUSED = [
    ("", CountProblem.NO_NUMBER), ("   ", CountProblem.NO_NUMBER), ("lots", CountProblem.NO_NUMBER),
    ("too many to count", CountProblem.NO_NUMBER), ("?", CountProblem.NO_NUMBER), ("a few", CountProblem.NO_NUMBER),
    ("a", CountProblem.NO_NUMBER), ("no", CountProblem.NO_NUMBER), ("half", CountProblem.NO_NUMBER),
    ("dozens", CountProblem.NO_NUMBER), ("about", CountProblem.NO_NUMBER), ("ish", CountProblem.NO_NUMBER),
    ("forty", CountProblem.NO_NUMBER), ("½", CountProblem.NO_NUMBER), ("²", CountProblem.NO_NUMBER),
    ("4.5", CountProblem.NOT_WHOLE), ("4,5", CountProblem.NOT_WHOLE), ("1.200", CountProblem.NOT_WHOLE),
    ("1,20", CountProblem.NOT_WHOLE), ("about 3.5", CountProblem.NOT_WHOLE), ("1.3 dozen", CountProblem.NOT_WHOLE),
    ("-5", CountProblem.NEGATIVE), ("−5", CountProblem.NEGATIVE), ("- 5", CountProblem.NEGATIVE),
    ("~-5", CountProblem.NEGATIVE), ("-2 dozen", CountProblem.NEGATIVE), ("100001", CountProblem.TOO_MANY),
    ("1,000,000", CountProblem.TOO_MANY), ("9" * 5000, CountProblem.TOO_MANY), ("10000 dozen", CountProblem.TOO_MANY),
    ("40 adults", CountProblem.LEFT_OVER), ("40 adults and 12 mancae", CountProblem.LEFT_OVER),
    ("50-60", CountProblem.LEFT_OVER), ("50 to 60", CountProblem.LEFT_OVER), ("80+", CountProblem.LEFT_OVER),
    ("over 80", CountProblem.LEFT_OVER), ("40 +/- 5", CountProblem.LEFT_OVER), ("12 34", CountProblem.LEFT_OVER),
    ("2k", CountProblem.LEFT_OVER), ("1e3", CountProblem.LEFT_OVER), ("1.2k", CountProblem.LEFT_OVER),
    ("40?", CountProblem.LEFT_OVER), ("B-3", CountProblem.LEFT_OVER), ("1,2000", CountProblem.LEFT_OVER),
    ("about about 40", CountProblem.LEFT_OVER), ("minus 5", CountProblem.LEFT_OVER),
]  # fmt: skip


@pytest.mark.parametrize(("text", "total"), COUNTED)
def test_a_number_alone_was_counted(text: str, total: int) -> None:
    assert read_tally(text) == Tally(total, Exactness.EXACT)


@pytest.mark.parametrize(("text", "total"), JUDGED)
def test_a_number_with_about_or_in_dozens_was_judged(text: str, total: int) -> None:
    assert read_tally(text) == Tally(total, Exactness.ESTIMATE)


@pytest.mark.parametrize(("text", "problem"), REFUSED, ids=[text[:20] for text, _ in REFUSED])
def test_what_is_no_count_is_refused_with_its_reason(text: str, problem: CountProblem) -> None:
    with pytest.raises(CountNotRead) as caught:
        read_tally(text)
    assert caught.value.problem is problem
    assert caught.value.text == text


def test_the_part_in_the_way_and_the_largest_count_are_named() -> None:
    with pytest.raises(CountNotRead) as adults:
        read_tally("40 adults")
    assert adults.value.rest == "adults"
    with pytest.raises(CountNotRead) as slip:
        read_tally("4000000")
    assert slip.value.most == MOST


@given(st.integers(0, MOST))
def test_every_number_a_bin_can_hold_is_read_however_it_is_written(total: int) -> None:
    for text in (f"{total}", f"{total:,}", f"{total:,}".replace(",", " ")):
        assert read_tally(text) == Tally(total, Exactness.EXACT)
        assert read_tally(f"about {text}") == Tally(total, Exactness.ESTIMATE)
        assert read_tally(f"{text}ish") == Tally(total, Exactness.ESTIMATE)


SCRAPS = st.lists(
    st.sampled_from(
        [
            "about ",
            "~",
            "-",
            "40",
            "1,200",
            "0.5",
            "ish",
            " or so",
            " dozen",
            "a",
            "half ",
            "none",
            "+",
            "½",
            "٣",
            "x",
            " ",
        ]
    ),
    max_size=7,
).map("".join)


@given(st.one_of(st.text(max_size=40), SCRAPS))
def test_any_text_is_a_count_or_is_refused(text: str) -> None:
    with suppress(CountNotRead):
        tally = read_tally(text)
        assert 0 <= tally.total <= MOST
