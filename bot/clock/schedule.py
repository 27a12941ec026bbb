"""The tick. APScheduler only says when to look; what is due stands in the book, so nothing here is worth keeping."""

import asyncio
from datetime import UTC, datetime, timedelta

from apscheduler.schedulers.asyncio import AsyncIOScheduler

from bot.clock.dispatcher import Dispatcher, Report


class Clockwork:
    """Makes a dispatcher look for due work from time to time, and at once when it is woken."""

    def __init__(self, dispatcher: Dispatcher, every: timedelta) -> None:
        self._dispatcher = dispatcher
        self._every = every
        self._scheduler = AsyncIOScheduler(timezone=UTC)
        self._running: set[asyncio.Task[Report]] = set()

    def start(self) -> None:
        """Begin, with a first look at once. Needs a running event loop."""
        self._scheduler.add_job(
            self._look,
            "interval",
            seconds=self._every.total_seconds(),
            next_run_time=datetime.now(UTC),
            coalesce=True,
            max_instances=1,
            misfire_grace_time=None,
        )
        self._scheduler.start()

    def wake(self) -> asyncio.Task[Report]:
        """Look at once, after a look that is running. The task may be awaited for its report, or left alone."""
        task = asyncio.get_running_loop().create_task(self._dispatcher.tick())
        self._running.add(task)
        task.add_done_callback(self._running.discard)
        return task

    async def stop(self, grace: timedelta) -> None:
        """Look no more. What is being sent may finish within `grace`; then it is cut off, which loses nothing."""
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)
        running = tuple(self._running)
        if not running:
            return
        _, late = await asyncio.wait(running, timeout=grace.total_seconds())
        for task in late:
            task.cancel()
        await asyncio.gather(*late, return_exceptions=True)

    async def _look(self) -> None:
        # Not awaited: the scheduler cancels what it awaits when it stops, and a look under way is to finish by itself.
        if not self._running:
            self.wake()
