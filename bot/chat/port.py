"""The port through which the clock sends, onto the chat service."""

import logging
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import discord

from bot.cards import render
from bot.cards.card import Ping
from bot.chat.client import Mancabook
from bot.clock.port import Absent, Found, Gone, NoPermission, Opened, Posted, Reached, RetryAfter, Sent
from bot.guard import assert_no_unit_open

_log = logging.getLogger(__name__)
_UNKNOWN_MESSAGE = 10008
_BAD_REQUEST = 400
_AFTER_A_BREAK, _AFTER_AN_ERROR = 2.0, 10.0
_LONGEST_LOOK = 500
"""How many messages of a channel are looked through for one's own."""


class ChatPort:
    """Posts pings, and looks for ones that were posted."""

    def __init__(self, client: Mancabook) -> None:
        self._client = client

    async def post(self, channel_id: int, ping: Ping, nonce: str) -> Posted:
        """Post a ping; the same nonce within a few minutes yields the first message.

        A first message that was deleted meanwhile counts as sent: the person had it.
        """
        assert_no_unit_open("a ping")
        channel = self._client.get_partial_messageable(channel_id)
        try:
            message = await channel.send(
                render.ping_text(ping),
                view=render.ping_view(ping.buttons),
                nonce=nonce,
                allowed_mentions=render.mentions(ping),
            )
        except (discord.DiscordException, OSError, TimeoutError) as error:
            if isinstance(error, discord.NotFound) and error.code == _UNKNOWN_MESSAGE:
                return Sent(None)
            return _refused(error)
        return Sent(message.id)

    async def look(self, channel_id: int, message_id: int) -> Found:
        """Look whether a message still stands."""
        assert_no_unit_open("a look at a message")
        try:
            await self._client.get_partial_messageable(channel_id).fetch_message(message_id)
        except (discord.DiscordException, OSError, TimeoutError) as error:
            if isinstance(error, discord.NotFound) and error.code == _UNKNOWN_MESSAGE:
                return Absent()
            return _refused(error)
        return Sent(message_id)

    async def remove(self, channel_id: int, message_id: int) -> Absent | Gone | NoPermission | RetryAfter:
        """Delete a message of the bot's own; one that is gone already is as good as deleted."""
        assert_no_unit_open("a message to delete")
        try:
            await self._client.get_partial_messageable(channel_id).get_partial_message(message_id).delete()
        except (discord.DiscordException, OSError, TimeoutError) as error:
            if isinstance(error, discord.NotFound) and error.code == _UNKNOWN_MESSAGE:
                return Absent()
            return _refused(error)
        return Absent()

    async def reach(self, keeper_id: int) -> Reached:
        """Open the channel of direct messages to a keeper."""
        assert_no_unit_open("a way to a keeper")
        try:
            channel = await self._client.create_dm(discord.Object(keeper_id))
        except discord.HTTPException as error:
            # Somebody who is nobody any more is refused as a bad request, which no waiting will change.
            return Gone() if error.status == _BAD_REQUEST else _refused(error)
        except (discord.DiscordException, OSError, TimeoutError) as error:
            return _refused(error)
        return Opened(channel.id)

    async def notice_rooms(self, server: int) -> tuple[int, ...]:
        """The room in which the server's own notices come, if it has one."""
        guild = self._client.get_guild(server)
        room = guild.system_channel if guild is not None else None
        return () if room is None else (room.id,)

    async def find(self, channel_id: int, mark: str, since: datetime) -> Found:
        """Look for the bot's own message with a button of this custom id, from `since` on: it stands near its first try.

        A history longer than the look is as good as one that may not be read: whether the message is in it is not known.
        """
        assert_no_unit_open("a look into a channel")
        try:
            channel = self._client.get_channel(channel_id) or await self._client.fetch_channel(channel_id)
            if not isinstance(channel, discord.abc.Messageable):
                return Gone()
            # Without this permission the service answers with an empty history and no error, which would prove nothing.
            if isinstance(channel, discord.abc.GuildChannel | discord.Thread) and not (
                channel.permissions_for(channel.guild.me).read_message_history
            ):
                return NoPermission()
            seen = 0
            async for message in channel.history(limit=_LONGEST_LOOK, after=since, oldest_first=True):
                seen += 1
                if message.author == self._client.user and mark in _custom_ids(message.components):
                    return Sent(message.id)
        except (discord.DiscordException, OSError, TimeoutError) as error:
            return _refused(error)
        return Absent() if seen < _LONGEST_LOOK else NoPermission()


def _refused(error: Exception) -> Gone | NoPermission | RetryAfter:
    match error:
        case discord.NotFound():
            return Gone()
        case discord.Forbidden():
            return NoPermission()
        case discord.RateLimited(retry_after=seconds):
            return RetryAfter(seconds)
        case OSError():
            return RetryAfter(_AFTER_A_BREAK)
        case _:
            _log.warning("the chat service did not take a request: %s", error)
            return RetryAfter(_AFTER_AN_ERROR)


def _custom_ids(components: Any) -> Iterator[str]:
    for component in components:
        custom_id = getattr(component, "custom_id", None)
        if custom_id is not None:
            yield custom_id
        yield from _custom_ids(getattr(component, "children", ()))
