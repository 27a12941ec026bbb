"""Processes that end at any moment: every ping goes out, and goes out once."""

import asyncio
import itertools
from dataclasses import dataclass
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.clock.dispatcher import Dispatcher, Pace
from bot.records import OccurrenceState, Records
from tests.support.dispatching import DUE, HOUR, SECOND, Probed
from tests.support.pings import REPEAT, Care, Composer, Crash, Fault, Hands, Shore, add_care, direct, notice

LONG = Pace(gap=timedelta(), batch=3, at_once=1)
"""A lease that outlives the nonce: whoever takes over has to ask the history."""

SHORT = Pace(gap=timedelta(), batch=3, at_once=1, lease=timedelta(seconds=20), reserve=timedelta(seconds=5))
"""A lease that ends while the nonce is known."""

FAULTS = [Fault.LOST, Fault.UNHEARD, Fault.RESET, Fault.RESET_AFTER, Fault.SLOW_DOWN]
WAITS = [timedelta(), 3 * SECOND, 25 * SECOND, 55 * SECOND, 100 * SECOND, 200 * SECOND, HOUR]


class Fuse:
    """Ends the process at the given moment, counted over everything the dispatcher waits for, for every task of it."""

    def __init__(self, blows_at: int | None = None) -> None:
        self.moments = 0
        self._blows_at = blows_at

    async def __call__(self, where: str) -> None:
        self.moments += 1
        if self._blows_at is not None and self.moments > self._blows_at:
            raise Crash(where)


@dataclass(frozen=True)
class Step:
    """Some time passes, then some processes tick, each with a moment at which it ends, or none."""

    wait: timedelta
    blows_at: tuple[int | None, ...]
    faults: tuple[Fault, ...]


STEPS = st.lists(
    st.builds(
        Step,
        wait=st.sampled_from(WAITS),
        blows_at=st.lists(st.none() | st.integers(0, 16), min_size=1, max_size=2).map(tuple),
        faults=st.lists(st.sampled_from(FAULTS), max_size=3).map(tuple),
    ),
    max_size=5,
)


class Society:
    """One shore and one book, over which processes come and go."""

    def __init__(self, records: Records, pace: Pace) -> None:
        self.records = records
        self.pace = pace
        self.clocks = Hands(DUE)
        self.shore = Shore(self.clocks)
        self._processes = itertools.count()

    async def process(self, blows_at: int | None = None) -> int:
        """A process that starts, ticks once and ends, at the latest with its fuse; returns how far it came."""
        fuse = Fuse(blows_at)
        dispatch = Probed(self.records.dispatch(), fuse)
        shore = Watched(self.shore, fuse)
        holder = f"process {next(self._processes)}"
        dispatcher = Dispatcher(dispatch, shore, self.clocks, Composer(), notice, holder=holder, pace=self.pace)
        try:
            await dispatcher.tick()
        except* Crash:
            pass
        return fuse.moments

    async def settle(self) -> None:
        """Calm days: time passes and nothing fails any more."""
        self.shore.faults.clear()
        for _ in range(4):
            self.clocks.wait(HOUR)
            await self.process()

    def posted(self, care: Care) -> list[str]:
        """The pings that ask for this care."""
        return [m.text for m in self.shore.messages if m.channel == care.channel and care.code in m.text.split()]

    async def asked(self, care: Care) -> list[OccurrenceState]:
        """The states of the task's due dates in time order."""
        async with self.records.read(care.server) as book:
            rows = [await book.occurrence(number) for number in range(1, 20)]
        mine = [row for row in rows if row is not None and row.task_id == care.task]
        return [row.state for row in sorted(mine, key=lambda row: row.due_at)]


class Watched(Shore):
    """The shore as one process sees it: the same messages and faults, the process's own fuse."""

    def __init__(self, shore: Shore, fuse: Fuse) -> None:
        super().__init__(
            shore.clocks,
            shore.remembers,
            shore.messages,
            shore.faults,
            closed=shore.closed,
            unreadable=shore.unreadable,
        )
        self.at = fuse


