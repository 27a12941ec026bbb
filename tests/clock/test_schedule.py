"""The tick: at once, from time to time, when woken; and how it ends."""

import asyncio
from collections.abc import Callable
from datetime import timedelta

from bot.clock.dispatcher import Dispatcher, Outcome, Report
from bot.clock.schedule import Clockwork
from bot.records import Records
from tests.support.dispatching import SECOND, Bench
from tests.support.pings import add_care

SOON = timedelta(milliseconds=30)


class Slow(Dispatcher):
    """Counts its ticks; each lasts until it is let go."""

    def __init__(self) -> None:
        self.begun = self.ended = 0
        self.go = asyncio.Event()

    async def tick(self) -> Report:
        self.begun += 1
        await self.go.wait()
        self.ended += 1
        return Report(())


async def until(condition: Callable[[], bool]) -> None:
    async with asyncio.timeout(5):
        while not condition():  # noqa: ASYNC110 - what is waited for has no event to set
            await asyncio.sleep(0.005)


async def test_it_looks_at_once_and_again(records: Records) -> None:
    bench = Bench(records)
    await add_care(records, 5)
    clockwork = Clockwork(bench.dispatcher(), every=SOON)
    clockwork.start()
    await until(lambda: len(bench.shore.messages) == 1)
    await add_care(records, 6)
    await until(lambda: len(bench.shore.messages) == 2)
    await clockwork.stop(SECOND)
    await add_care(records, 7)
    await asyncio.sleep(0.1)
    assert len(bench.shore.messages) == 2


async def test_woken_it_looks_at_once_and_reports(sqlite_records: Records) -> None:
    bench = Bench(sqlite_records)
    clockwork = Clockwork(bench.dispatcher(), every=timedelta(hours=1))
    clockwork.start()
    assert (await clockwork.wake()).outcomes == ()
    await add_care(sqlite_records, 5)
    assert (await clockwork.wake()).count(Outcome.POSTED) == 1
    await clockwork.stop(SECOND)


async def test_a_tick_that_lasts_is_not_begun_twice() -> None:
    slow = Slow()
    clockwork = Clockwork(slow, every=SOON)
    clockwork.start()
    await until(lambda: slow.begun == 1)
    await asyncio.sleep(0.15)
    assert slow.begun == 1
    slow.go.set()
    await until(lambda: slow.begun > 1)
    await clockwork.stop(SECOND)


async def test_stopping_waits_for_a_running_tick() -> None:
    slow = Slow()
    clockwork = Clockwork(slow, every=SOON)
    clockwork.start()
    await until(lambda: slow.begun == 1)
    stopping = asyncio.create_task(clockwork.stop(SECOND))
    await asyncio.sleep(0.05)
    assert not stopping.done()
    slow.go.set()
    await stopping
    assert (slow.begun, slow.ended) == (1, 1)


async def test_stopping_cuts_off_what_lasts_longer_than_the_grace() -> None:
    slow = Slow()
    clockwork = Clockwork(slow, every=SOON)
    clockwork.start()
    await until(lambda: slow.begun == 1)
    await clockwork.stop(SOON)
    assert (slow.begun, slow.ended) == (1, 0)
    await clockwork.stop(SOON)
