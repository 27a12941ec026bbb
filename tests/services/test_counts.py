"""Logging a count."""

import asyncio
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from bot.cards import cautions
from bot.cards.counts import logged_card
from bot.records import Exactness, Records, Seen, Stage, Subject, Thoroughness
from bot.services.bins import NewBin, open_bin
from bot.services.count_items import Item
from bot.services.count_sums import figure_text
from bot.services.count_words import AnimalClass
from bot.services.counts import log_count, to_correct
from bot.services.refusals import (
    BuiltUpon,
    CountNotRead,
    CountProblem,
    NoSuchBin,
    NotYours,
    Outlived,
    TakenBack,
    TextTooLong,
    WordNotKnown,
)
from bot.services.refusals_bins import CorrectedAlready, CountUnclear
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, SERVER, TAMSIN, THURSDAY, WREN, Asking, again, asking_of

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


async def test_a_count_by_class_is_kept_with_its_classes(asking: Asking) -> None:
    await with_bin(asking)
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", symbol="e")
    logged = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="6 ember, 17 wild, 23 in all")
    assert [(said(item), item.animals) for item in logged.classes] == [
        ("6", AnimalClass(traits=("ember",))),
        ("17", AnimalClass(wild=True)),
    ]
    other = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="12-15 adults, ~30 juv, 50+ mancae")
    assert [said(item) for item in other.classes] == ["12-15", "about 30", "at least 50"]
    assert (other.count.total, other.count.exactness) == (92, Exactness.AT_LEAST)


def said(item: Item) -> str:
    return figure_text(item.figure) if item.figure else str(item.said)


async def test_not_counted_not_seen_and_none_are_three_things_in_the_book(asking: Asking) -> None:
    await with_bin(asking)
    for text in (
        "12 adults, mancae not counted",
        "12 adults, no mancae",
        "12 adults, 0 mancae",
        "12 adults, some mancae",
    ):
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text=text)
    async with asking.desk.records.read(SERVER, WREN) as book:
        counts = await book.counts((await book.bins())[0].id, limit=9)
        parts = await book.count_parts([count.id for count in counts])
    mancae = {part.count_id: (part.said, part.number) for part in parts if part.stage is Stage.MANCA}
    assert [mancae[count.id] for count in reversed(counts)] == [
        (Seen.NOT_COUNTED, None),
        (Seen.NONE, None),
        (Seen.COUNTED, 0),
        (Seen.SOME, None),
    ]
    assert [count.exactness for count in reversed(counts)] == [
        Exactness.AT_LEAST,
        Exactness.EXACT,
        Exactness.EXACT,
        Exactness.AT_LEAST,
    ]


async def test_a_count_of_a_part_is_kept_with_what_was_seen_and_in_which_share(asking: Asking) -> None:
    await with_bin(asking)
    logged = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="20 in 3 of 12 scoops")
    count = logged.count
    assert (count.total, count.exactness, count.seen, count.share) == (80, Exactness.ESTIMATE, 20, Fraction(1, 4))
    assert count.thoroughness is Thoroughness.PART


@pytest.mark.parametrize(
    ("typed", "how"),
    [
        ("looked, nothing dug", Thoroughness.LOOK),
        ("Sorted everything", Thoroughness.SORTED),
        ("everything", Thoroughness.SORTED),
        ("sorted a part", Thoroughness.PART),
        ("", None),
    ],
)
async def test_how_the_bin_was_gone_through_is_kept(asking: Asking, typed: str, how: Thoroughness | None) -> None:
    await with_bin(asking)
    logged = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="40", how=typed)
    assert logged.count.thoroughness is how
    with pytest.raises(WordNotKnown):
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="40", how="sideways")


async def test_a_count_of_another_day_is_put_down_for_that_day_where_the_keeper_is(asking: Asking) -> None:
    """It is Thursday noon in Greenwich; for a keeper in Auckland it is one in the morning of Friday."""
    await with_bin(asking)
    async with asking.desk.records.write(asking.by().stamp) as book:
        await book.change_keeper(zone="Pacific/Auckland")
        await book.log("keeper.set", Subject("keeper", WREN))
    today = await log_count(asking.desk, asking.by(after=DAY), bin_text="B-1", count_text="40 today")
    assert today.count.at == today.logged_at == THURSDAY + DAY
    friday = await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="B-1", count_text="41 on Friday")
    assert (friday.count.at, friday.logged_at) == (THURSDAY, THURSDAY + 2 * DAY)
    assert friday.previous is None


