"""A SQLite connection that asks its thread once per statement.

The driver runs SQLite in a thread of its own and makes a trip there for each of: a cursor, the statement, its rows, the
cursor's end. SQLAlchemy always wants all four, and the trips cost more than the statement. Here they are one.
"""

import asyncio
import sqlite3
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple, TypeVar

import aiosqlite

Result = TypeVar("Result")


class _Outcome(NamedTuple):
    rows: list[Any]
    description: Any
    rowcount: int
    lastrowid: int | None


class OneTripCursor:
    """What SQLAlchemy asks of a cursor, answered from what the one trip brought back."""

    def __init__(self, connection: "OneTripConnection") -> None:
        self._connection = connection
        self._outcome = _Outcome([], None, -1, None)
        self.arraysize = 1

    async def __aenter__(self) -> "OneTripCursor":
        return self

    async def execute(self, operation: str, parameters: Sequence[Any] = ()) -> "OneTripCursor":
        """Run a statement and fetch its rows."""
        self._outcome = await self._connection.trip(lambda raw: _collect(raw.execute(operation, parameters)))
        return self

    async def executemany(self, operation: str, parameters: Sequence[Sequence[Any]]) -> "OneTripCursor":
        """Run a statement once per row of parameters."""
        self._outcome = await self._connection.trip(lambda raw: _collect(raw.executemany(operation, parameters)))
        return self

    async def fetchall(self) -> list[Any]:
        """The rows that came back."""
        return self._outcome.rows

    async def close(self) -> None:
        """Nothing is open: the trip closed its cursor."""

    @property
    def description(self) -> Any:
        """Names of the columns, or None for a statement that gives no rows."""
        return self._outcome.description

    @property
    def rowcount(self) -> int:
        """How many rows were changed."""
        return self._outcome.rowcount

    @property
    def lastrowid(self) -> int | None:
        """SQLite's number of the last row put in."""
        return self._outcome.lastrowid


def _collect(cursor: sqlite3.Cursor) -> _Outcome:
    try:
        rows = cursor.fetchall() if cursor.description is not None else []
        return _Outcome(rows, cursor.description, cursor.rowcount, cursor.lastrowid)
    finally:
        cursor.close()


class OneTripConnection(aiosqlite.Connection):
    """The driver's connection with the cursor above. `at_once`: statements run where they are asked for, without a trip."""

    at_once = False

    def cursor(self) -> OneTripCursor:  # type: ignore[override]  # SQLAlchemy enters it; nobody else sees it
        """A cursor that makes one trip per statement."""
        return OneTripCursor(self)

    async def trip(self, work: Callable[[sqlite3.Connection], Result]) -> Result:
        """Run something with SQLite's own connection in its thread."""
        if self.at_once:
            return work(self._conn)
        # The driver has no public way to do several things in one go.
        result: Result = await self._execute(work, self._conn)  # type: ignore[no-untyped-call]  # the driver's own
        return result


async def connect(path: str, options: dict[str, Any], *, at_once: bool = False) -> OneTripConnection:
    """Open a database file; `options` go to `sqlite3.connect`.

    With `at_once` every statement runs in the thread of whoever asks, and holds up everything else there: for a file that
    is being made, which nobody waits for but its maker.
    """
    if at_once:
        options = {**options, "check_same_thread": False}
    connection = OneTripConnection(lambda: sqlite3.connect(path, **options), iter_chunk_size=64)
    # A process that dies of something else must not wait for this thread.
    connection._thread.daemon = True
    try:
        await connection
    except BaseException:
        # The driver tells its thread to end and does not wait for it; it must not find the loop closed when it reports.
        await asyncio.get_running_loop().run_in_executor(None, connection._thread.join)
        raise
    connection.at_once = at_once
    return connection
