"""What is shown in place of a promised answer while the work goes on."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from bot.cards.card import Card
from bot.discretion import Heard


class Meanwhile:
    """The card that says what is being done, the newest one; and whether that is for one person's eyes."""

    __slots__ = ("_heard", "_shown", "_told")

    def __init__(self) -> None:
        self._told: Card | None = None
        self._shown: Card | None = None
        self._heard: Heard | None = None

    def tell(self, card: Card) -> None:
        """This is what is being done now."""
        self._told = card

    def news(self) -> Card | None:
        """What is being done, if that was not shown yet; with `private` as it stands at this moment."""
        if self._told is None or self._told == self._shown:
            return None
        self._shown = self._told
        return self._told

    @property
    def private(self) -> bool:
        """Whether something private was given out on the way."""
        return self._heard is not None and self._heard.private

    @contextmanager
    def listening(self, heard: Heard) -> Iterator[None]:
        """Take what the work tells for as long as the block runs."""
        self._heard = heard
        token = _told.set(self)
        try:
            yield
        finally:
            _told.reset(token)


_told: ContextVar[Meanwhile | None] = ContextVar("told", default=None)


def meanwhile(card: Card) -> None:
    """Say what is being done: shown if the answer takes long, and then replaced by it. Where nobody listens it is not."""
    listener = _told.get()
    if listener is not None:
        listener.tell(card)
