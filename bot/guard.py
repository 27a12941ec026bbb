"""No waiting on the outside while a unit of work is open.

An open unit of work holds a database transaction, and on SQLite the one write lock. Waiting there for the chat service or
for a worker would stop everybody. The units of work announce themselves here; whatever waits on the outside asks first.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_open_unit: ContextVar[bool] = ContextVar("open_unit", default=False)


class UnitOpen(RuntimeError):
    """Something wanted to wait on the outside while a unit of work was open in the same task."""


@contextmanager
def unit_of_work() -> Iterator[None]:
    """Mark a unit of work as open in this task until the block is left.

    Raises:
        UnitOpen: one is open already; units do not nest.
    """
    assert_no_unit_open("a second unit of work")
    token = _open_unit.set(True)
    try:
        yield
    finally:
        _open_unit.reset(token)


def assert_no_unit_open(what: str) -> None:
    """Raise `UnitOpen` if a unit of work is open in this task. `what` names the one who asks, for the message."""
    if _open_unit.get():
        raise UnitOpen(f"{what} inside an open unit of work")
