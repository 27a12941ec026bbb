"""One HTTP request of the bot with its answer, as a recorder gets it."""

from dataclasses import dataclass

from bot.practice.values import Json


@dataclass(frozen=True, slots=True)
class Exchange:
    """A request and its answer.

    `path` is below /api/v10 and carries the ids, `template` has their names instead and is empty for an unknown route.
    `body` is the JSON of the request (of a multipart one its `payload_json`), `files` the names of the files beside it.
    `response` is the text of the answer, and `status` is 0 if the connection was reset instead of an answer.
    """

    method: str
    path: str
    template: str
    query: dict[str, str]
    body: Json | list[Json] | None
    files: tuple[str, ...]
    status: int
    response: str | None
