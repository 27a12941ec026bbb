"""What the services work with."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field

from bot.records import Records
from bot.services.refusals_photos import PhotoGone
from bot.services.species import Catalogue
from bot.services.weighing import Weighings
from bot.workers import Workers

Fetch = Callable[[str, int], Awaitable[bytes]]
"""Gives what stands at an address of the chat's own, of so many bytes at most; raises `PhotoGone` or `PhotoTooLarge`."""


async def nothing_fetched(address: str, most: int) -> bytes:
    """What a desk without a chat fetches.

    Raises:
        PhotoGone: always.
    """
    raise PhotoGone


@dataclass(frozen=True, slots=True)
class Desk:
    """The colony book, the shipped species cards, the worker processes, what they weighed lately, and what fetches a file
    from the chat; built at start, one for the whole process.
    """

    records: Records
    species: Catalogue
    workers: Workers = field(default_factory=Workers)
    weighings: Weighings = field(default_factory=Weighings)
    fetch: Fetch = nothing_fetched
