"""Posting into channels with the bot's token, reading their history, and the dedupe of posts by nonce."""

from collections.abc import Mapping

from bot.practice import errors
from bot.practice.payloads import message as message_json
from bot.practice.posting import Poster
from bot.practice.values import Attachment, Json, Message
from bot.practice.world import World


class Channels:
    """What the bot may do in channels.

    `nonce_window` is how long, in seconds of the injected clock, an enforced nonce is remembered. The service's
    documentation says "the past few minutes" and no number.
    """

    def __init__(self, world: World, poster: Poster) -> None:
        self._world = world
        self._poster = poster
        self._nonces: dict[str, int] = {}
        self.nonce_window = 180.0

    def check_writable(self, channel_id: int) -> None:
        """Raise the service's refusal (10003, 50001, 50013) if the bot may not write there."""
        room = self._world.seen_by_bot(channel_id)
        if room is not None and not room.writable:
            raise errors.missing_permissions()

    def post(self, channel_id: int, body: Json, uploads: Mapping[int, Attachment]) -> Message:
        """Post a message, or return the one that has the same enforced nonce. Raises the refusal."""
        self.check_writable(channel_id)
        nonce = body.get("nonce")
        if nonce is None or not body.get("enforce_nonce"):
            return self._poster.post(channel_id, body, uploads)
        earlier = self._earlier(str(nonce))
        if earlier is not None:
            return earlier
        message = self._poster.post(channel_id, body, uploads)
        self._nonces[str(nonce)] = message.id
        return message

    def history(self, channel_id: int, query: Mapping[str, str]) -> list[Json]:
        """Messages of a channel, newest first. Without the right to read the history there are none: no error."""
        room = self._world.seen_by_bot(channel_id)
        limit = query.get("limit", "50")
        problems = errors.Problems()
        problems.number(("limit",), int(limit) if limit.isdigit() else limit, 1, 100)
        problems.refuse()
        if room is not None and not room.readable:
            return []
        shown = [each for each in self._world.messages(channel_id) if not each.ephemeral]
        before, after, around = (int(query[key]) if key in query else None for key in ("before", "after", "around"))
        if before is not None:
            shown = [each for each in shown if each.id < before][-int(limit) :]
        elif after is not None:
            shown = [each for each in shown if each.id > after][: int(limit)]
        elif around is not None:
            older = [each for each in shown if each.id < around][-(int(limit) // 2 or 1) :]
            newer = [each for each in shown if each.id >= around][: int(limit) - int(limit) // 2]
            shown = [*older, *newer][-int(limit) :]
        else:
            shown = shown[-int(limit) :]
        return [message_json(self._world, each) for each in reversed(shown)]

    def get(self, channel_id: int, message_id: int) -> Message:
        """One message. Raises the refusal (50013 without the right to read the history)."""
        room = self._world.seen_by_bot(channel_id)
        if room is not None and not room.readable:
            raise errors.missing_permissions()
        return self._public(channel_id, message_id)

    def edit(self, channel_id: int, message_id: int, body: Json, uploads: Mapping[int, Attachment]) -> Message:
        """Edit the bot's message. Raises the refusal (50005 for another's)."""
        self._world.seen_by_bot(channel_id)
        message = self._public(channel_id, message_id)
        if message.author_id != self._world.application_id:
            raise errors.not_the_author()
        return self._poster.edit(message, body, uploads)

    def delete(self, channel_id: int, message_id: int) -> None:
        """Delete the bot's message. Raises the refusal (50013 for another's, without the right to manage messages)."""
        self._world.seen_by_bot(channel_id)
        if self._public(channel_id, message_id).author_id != self._world.application_id:
            raise errors.missing_permissions()
        self._world.remove(message_id)

    def _public(self, channel_id: int, message_id: int) -> Message:
        message = self._world.message(message_id, channel_id)
        if message.ephemeral:
            raise errors.unknown_message()
        return message

    def _earlier(self, nonce: str) -> Message | None:
        """The message with this nonce, if it is young enough and still there."""
        number = self._nonces.get(nonce)
        if number is None or not self._world.has_message(number):
            return None
        message = self._world.message(number)
        return message if self._world.clock() - message.created <= self.nonce_window else None
