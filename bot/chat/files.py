"""Files that people attach, read from the chat's own servers and from nowhere else."""

import logging
from typing import Final

import aiohttp
import discord
import yarl
from discord.http import Route

from bot.guard import assert_no_unit_open
from bot.services.refusals_photos import PhotoGone, PhotoTooLarge

_log = logging.getLogger(__name__)

_HOSTS: Final = frozenset({"cdn.discordapp.com", "media.discordapp.net"})
"""Where the chat service gives out what people attach."""
_HERE: Final = "127.0.0.1"
_PIECE: Final = 64 * 1024
_PATIENCE: Final = 20.0


async def fetched(address: str, most: int) -> bytes:
    """What stands at an address of the chat's, of `most` bytes at the most. No redirection is followed.

    Raises:
        UnitOpen: a unit of work is open in this task.
        PhotoGone: the address is none of the chat's, or nothing is there any more.
        PhotoTooLarge: it is larger.
    """
    assert_no_unit_open("a file of the chat")
    url = own_address(address)
    if url is None:
        raise PhotoGone
    try:
        async with (
            aiohttp.ClientSession(timeout=aiohttp.ClientTimeout(total=_PATIENCE)) as session,
            session.get(url, allow_redirects=False) as response,
        ):
            if response.status != 200:
                raise PhotoGone
            if (response.content_length or 0) > most:
                raise PhotoTooLarge(most)
            body = bytearray()
            async for piece in response.content.iter_chunked(_PIECE):
                body += piece
                if len(body) > most:
                    raise PhotoTooLarge(most)
            return bytes(body)
    except (aiohttp.ClientError, TimeoutError) as error:
        _log.warning("a file of the chat was not read: %r", error)
        raise PhotoGone from error


def pictures_of(message: discord.Message) -> tuple[discord.Attachment, ...]:
    """What is attached to a message and may be a picture, by what the chat says of it."""
    return tuple(each for each in message.attachments if (each.content_type or "image/").startswith("image/"))


def own_address(address: str) -> yarl.URL | None:
    """The address, if it is one of the chat's own; of the stand-in's, while that is what the bot speaks to. Else None."""
    try:
        # What is signed must reach the service as it was written.
        url = yarl.URL(address, encoded=True)
    except ValueError:
        return None
    service = yarl.URL(Route.BASE)
    if service.host == _HERE:
        return url if (url.scheme, url.host, url.port) == (service.scheme, service.host, service.port) else None
    plain = url.scheme == "https" and url.user is None and url.explicit_port is None
    return url if plain and url.host in _HOSTS else None
