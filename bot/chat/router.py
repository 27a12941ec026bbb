"""One router for every press and every form.

A press or a form arrives with a custom id; its verb names a route. Routes are found, not registered: a route is a module
attribute of a module in this package. Nothing is kept in memory between a message and its press, so that a restart in
between is not noticed.
"""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from bot.cards.card import Card, Form, Ping
from bot.chat.sheets import Sheet
from bot.services.desk import Desk
from bot.services.request import Request

Reply = Card | Form | Ping
"""What a handler answers with. A `Ping` replaces the message that was pressed; the others come as a message or a form."""


@dataclass(frozen=True, slots=True)
class Press:
    """What came with a press: the argument of its custom id."""

    argument: str


Handler = Callable[[Desk, Request, Press], Awaitable[Reply]]


@dataclass(frozen=True, slots=True)
class Route:
    """A verb, and what answers it. With `replaces` the answer takes the place of the message that was pressed.

    `private`: an answer that takes long is promised to the person who pressed alone, because it will be for them alone.
    `fills` names the sheet that a press fills in, with the field that its argument answers: what is asked about then is kept.
    """

    verb: str
    handler: Handler
    replaces: bool = False
    private: bool = False
    fills: tuple[Sheet, str] | None = None


def route(
    verb: str, *, replaces: bool = False, private: bool = False, fills: tuple[Sheet, str] | None = None
) -> Callable[[Handler], Route]:
    """Make the function below the route of a verb."""

    def made(handler: Handler) -> Route:
        return Route(verb, handler, replaces, private, fills)

    return made
