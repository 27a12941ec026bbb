"""Worker processes for numeric work and drawing: a thread would still delay everybody who waits for an answer.

Nothing is started before the first job. A worker does one job at a time, in a pool of its own, so that a worker that is
killed takes no other job with it.
"""

import asyncio
import logging
import multiprocessing
import os
import threading
from collections.abc import Callable, Sequence
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.context import BaseContext
from typing import TYPE_CHECKING, Any, Final, TypeVar, TypeVarTuple, Unpack

from bot.guard import assert_no_unit_open

if TYPE_CHECKING:
    from pebble import ProcessPool

_log = logging.getLogger(__name__)
T = TypeVar("T")
Ts = TypeVarTuple("Ts")

DEADLINE: Final = 10.0
"""Seconds that a job may take if its caller does not say otherwise."""
MOST_WAITING: Final = 32
"""How many jobs may wait for a free worker; one more is told to come back."""
_LATE: Final = 8.0
"""Seconds past its deadline after which a job's pool is given up: a stuck worker is asked to end for three, then killed."""
_TRIES: Final = 2


class Overdue(Exception):
    """A job was not done within its deadline, in seconds; its process was ended."""

    def __init__(self, deadline: float) -> None:
        super().__init__(deadline)
        self.deadline = deadline


class WorkerLost(Exception):
    """The process that did a job ended before the job was done: killed from outside, out of memory, or closed."""


class AllBusy(Exception):
    """`waiting` jobs wait for a worker already."""

    def __init__(self, waiting: int) -> None:
        super().__init__(waiting)
        self.waiting = waiting


class Workers:
    """At most `most` worker processes, started when first needed and replaced when lost.

    A job is a function at the top of a module, called in another process: it, its arguments, what it returns and what it
    raises must be picklable. A job changes nothing outside, so that one whose worker was lost before it began is tried
    again. Belongs to one event loop.

    `preloaded` are modules that every worker has loaded when it starts, so that only the first of them is slow. Workers
    are copies of one process that has them; of several `Workers` in one process the first to do a job says which.
    """

    def __init__(self, most: int = 2, preloaded: Sequence[str] = ()) -> None:
        self._preloaded = list(preloaded)
        self._free = asyncio.Semaphore(most)
        self._waiting = 0
        self._pools: set[ProcessPool] = set()
        self._idle: list[ProcessPool] = []
        self._running: set[asyncio.Future[Any]] = set()
        self._closed = False

    async def run(
        self,
        job: Callable[[Unpack[Ts]], T],
        *args: *Ts,
        deadline: float = DEADLINE,
        most_waiting: int = MOST_WAITING,
    ) -> T:
        """What `job(*args)` returns, or what it raises. `deadline` is in seconds and counts from the job's start.

        If the caller is cancelled, the job's process is ended. A `TimeoutError` of the job's own is taken for the deadline.

        Raises:
            UnitOpen: a unit of work is open in this task.
            Overdue, WorkerLost, AllBusy: there is no result.
        """
        assert_no_unit_open("a worker")
        if self._free.locked() and self._waiting >= most_waiting:
            raise AllBusy(self._waiting)
        self._waiting += 1
        try:
            await self._free.acquire()
        finally:
            self._waiting -= 1
        try:
            return await self._tried(job, args, deadline)
        finally:
            self._free.release()

    async def close(self) -> None:
        """End every worker, and with it what it was doing. A job that comes later is lost at once."""
        self._closed = True
        for future in tuple(self._running):
            future.cancel()
        await asyncio.gather(*map(self._end, tuple(self._pools)))

    async def _tried(self, job: Callable[[Unpack[Ts]], T], args: tuple[*Ts], deadline: float) -> T:
        for _ in range(_TRIES):
            pool = await self._pool()
            try:
                return await self._done(pool, job, args, deadline)
            except BrokenProcessPool:
                _log.warning("a worker had ended before its job began")
        raise WorkerLost

    async def _pool(self) -> "ProcessPool":
        """A pool of one worker that has nothing to do, started."""
        from pebble import ProcessPool  # noqa: PLC0415 - a bot without a job loads no pool

        if self._closed:
            raise WorkerLost
        while self._idle:
            pool = self._idle.pop()
            if pool.active:
                return pool
            await self._end(pool)
        pool = ProcessPool(max_workers=1, initializer=_begin, context=_context(self._preloaded))
        self._pools.add(pool)
        # Asked whether it is active, a pool starts.
        await asyncio.to_thread(lambda: pool.active)
        return pool

    async def _done(self, pool: "ProcessPool", job: Callable[[Unpack[Ts]], T], args: tuple[*Ts], deadline: float) -> T:
        from pebble import ProcessExpired  # noqa: PLC0415 - as above

        if self._closed:
            # Closed while the pool was starting: what is handed to it now would be neither done nor cancelled.
            await self._end(pool)
            raise WorkerLost
        try:
            future = asyncio.wrap_future(pool.schedule(job, args, timeout=deadline))
        except RuntimeError as error:
            # It broke, or was closed, after it was found sound.
            await self._end(pool)
            raise BrokenProcessPool from error
        self._running.add(future)
        sound = True
        try:
            async with asyncio.timeout(deadline + _LATE):
                return await future
        except ProcessExpired as error:
            raise WorkerLost from error
        except TimeoutError as error:
            # The pool's own word comes when the process has ended. Without it the pool itself is stuck.
            sound = not future.cancelled()
            raise Overdue(deadline) from error
        except BrokenProcessPool:
            sound = False
            raise
        except asyncio.CancelledError as error:
            if self._closed and not _asked_to_stop():
                raise WorkerLost from error
            raise
        finally:
            self._running.discard(future)
            if sound:
                self._idle.append(pool)
            else:
                await self._end(pool)

    async def _end(self, pool: "ProcessPool") -> None:
        if pool in self._pools:
            self._pools.discard(pool)
            pool.stop()  # type: ignore[no-untyped-call]
            await asyncio.to_thread(pool.join)


def _context(preloaded: list[str]) -> BaseContext:
    """How processes are started: as a fork of the bot itself they would have its sockets and its database too."""
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
    if context.get_start_method() == "forkserver":
        context.set_forkserver_preload(["__main__", *preloaded])
    return context


def _asked_to_stop() -> bool:
    """Whether it is this task that was cancelled, and not what it waited for."""
    task = asyncio.current_task()
    return task is not None and task.cancelling() > 0


def _begin() -> None:
    """In a new worker: give way to the process that answers people, use one processor, and do not outlive the bot."""
    for library in ("OPENBLAS", "OMP", "MKL"):
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    if hasattr(os, "nice"):
        os.nice(5)
    threading.Thread(target=_end_with_the_bot, daemon=True).start()


def _end_with_the_bot() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
