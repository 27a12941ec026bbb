"""What to say of a text that cannot be read: the nearest names, and the text put right."""

import difflib
from collections.abc import Callable, Iterable
from typing import TypeVar

from genetics.errors import NotationError, Problem
from genetics.words import MARKS, WILD_ALLELE

T = TypeVar("T")
_TRIES = 3
_CLOSING = MARKS.replace(WILD_ALLELE, "")
_DEPTH = 2


class Fault(Exception):
    """A mistake as the grammar meets it, before it is known which repairs can be read.

    rewrites: whole texts, the likeliest first, one of which may be meant. offers: whole texts for the keeper to choose
    from.
    """

    def __init__(
        self,
        problem: Problem,
        start: int,
        end: int,
        *,
        trait: str | None = None,
        near: tuple[str, ...] = (),
        rewrites: tuple[str, ...] = (),
        offers: tuple[str, ...] = (),
    ) -> None:
        super().__init__(problem, start, end)
        self.problem, self.start, self.end = problem, start, end
        self.trait, self.near, self.rewrites, self.offers = trait, near, rewrites, offers


def readable(text: str, parse: Callable[[str], T]) -> T:
    """What `parse` makes of the text; a Fault becomes a NotationError whose suggestion and offers can be parsed."""
    try:
        return parse(text)
    except Fault as fault:
        raise NotationError(
            text,
            fault.start,
            fault.end - fault.start,
            fault.problem,
            trait=fault.trait,
            near=fault.near,
            suggestion=mended(fault, parse, _DEPTH),
            offers=tuple(offer for offer in dict.fromkeys(fault.offers) if _parses(offer, parse)),
        ) from None


def mended(fault: Fault, parse: Callable[[str], object], depth: int) -> str | None:
    """The first rewrite that can be parsed, or that can once its own mistake is put right, `depth` times over."""
    for rewrite in dict.fromkeys(fault.rewrites[:_TRIES]):
        try:
            parse(rewrite)
        except Fault as left:
            further = mended(left, parse, depth - 1) if depth else None
            if further is not None:
                return further
        else:
            return rewrite
    return None


def _parses(text: str, parse: Callable[[str], object]) -> bool:
    try:
        parse(text)
    except Fault:
        return False
    return True


def instead(text: str, start: int, end: int, replacement: str) -> str:
    """The text with a slice replaced, kept apart by spaces from words that it would run into.

    >>> instead("het embr x wild", 4, 8, "ember"), instead("66%ember", 3, 3, "het")
    ('het ember x wild', '66% het ember')
    """
    before, after = text[:start], text[end:]
    left = " " if before and not (before[-1].isspace() or before[-1] in "/(") else ""
    right = " " if after and not after[0].isspace() and after[0] not in _CLOSING else ""
    return f"{before}{left}{replacement}{right}{after}"


def dropped(text: str, start: int, end: int) -> str:
    """The text without a slice, and without the hole it leaves.

    >>> dropped("ember, , frost", 7, 9)
    'ember, frost'
    """
    return f"{text[:start].rstrip()} {text[end:].lstrip()}".strip()


def nearest(phrase: str, names: Iterable[str]) -> tuple[tuple[str, ...], float]:
    """Up to three of the names that resemble a phrase (all in lower case), nearest first, and how much the first does.

    Likeness is difflib's ratio, 0 to 1; below 0.6 nothing is near.

    >>> nearest("embr", ["frost", "ember"])[0]
    ('ember',)
    """
    close = difflib.get_close_matches(phrase, list(names), n=3, cutoff=0.6)
    return tuple(close), difflib.SequenceMatcher(None, close[0], phrase).ratio() if close else 0.0
