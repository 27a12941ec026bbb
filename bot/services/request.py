"""Who asks, where, when and under which id: what every service is given."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from bot.records import Stamp


class Role(StrEnum):
    """What a person may do in a server beyond what every member may."""

    STEWARD = "steward"


@dataclass(frozen=True, slots=True)
class Request:
    """One thing a person asked for.

    `request_id` is the id the chat service gave the interaction; asking again with the same id changes nothing.
    `now` is the keepers' time. `may_post` says whether the bot may write in the channel by itself. A keeper's time zone is
    not here: the book knows it.
    """

    server: int
    actor: int
    actor_name: str
    request_id: int
    now: datetime
    roles: frozenset[Role] = frozenset()
    channel: int = 0
    may_post: bool = True

    @property
    def stamp(self) -> Stamp:
        """What the book writes beside a change."""
        return Stamp(
            server=self.server,
            actor=self.actor,
            actor_name=self.actor_name,
            request_id=self.request_id,
            now=self.now,
        )