async def some_care(records: Records, server: int) -> list[Care]:
    """Two pings in two servers, one of them asking for two things."""
    return [
        await add_care(records, server, keeper=1, channel=server * 10),
        await add_care(records, server, keeper=1, channel=server * 10),
        await add_care(records, server + 1, keeper=1, channel=server * 10 + 1),
    ]


async def assert_asked_once(society: Society, cares: list[Care]) -> None:
    for care in cares:
        assert len(society.posted(care)) == 1, care
        assert REPEAT not in society.posted(care)[0]
        assert await society.asked(care) == [OccurrenceState.ASKED, OccurrenceState.DUE]


@pytest.mark.parametrize("pace", [LONG, SHORT], ids=["long", "short"])
async def test_a_crash_at_every_single_moment(records: Records, pace: Pace) -> None:
    calm = Society(records, pace)
    cares = await some_care(records, 1)
    moments = await calm.process()
    await assert_asked_once(calm, cares)
    assert moments == 2 + 2 * 2 + 2 * 6
    for blows_at in range(moments):
        society = Society(records, pace)
        cares = await some_care(records, 2 * blows_at + 3)
        assert await society.process(blows_at) > blows_at
        society.clocks.wait(pace.lease)
        await society.process()
        await assert_asked_once(society, cares)


@pytest.mark.parametrize("pace", [LONG, SHORT], ids=["long", "short"])
async def test_a_crash_at_every_single_moment_of_the_way_to_the_keeper(records: Records, pace: Pace) -> None:
    """Rooms that take no pings: each comes to its keeper alone, once; where the room's refusal was not noted it may say so."""
    calm = Society(records, pace)
    calm.shore.closed |= {10, 11}
    cares = await some_care(records, 1)
    moments = await calm.process()
    assert [message.channel for message in calm.shore.messages] == [direct(1)] * 2
    assert moments > 2 + 2 * 2 + 2 * 8
    for blows_at in range(moments):
        society = Society(records, pace)
        server = 2 * blows_at + 3
        society.shore.closed |= {server * 10, server * 10 + 1}
        cares = await some_care(records, server)
        assert await society.process(blows_at) > blows_at
        society.clocks.wait(pace.lease)
        await society.process()
        assert [message.channel for message in society.shore.messages] == [direct(1)] * 2, blows_at
        for care in cares:
            assert await society.asked(care) == [OccurrenceState.ASKED, OccurrenceState.DUE]


@pytest.mark.parametrize("readable", [True, False], ids=["readable", "unreadable"])
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), steps=STEPS, pace=st.sampled_from([LONG, SHORT]))
async def test_crashes_faults_and_companions_in_any_order(
    records: Records,
    counter: "itertools.count[int]",
    readable: bool,
    data: st.DataObject,
    steps: list[Step],
    pace: Pace,
) -> None:
    """Once each while the history can be read; else at least once, and whatever may be a repeat says so."""
    society = Society(records, pace)
    cares = await some_care(records, 2 * next(counter))
    if not readable:
        society.shore.unreadable |= {care.channel for care in cares}
    for step in steps:
        society.clocks.wait(step.wait)
        society.shore.faults.extend(step.faults)
        await asyncio.gather(*(society.process(blows_at) for blows_at in step.blows_at))
        society.shore.faults.clear()
    await society.settle()
    if readable:
        await assert_asked_once(society, cares)
        return
    for care in cares:
        posted = society.posted(care)
        assert posted
        assert all(REPEAT in text for text in posted[1:])
        assert await society.asked(care) == [OccurrenceState.ASKED, OccurrenceState.DUE]


@pytest.fixture
def counter() -> "itertools.count[int]":
    """Servers that no earlier example has used."""
    return itertools.count(1)
