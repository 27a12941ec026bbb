"""Logging a count."""

import asyncio
from datetime import timedelta

import pytest

from bot.records import Exactness
from bot.services.bins import NewBin, open_bin
from bot.services.counts import log_count
from bot.services.refusals import CountNotRead, CountProblem, NoSuchBin, NotYours, TakenBack, TextTooLong
from bot.services.undo import undo
from tests.support.asking import MOSS, TAMSIN, WREN, Asking, again

DAY = timedelta(days=1)


async def with_bin(asking: Asking, who: int = WREN) -> None:
    await open_bin(asking.desk, asking.by(who), NewBin(species="Porcellio scaber", name="moss"))


async def test_a_count_is_stored_as_typed_and_as_understood_with_the_one_before_it(asking: Asking) -> None:
    await with_bin(asking)
    first = await log_count(asking.desk, asking.by(after=DAY), bin_text="B-1", count_text="~1,200")
    assert first.previous is None
    assert (first.count.total, first.count.exactness, first.count.typed) == (1200, Exactness.ESTIMATE, "~1,200")
    assert (first.label.code, first.label.name, first.count.note) == ("B-1", "moss", None)
    second = await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="b-1", count_text="40", note=" a look ")
    assert second.previous == first.count
    assert (second.count.exactness, second.count.note, second.count.keeper_name) == (Exactness.EXACT, "a look", "Wren")
    assert (await asking.events())[-1].seq == second.event


async def test_two_counts_of_one_moment_follow_each_other_as_they_came(asking: Asking) -> None:
    await with_bin(asking)
    first = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="40")
    second = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="41")
    assert second.previous == first.count


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("many", CountProblem.NO_NUMBER),
        ("1000000000", CountProblem.TOO_MANY),
        ("9" * 100, CountProblem.TOO_MANY),
        ("40.5", CountProblem.NOT_WHOLE),
        ("-40", CountProblem.NEGATIVE),
        ("40 and mancae", CountProblem.LEFT_OVER),
    ],
)
async def test_a_count_that_is_none_is_refused_with_what_is_wrong(
    asking: Asking, typed: str, problem: CountProblem
) -> None:
    await with_bin(asking)
    before = await asking.events()
    with pytest.raises(CountNotRead) as caught:
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text=typed)
    assert (caught.value.problem, caught.value.text) == (problem, typed)
    assert await asking.events() == before


async def test_only_the_keeper_and_stewards_count_a_bin(asking: Asking) -> None:
    await with_bin(asking, MOSS)
    before = await asking.events()
    with pytest.raises(NotYours) as caught:
        await log_count(asking.desk, asking.by(TAMSIN), bin_text="B-1", count_text="40")
    assert (caught.value.what, caught.value.keeper_name) == ("bin B-1", "Moss")
    assert await asking.events() == before
    logged = await log_count(asking.desk, asking.by(WREN, steward=True), bin_text="B-1", count_text="40")
    assert logged.count.keeper_name == "Wren"


async def test_a_count_of_no_bin_and_a_note_too_long_write_nothing(asking: Asking) -> None:
    await with_bin(asking)
    before = await asking.events()
    with pytest.raises(NoSuchBin):
        await log_count(asking.desk, asking.by(), bin_text="B-2", count_text="40")
    with pytest.raises(NoSuchBin):
        await log_count(asking.desk, asking.by(), bin_text=" ", count_text="40")
    with pytest.raises(TextTooLong) as caught:
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="40", note="n" * 4001)
    assert (caught.value.what, caught.value.length, caught.value.most) == ("note", 4001, 4000)
    assert await asking.events() == before


async def test_a_request_that_comes_again_answers_the_same_whatever_was_counted_since(asking: Asking) -> None:
    await with_bin(asking)
    await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="30")
    request = asking.by(after=DAY)
    first = await log_count(asking.desk, request, bin_text="B-1", count_text="40")
    await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="B-1", count_text="50")
    before = await asking.events()
    assert await log_count(asking.desk, again(request, 3 * DAY), bin_text="B-1", count_text="40") == first
    assert await asking.events() == before
    assert [c.total for c in await asking.counts("B-1")] == [50, 40, 30]


async def test_a_request_that_comes_again_after_its_undo_is_told_so_and_counts_nothing(asking: Asking) -> None:
    await with_bin(asking)
    request = asking.by()
    logged = await log_count(asking.desk, request, bin_text="B-1", count_text="40")
    await undo(asking.desk, asking.by(), logged.event)
    before = await asking.events()
    with pytest.raises(TakenBack) as caught:
        await log_count(asking.desk, again(request), bin_text="B-1", count_text="40")
    assert caught.value.what == "count"
    assert await asking.events() == before
    assert await asking.counts("B-1") == ()


async def test_one_request_that_is_done_twice_at_the_same_time_is_one_count_and_one_answer(asking: Asking) -> None:
    await with_bin(asking)
    request = asking.by()
    both = await asyncio.gather(
        *(log_count(asking.desk, request, bin_text="B-1", count_text="40") for _ in range(2)),
    )
    assert both[0] == both[1]
    assert len(await asking.counts("B-1")) == 1


async def test_requests_of_two_people_at_the_same_time_are_two_counts(asking: Asking) -> None:
    await with_bin(asking)
    requests = (asking.by(WREN), asking.by(MOSS, steward=True))
    await asyncio.gather(*(log_count(asking.desk, r, bin_text="B-1", count_text="40") for r in requests))
    assert {c.keeper_name for c in await asking.counts("B-1")} == {"Wren", "Moss"}


async def test_a_count_of_nought_is_a_count(asking: Asking) -> None:
    await with_bin(asking)
    logged = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="none")
    assert (logged.count.total, logged.count.exactness) == (0, Exactness.EXACT)