async def test_yesterday_over_a_change_of_clocks_is_the_same_time_of_day(asking: Asking) -> None:
    """Lisbon puts its clocks on at 1 in the morning of 29 March 2026."""
    await with_bin(asking)
    async with asking.desk.records.write(asking.by().stamp) as book:
        await book.change_keeper(zone="Europe/Lisbon")
        await book.log("keeper.set", Subject("keeper", WREN))
    sunday = datetime(2026, 3, 29, 17, tzinfo=UTC)
    logged = await log_count(asking.desk, asking.by(after=sunday - THURSDAY), bin_text="B-1", count_text="40 yesterday")
    assert logged.count.at == datetime(2026, 3, 28, 18, tzinfo=UTC)


async def test_a_correction_stands_in_for_the_count_whose_history_stays(asking: Asking) -> None:
    await with_bin(asking)
    await log_count(asking.desk, asking.by(after=DAY), bin_text="B-1", count_text="30")
    wrong = await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="B-1", count_text="400")
    await log_count(asking.desk, asking.by(after=3 * DAY), bin_text="B-1", count_text="42")
    fixed = await log_count(
        asking.desk, asking.by(after=4 * DAY), bin_text="B-1", count_text="40", corrects=str(wrong.count.id)
    )
    assert fixed.corrected == wrong.count
    assert fixed.count.at == wrong.count.at
    assert fixed.previous is not None
    assert fixed.previous.total == 30
    assert [c.total for c in await asking.counts("B-1")] == [42, 40, 30]
    async with asking.desk.records.read(SERVER, WREN) as book:
        assert await book.count(wrong.count.id) == wrong.count
        assert await book.correction(wrong.count.id) == fixed.count
        assert [c.total for c in await book.latest_counts()] == [42]
    assert [event.kind for event in await asking.events()][-1] == "count.corrected"
    with pytest.raises(BuiltUpon):
        await undo(asking.desk, asking.by(), wrong.event)
    await undo(asking.desk, asking.by(), fixed.event)
    assert [c.total for c in await asking.counts("B-1")] == [42, 400, 30]


async def test_the_latest_count_that_is_corrected_is_not_the_latest(asking: Asking) -> None:
    await with_bin(asking)
    await log_count(asking.desk, asking.by(after=DAY), bin_text="B-1", count_text="30")
    wrong = await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="B-1", count_text="400")
    # Put down for an earlier day, the correction is not the newest count any more.
    await log_count(
        asking.desk, asking.by(after=2 * DAY), bin_text="B-1", count_text="41 2 days ago", corrects=str(wrong.count.id)
    )
    async with asking.desk.records.read(SERVER, WREN) as book:
        assert [c.total for c in await book.latest_counts()] == [30]
    assert [c.total for c in await asking.counts("B-1")] == [30, 41]


async def test_a_count_is_corrected_once_by_its_keepers_and_in_its_own_bin(asking: Asking) -> None:
    await with_bin(asking)
    await with_bin(asking)
    wrong = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="400")
    number = str(wrong.count.id)
    for request, code, refusal in (
        (asking.by(TAMSIN), "B-1", NotYours),
        (asking.by(), "B-2", Outlived),
        (asking.by(server=ELSEWHERE), "B-1", NoSuchBin),
    ):
        with pytest.raises(refusal):
            await log_count(asking.desk, request, bin_text=code, count_text="40", corrects=number)
    for forged in ("0", "-1", "²", "9" * 40, "999999"):
        with pytest.raises(Outlived):
            await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="40", corrects=forged)
        with pytest.raises(Outlived):
            await to_correct(asking.desk, asking.by(), forged)
    with pytest.raises(NotYours):
        await to_correct(asking.desk, asking.by(TAMSIN), number)
    with pytest.raises(Outlived):
        await to_correct(asking.desk, asking.by(server=ELSEWHERE), number)
    assert (await to_correct(asking.desk, asking.by(), number)).count == wrong.count
    await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="40", corrects=number)
    with pytest.raises(CorrectedAlready):
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="41", corrects=number)
    with pytest.raises(CorrectedAlready):
        await to_correct(asking.desk, asking.by(), number)


async def test_the_answer_to_a_question_is_kept_with_what_was_typed_first(asking: Asking) -> None:
    await with_bin(asking)
    with pytest.raises(CountUnclear):
        await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="7 m")
    logged = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="7 males", typed="7 m")
    assert (logged.count.total, logged.count.typed) == (7, "7 m")


async def test_the_first_time_a_bin_is_sorted_says_what_its_dust_can_do_once(sqlite_records: Records) -> None:
    asking = asking_of(sqlite_records)
    await with_bin(asking)
    told = []
    for day, how in enumerate(("looked, nothing dug", "sorted everything", "sorted everything")):
        request = asking.by(after=timedelta(days=day))
        logged = await log_count(asking.desk, request, bin_text="B-1", count_text="40", how=how)
        told.append(cautions.ALLERGY in logged_card(logged).blocks)
    await asking.desk.workers.close()
    assert told == [False, True, False]
