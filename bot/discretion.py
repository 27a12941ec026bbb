"""What is kept to a few people is answered to the one who asked alone.

A book that gives out something of a bin which keeps anything private says so here; whoever made the question listens, and
sends the answer so that nobody else sees it. So no service and no card can forget to.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar


class Heard:
    """Whether something private was given out while somebody listened."""

    __slots__ = ("private",)

    def __init__(self) -> None:
        self.private = False


_listening: ContextVar[Heard | None] = ContextVar("listening", default=None)


@contextmanager
def listening() -> Iterator[Heard]:
    """Listen for as long as the block runs, in this task and in those it starts."""
    heard = Heard()
    token = _listening.set(heard)
    try:
        yield heard
    finally:
        _listening.reset(token)


def say_private() -> None:
    """Something private was given out. Where nobody listens nothing is sent to a room."""
    heard = _listening.get()
    if heard is not None:
        heard.private = True
