"""Who may do what: the one place that every service asks.

|                                   | owner | co-keeper | steward        | everyone else  |
|-----------------------------------|-------|-----------|----------------|----------------|
| read a bin and all that hangs on it | yes | yes       | if not private | if not private |
| read its notes and origins        | yes   | yes       | if not private | if not private |
| tend it: count, note, care, move  | yes   | yes       | yes            |                |
| share it, give it to another      | yes   |           | yes            |                |
| make it or its notes private      | yes   |           |                |                |

A steward looks after the server, not after its bins: what is private is private from stewards too, and they tend and share
only what they can read. Reading is decided where it is read: a book is opened for its reader, and every statement about
bins leaves out what that reader may not see (`records.scoping`), so that a private bin is simply not there. What is asked
here is therefore only asked about bins that the person can read.

Of the server as a whole: everyone defines traits; stewards set the server's settings and its species cards; each person's
own settings, texts and drafts are theirs alone. Each undoes what they did, and stewards what others did, where they can
read it.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from bot.records import BinRow
from bot.services.refusals import NotYours, StewardsOnly
from bot.services.request import Request, Role


class Standing(StrEnum):
    """What a person is to a bin."""

    OWNER = "owner"
    CO_KEEPER = "co-keeper"
    STEWARD = "steward"
    ANYONE = "anyone"


class Right(StrEnum):
    """What can be done with a bin that can be read."""

    READ = "read"
    TEND = "tend"
    SHARE = "share"
    HIDE = "hide"


RIGHTS: Final[Mapping[Right, frozenset[Standing]]] = MappingProxyType(
    {
        Right.READ: frozenset(Standing),
        Right.TEND: frozenset({Standing.OWNER, Standing.CO_KEEPER, Standing.STEWARD}),
        Right.SHARE: frozenset({Standing.OWNER, Standing.STEWARD}),
        Right.HIDE: frozenset({Standing.OWNER}),
    }
)
"""The table above, without the first two rows, which the book decides."""


def standings(request: Request, row: BinRow) -> frozenset[Standing]:
    """Everything that the person who asks is to a bin."""
    found = {Standing.ANYONE}
    if request.actor == row.keeper_id:
        found.add(Standing.OWNER)
    if row.shared:
        found.add(Standing.CO_KEEPER)
    if is_steward(request):
        found.add(Standing.STEWARD)
    return frozenset(found)


def may(request: Request, row: BinRow, right: Right) -> bool:
    """Whether the person who asks has a right to a bin that they can read."""
    return not standings(request, row).isdisjoint(RIGHTS[right])


def require(request: Request, row: BinRow, right: Right) -> None:
    """Let those pass who have the right.

    Raises:
        NotYours: the person has not.
    """
    if not may(request, row, right):
        stewards = Standing.STEWARD in RIGHTS[right]
        raise NotYours(what=f"bin {row.code}", keeper_name=row.keeper_name, stewards=stewards)


def require_keeper(request: Request, row: BinRow) -> None:
    """Let those pass who may tend the bin: its keepers and the stewards.

    Raises:
        NotYours: the person is neither.
    """
    require(request, row, Right.TEND)


def is_steward(request: Request) -> bool:
    """Whether the person who asks is a steward of the server."""
    return Role.STEWARD in request.roles


def require_steward(request: Request, what: str) -> None:
    """Let stewards pass.

    Raises:
        StewardsOnly: the person is none.
    """
    if not is_steward(request):
        raise StewardsOnly(what=what)
