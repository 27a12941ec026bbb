"""Faults on demand: what goes wrong between a bot and the service, when a test wants it to."""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from enum import StrEnum
from fnmatch import fnmatchcase
from types import TracebackType
from typing import Self


class FaultKind(StrEnum):
    """What happens to a request."""

    FAIL = "fail"
    RATE_LIMIT = "rate limit"
    RESET = "reset"
    HOLD = "hold"


class Hold:
    """Requests that are kept waiting, for as long as the block lasts or until `release` is called."""

    def __init__(self) -> None:
        self._reached = asyncio.Event()
        self._released = asyncio.Event()

    async def reached(self, timeout: float) -> None:  # noqa: ASYNC109 - the tests give it in seconds
        """Wait until a request has arrived and waits. Raises TimeoutError."""
        async with asyncio.timeout(timeout):
            await self._reached.wait()

    @property
    def released(self) -> bool:
        """Whether nothing is kept waiting any more."""
        return self._released.is_set()

    def release(self) -> None:
        """Let the request go on, and all later ones."""
        self._released.set()

    async def wait(self) -> None:
        """What the request does: say that it is here, and wait."""
        self._reached.set()
        await self._released.wait()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()


@dataclass(slots=True, eq=False)
class Fault:
    """One armed fault: for requests of a method ("*": any) whose path below /api/v10 fits a shell pattern."""

    kind: FaultKind
    method: str
    pattern: str
    after_accepting: bool
    times: int
    status: int = 503
    retry_after: float = 0.0
    everywhere: bool = False
    hold: Hold = field(default_factory=Hold)

    def fits(self, method: str, path: str) -> bool:
        """Whether this request is meant. In the pattern, `*` stands for anything, slashes too."""
        return self.method in ("*", method) and fnmatchcase(path, self.pattern)


class Faults:
    """Arms faults. Each fires as often as told, in the order of arming, then is gone.

    `after_accepting` says on which side of the service's work it happens: if True the request has its full effect (a
    message is posted, an interaction answered) and only the answer is lost. A refused request does not use it up.
    """

    def __init__(self, drop: Callable[[bool], Awaitable[None]]) -> None:
        self._drop = drop
        self._armed: list[Fault] = []
        self._deliver_twice = 0

    async def drop_connection(self, *, resumable: bool = True) -> None:
        """Cut the gateway connection now. Unless `resumable`, the session is forgotten and RESUME is refused."""
        await self._drop(resumable)

    def fail_next(
        self, method: str, path: str, *, status: int = 503, after_accepting: bool = True, times: int = 1
    ) -> None:
        """Answer the next such requests with a server error."""
        self._armed.append(Fault(FaultKind.FAIL, method, path, after_accepting, times, status=status))

    def rate_limit_next(
        self, path: str, retry_after: float, *, method: str = "*", everywhere: bool = False, times: int = 1
    ) -> None:
        """Refuse the next such requests with 429 and a wait in seconds; `everywhere` makes it the global limit."""
        self._armed.append(
            Fault(FaultKind.RATE_LIMIT, method, path, False, times, 429, retry_after=retry_after, everywhere=everywhere)
        )

    def reset_next(self, method: str, path: str, *, after_accepting: bool = True, times: int = 1) -> None:
        """Reset the TCP connection of the next such requests instead of answering."""
        self._armed.append(Fault(FaultKind.RESET, method, path, after_accepting, times))

    def hold(self, method: str, path: str, *, after_accepting: bool = False, times: int = 1_000_000) -> Hold:
        """Keep such requests waiting until the returned hold is released. It works as a `with` block too."""
        fault = Fault(FaultKind.HOLD, method, path, after_accepting, times)
        self._armed.append(fault)
        return fault.hold

    def deliver_twice_next(self, times: int = 1) -> None:
        """Dispatch the next interactions twice each."""
        self._deliver_twice += times

    def clear(self) -> None:
        """Disarm everything and release what is held."""
        for fault in self._armed:
            fault.hold.release()
        self._armed.clear()
        self._deliver_twice = 0

    def take(self, method: str, path: str, *, after_accepting: bool) -> Fault | None:
        """The first armed fault that is meant for this request on this side of the work; it is used up by one."""
        self._armed = [fault for fault in self._armed if not fault.hold.released]
        for fault in self._armed:
            if fault.after_accepting == after_accepting and fault.fits(method, path):
                fault.times -= 1
                if fault.times <= 0:
                    self._armed.remove(fault)
                return fault
        return None

    def take_deliver_twice(self) -> bool:
        """Whether this interaction is to be dispatched twice; used up by one."""
        if self._deliver_twice <= 0:
            return False
        self._deliver_twice -= 1
        return True
