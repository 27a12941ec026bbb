"""The sentence of each refusal: one function for every kind, registered by the module of its subject."""

from collections.abc import Callable, Iterable, Mapping
from functools import singledispatch

from bot.cards import words
from bot.services import refusals as r


@singledispatch
def lead(refusal: r.Refusal) -> str:
    """The sentence that a refusal comes to.

    Raises:
        NotImplementedError: nobody worded this kind; a test goes through all of them.
    """
    raise NotImplementedError(type(refusal).__name__)


def worded() -> Mapping[type, Callable[..., str]]:
    """The kinds of refusal that have a sentence."""
    return lead.registry


def did_you_mean(names: Iterable[str]) -> str:
    """A question that offers the nearest names, with a blank before it; nothing if there are none."""
    found = list(names)
    return f" Did you mean {words.listed(found, 'or')}?" if found else ""
