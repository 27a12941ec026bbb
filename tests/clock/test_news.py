"""A new word of a verdict is told in its room once, whatever ends when."""

import itertools
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from bot.cards.rounds import round_ping
from bot.clock.dispatcher import Dispatcher, Outcome, Pace
from bot.clock.marks import news_mark
from bot.records import DeliveryState, Dominance, FollowedRow, Records, Stamp, Subject
from tests.support.dispatching import Probed
from tests.support.pings import START, Crash, Fault, Hands, Shore, notice

ROOM, SERVER, KEEPER = 70, 5, 1
PACE = Pace(gap=timedelta(), batch=3, at_once=1, lease=timedelta(seconds=20), reserve=timedelta(seconds=5))
_requests = itertools.count(10**6)


def stamp() -> Stamp:
    return Stamp(SERVER, KEEPER, "Wren", next(_requests), START)


async def told(records: Records, words: tuple[str, ...] = ("leaning", "supported")) -> int:
    """A followed trait whose verdict went from one word to the next, the last of which is to be told; returns the trait."""
    async with records.write(stamp()) as book:
        trait = await book.add_trait(name="em_ber", symbol="e", dominance=Dominance.RECESSIVE)
        await book.log("trait.defined", Subject("trait", trait))
    async with records.write(stamp()) as book:
        await book.follow(trait, ROOM)
        await book.log("trait.followed", Subject("trait", trait))
    async with records.write(stamp()) as book:
        for number, word in enumerate(words):
            verdict = await book.add_verdict(
                trait,
                seq=2,
                word=word,
                leader="recessive",
                posterior=Fraction(88 + 8 * number, 100),
                sceptic=Fraction(1, 2),
                broods=1,
                young=9,
                body={"v": 1},
            )
        followed = await book.followed(trait)
        assert followed is not None
        await book.tell_verdict(verdict, followed)
    return trait


class Moments:
    """Ends the process at the given one of the moments at which it waits for something."""

    def __init__(self, ends_at: int | None) -> None:
        self.count = 0
        self._ends_at = ends_at

    async def __call__(self, where: str) -> None:
        self.count += 1
        if self.count - 1 == self._ends_at:
            raise Crash(where)


async def process(
    records: Records, shore: Shore, clocks: Hands, ends_at: int | None = None
) -> tuple[int, list[Outcome]]:
    """A process that ticks once, and ends at a moment if one is given; how many moments there were, and what came of it."""
    moments = Moments(ends_at)
    shore.at = moments
    dispatch = Probed(records.dispatch(), moments)
    holder = f"process {next(_requests)}"
    dispatcher = Dispatcher(dispatch, shore, clocks, round_ping, notice, holder=holder, pace=PACE)
    outcomes: list[Outcome] = []
    try:
        outcomes = list((await dispatcher.tick()).outcomes)
    except* Crash:
        pass
    return moments.count, outcomes


async def followed_row(records: Records, trait: int) -> FollowedRow:
    async with records.read(SERVER) as book:
        row = await book.followed(trait)
    assert row is not None
    return row


async def test_it_is_told_with_what_the_word_was_and_pings_nobody(records: Records) -> None:
    clocks = Hands()
    shore = Shore(clocks)
    trait = await told(records)
    _, outcomes = await process(records, shore, clocks)
    assert outcomes == [Outcome.POSTED]
    (message,) = shore.messages
    assert message.channel == ROOM
    assert message.text == "em\\_ber is now *supported*: recessive, 96 % (was 88 %)."
    assert message.marks[0].startswith(f"m1:evidence.news:{trait}.")
    assert (await followed_row(records, trait)).state is DeliveryState.SENT
    assert (await process(records, shore, clocks))[1] == []


async def test_wherever_a_process_ends_it_is_told_once(sqlite_records: Records) -> None:
    clocks = Hands()
    whole = Shore(clocks)
    await told(sqlite_records)
    moments, _ = await process(sqlite_records, whole, clocks)
    assert moments > 6
    for ends_at in range(moments):
        shore = Shore(clocks)
        await told_again(sqlite_records)
        await process(sqlite_records, shore, clocks, ends_at)
        for _ in range(3):
            clocks.wait(timedelta(minutes=5))
            await process(sqlite_records, shore, clocks)
        assert len(shore.messages) == 1, ends_at
        assert "may be a repeat" not in shore.messages[0].text


async def told_again(records: Records) -> None:
    """The last verdict of the only trait is told once more, as another one."""
    async with records.write(stamp()) as book:
        (trait,) = await book.traits()
        row = await book.followed(trait.id)
        assert row is not None
        verdict = await book.add_verdict(
            trait.id,
            seq=2,
            word="supported",
            leader="recessive",
            posterior=Fraction(97, 100),
            sceptic=Fraction(1, 2),
            broods=2,
            young=9,
            body={"v": 1},
        )
        await book.tell_verdict(verdict, row)


@pytest.mark.parametrize("fault", [Fault.LOST, Fault.UNHEARD, Fault.RESET, Fault.RESET_AFTER, Fault.SLOW_DOWN])
async def test_whatever_goes_wrong_on_the_way_it_is_told_once(sqlite_records: Records, fault: Fault) -> None:
    clocks = Hands()
    shore = Shore(clocks)
    await told(sqlite_records)
    shore.faults.append(fault)
    for _ in range(4):
        await process(sqlite_records, shore, clocks)
        clocks.wait(timedelta(minutes=5))
    assert len(shore.messages) == 1


@pytest.mark.parametrize("how", ["gone", "closed"])
async def test_a_room_that_takes_it_not_is_given_up_at_once_and_nobody_gets_it_alone(
    sqlite_records: Records, how: str
) -> None:
    clocks = Hands()
    shore = Shore(clocks, gone={ROOM} if how == "gone" else set(), closed={ROOM} if how == "closed" else set())
    trait = await told(sqlite_records)
    assert (await process(sqlite_records, shore, clocks))[1] == [Outcome.GIVEN_UP]
    assert shore.messages == []
    assert (await followed_row(sqlite_records, trait)).state is DeliveryState.REFUSED
    assert (await process(sqlite_records, shore, clocks))[1] == []


async def test_a_room_chosen_later_has_refused_nothing(sqlite_records: Records) -> None:
    clocks = Hands()
    trait = await told(sqlite_records)
    await process(sqlite_records, Shore(clocks, gone={ROOM}), clocks)
    later = datetime(2030, 1, 1, tzinfo=UTC)
    async with sqlite_records.write(Stamp(SERVER, KEEPER, "Wren", next(_requests), later)) as book:
        await book.follow(trait, ROOM + 1)
        await book.log("trait.followed", Subject("trait", trait))
    row = await followed_row(sqlite_records, trait)
    assert (row.room_id, row.state) == (ROOM + 1, None)


def test_the_mark_of_news_is_like_no_other() -> None:
    assert news_mark(4, 9) != news_mark(49, 9)
