"""What last disturbed a bin, and when it should be left alone."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import CountPartRow, CountRow, Exactness, HandledRow, Moved, Seen, Stage, Thoroughness, TransferRow
from bot.services.disturbance import MANCAE_FOR, SIFT_PAUSE, Disturbance, Disturbing, rest_of

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
DAY = timedelta(days=1)


def count(number: int, days: int, how: Thoroughness | None = None) -> CountRow:
    """A count so many days ago."""
    return CountRow(number, 3, NOW - days * DAY, 1, "Wren", 40, Exactness.EXACT, "40", None, thoroughness=how)


def mancae(of: int, said: Seen = Seen.SOME, number: int | None = None) -> CountPartRow:
    """What a count says of mancae."""
    exact = Exactness.EXACT if number is not None else None
    return CountPartRow(of + 100, of, said, Stage.MANCA, None, False, number, exact, None, None)


def transfer(moved: Moved, days: int) -> TransferRow:
    return TransferRow(9, NOW - days * DAY, moved, 3, "B-1", 4, "B-2", 5, Exactness.EXACT)


def test_a_bin_of_which_nothing_is_known_is_at_peace() -> None:
    rest = rest_of((), (), (), NOW)
    assert (rest.last, rest.mancae, rest.until) == (None, False, None)


def test_a_pairing_disturbs_but_sifts_nothing() -> None:
    inside = HandledRow(1, NOW - 9 * DAY, NOW - 2 * DAY, inside=True)
    taken_from = HandledRow(2, NOW - 5 * DAY, NOW - DAY, inside=False)
    rest = rest_of((count(1, 50),), (), (), NOW, (taken_from,))
    assert rest.last == Disturbance(Disturbing.PAIRED, NOW - 5 * DAY)
    rest = rest_of((count(1, 3),), (mancae(1),), (), NOW, (inside, taken_from))
    assert (rest.last, rest.mancae, rest.until) == (Disturbance(Disturbing.TAKEN_OUT, NOW - 2 * DAY), True, None)


def test_the_last_of_all_that_disturbed_it_is_told() -> None:
    counts = (count(1, 2, Thoroughness.LOOK), count(2, 9, Thoroughness.SORTED), count(3, 20, Thoroughness.PART))
    assert rest_of(counts, (), (), NOW).last == Disturbance(Disturbing.SORTED, NOW - 9 * DAY)
    assert rest_of(counts, (), (transfer(Moved.MERGE, 5),), NOW).last == Disturbance(Disturbing.MERGED, NOW - 5 * DAY)
    assert rest_of(counts[2:], (), (transfer(Moved.SPLIT, 30),), NOW).last == Disturbance(
        Disturbing.PART_SORTED, NOW - 20 * DAY
    )


@pytest.mark.parametrize(
    ("part", "there"),
    [
        (mancae(1), True),
        (mancae(1, Seen.COUNTED, 3), True),
        (mancae(1, Seen.COUNTED, 0), False),
        (mancae(1, Seen.NONE), False),
        (mancae(1, Seen.NOT_COUNTED), False),
    ],
)
def test_mancae_are_there_when_the_last_count_that_spoke_of_them_says_so(part: CountPartRow, there: bool) -> None:
    assert rest_of((count(1, 1),), (part,), (), NOW).mancae is there


def test_a_count_that_did_not_look_for_mancae_does_not_unsay_an_earlier_one() -> None:
    counts = (count(1, 1), count(2, 2), count(3, 20))
    assert rest_of(counts, (mancae(2, Seen.NOT_COUNTED), mancae(3)), (), NOW).mancae
    assert not rest_of(counts, (mancae(2, Seen.NONE), mancae(3)), (), NOW).mancae


def test_mancae_of_long_ago_are_mancae_no_more() -> None:
    assert rest_of((count(1, MANCAE_FOR.days),), (mancae(1),), (), NOW).mancae
    assert not rest_of((count(1, MANCAE_FOR.days + 1),), (mancae(1),), (), NOW).mancae


def test_a_bin_with_mancae_is_left_for_thirty_days_after_it_was_sorted_through() -> None:
    counts = (count(1, 1), count(2, 10, Thoroughness.SORTED))
    assert rest_of(counts, (mancae(1),), (), NOW).until == NOW - 10 * DAY + SIFT_PAUSE
    assert rest_of(counts, (), (), NOW).until is None
    assert rest_of((count(1, 1), count(2, 30, Thoroughness.SORTED)), (mancae(1),), (), NOW).until is None


def test_a_part_that_was_sorted_does_not_hold_up_the_rest() -> None:
    assert rest_of((count(1, 1, Thoroughness.PART),), (mancae(1),), (), NOW).until is None


@given(
    st.lists(st.tuples(st.integers(0, 90), st.sampled_from([None, *Thoroughness]), st.sampled_from([None, *Seen]))),
    st.integers(0, 120),
)
def test_whoever_waits_until_the_day_told_is_told_no_other(
    past: list[tuple[int, Thoroughness | None, Seen | None]], later: int
) -> None:
    counts = [count(n, days, how) for n, (days, how, _) in enumerate(sorted(past, key=lambda each: each[0]))]
    said = sorted(past, key=lambda each: each[0])
    parts = [mancae(n, word, 5 if word is Seen.COUNTED else None) for n, (*_, word) in enumerate(said) if word]
    rest = rest_of(counts, parts, (), NOW)
    assert rest.until is None or (rest.mancae and NOW < rest.until <= NOW + SIFT_PAUSE)
    if rest.until is not None:
        assert rest_of(counts, parts, (), rest.until).until is None
    assert rest_of(counts, parts, (), NOW + later * DAY).last == rest.last
