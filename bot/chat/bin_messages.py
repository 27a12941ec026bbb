"""The bins' own messages: posted when a sheet of labels asks for them, once each whatever happens in between.

As with pings, what is to be posted stands in the book before it is posted, with the nonce it is posted with. While that try
is young the chat service itself turns a second post into the first; later the channel's history is asked.
"""

import asyncio
import logging
from datetime import timedelta
from typing import Final

import discord
from discord import app_commands

from bot.cards.bin_messages import bin_message, mark_of
from bot.chat.client import Mancabook
from bot.chat.port import ChatPort
from bot.clock.port import Absent, Gone, NoPermission, RetryAfter, Sent
from bot.clocks import Clocks
from bot.records import BinMessageRow, Privacy
from bot.services.access import Right, may
from bot.services.bin_messages import (
    Fate,
    Standing,
    Wish,
    expect_message,
    message_stands,
    no_message,
    room_for,
)
from bot.services.desk import Desk
from bot.services.labels import LabelledBin, ToLabel
from bot.services.request import Request

_log = logging.getLogger(__name__)
NONCE_TRUSTED: Final = timedelta(seconds=60)
"""How long after a try the chat service is trusted to know its nonce."""
_SKEW: Final = timedelta(minutes=5)
_LONGEST: Final = timedelta(minutes=10)
"""How long messages are posted for one sheet: an answer can be given for fifteen minutes, and the sheet is still to be drawn."""
_LONGEST_PAUSE: Final = 10.0
_TRIES: Final = 3


class Room(app_commands.Transformer):
    """An option that is a text channel or a thread, with what the person who picks it may do there."""

    @property
    def type(self) -> discord.AppCommandOptionType:
        """A channel."""
        return discord.AppCommandOptionType.channel

    @property
    def channel_types(self) -> list[discord.ChannelType]:
        """Those in which people write."""
        kinds = discord.ChannelType
        return [kinds.text, kinds.news, kinds.public_thread, kinds.private_thread, kinds.news_thread]

    async def transform(
        self, interaction: discord.Interaction[discord.Client], value: app_commands.AppCommandChannel
    ) -> app_commands.AppCommandChannel:
        """As it was picked."""
        return value


def may_write(room: app_commands.AppCommandChannel | app_commands.AppCommandThread) -> bool:
    """Whether the person who picked a room may write there: the bot does not write where they may not."""
    if isinstance(room, app_commands.AppCommandThread):
        return room.permissions.send_messages_in_threads
    return room.permissions.send_messages


async def posted(client: Mancabook, desk: Desk, request: Request, found: ToLabel, wish: Wish) -> Standing:
    """Look which messages stand, and post those that are wanted."""
    posting = _Posting(ChatPort(client), desk, request, client.clocks, wish)
    for each in found.bins:
        await posting.settle(each)
    return Standing(posting.fates, posting.rows, frozenset(posting.doubtful))


async def take_down(client: Mancabook, desk: Desk, request: Request, row: BinMessageRow) -> bool:
    """Delete a bin's message; whether it is gone."""
    return await _taken_down(ChatPort(client), desk, request, row)


async def _taken_down(port: ChatPort, desk: Desk, request: Request, row: BinMessageRow) -> bool:
    found = (
        Sent(row.message_id) if row.message_id else await port.find(row.channel_id, mark_of(row), row.tried_at - _SKEW)
    )
    if isinstance(found, Sent) and found.message_id is not None:
        found = await port.remove(row.channel_id, found.message_id)
    if not isinstance(found, Absent | Gone):
        return False
    await no_message(desk, request, nonce=row.nonce)
    return True


class _Posting:
    """What one sheet asks of the chat service, bin by bin."""

    def __init__(self, port: ChatPort, desk: Desk, request: Request, clocks: Clocks, wish: Wish) -> None:
        self.fates: dict[int, Fate] = {}
        self.rows: dict[int, BinMessageRow] = {}
        self.doubtful: set[int] = set()
        self._port, self._desk, self._request, self._clocks, self._wish = port, desk, request, clocks, wish
        self._until = clocks.real() + _LONGEST
        self._closed: dict[int, Fate] = {}

    async def settle(self, found: LabelledBin) -> None:
        """Find what becomes of one bin's message."""
        row = found.message
        if row is None:
            fate = await self._post(found, Fate.POSTED)
        elif self._hides(found):
            down = await _taken_down(self._port, self._desk, self._request, row)
            fate = Fate.TAKEN_DOWN if down else Fate.STANDS
            if not down and row.message_id is not None:
                self.rows[found.row.id] = row
        elif row.message_id is None:
            fate = await self._resume(found, row)
        else:
            fate = await self._look(found, row, row.message_id)
        self.fates[found.row.id] = fate

    def _hides(self, found: LabelledBin) -> bool:
        """Whether the bin is private, and the person may and does not want to show it all the same."""
        private = found.row.privacy is Privacy.BIN and not self._wish.private_too
        return private and may(self._request, found.row, Right.TEND)

    async def _look(self, found: LabelledBin, row: BinMessageRow, message_id: int) -> Fate:
        match await self._port.look(row.channel_id, message_id):
            case Absent():
                return await self._post(found, Fate.ANEW)
            case Gone():
                return await self._post(found, Fate.ANEW, room_gone=True)
        # What can't be looked at is taken to stand: it did when it was posted.
        self.rows[found.row.id] = row
        return Fate.STANDS

    async def _resume(self, found: LabelledBin, row: BinMessageRow) -> Fate:
        """An earlier try was never confirmed: the message may stand, and must not be posted twice."""
        if self._clocks.real() - row.tried_at <= NONCE_TRUSTED:
            return await self._send(found, row, Fate.POSTED)
        match await self._port.find(row.channel_id, mark_of(row), row.tried_at - _SKEW):
            case Sent(int(message_id)):
                return await self._noted(found, row, message_id, Fate.STANDS)
            case RetryAfter():
                return Fate.LATE
            case NoPermission():
                _log.warning("the message of bin %d of server %d may stand twice", row.bin_id, self._request.server)
                self.doubtful.add(row.bin_id)
        return await self._post(found, Fate.POSTED)

    async def _post(self, found: LabelledBin, fate: Fate, *, room_gone: bool = False) -> Fate:
        room = room_for(self._request, found, self._wish, again=found.message is not None)
        if isinstance(room, Fate):
            return room
        if room_gone and self._wish.room is None:
            return Fate.GONE
        if room in self._closed or self._clocks.real() > self._until:
            return self._closed.get(room, Fate.LATE)
        row = await expect_message(
            self._desk,
            self._request,
            found,
            private_too=self._wish.private_too,
            room=room,
            real=self._clocks.real(),
        )
        if isinstance(row, Fate):
            return row
        if row.message_id is not None:
            self.rows[row.bin_id] = row
            return Fate.STANDS
        return await self._send(found, row, fate)

    async def _send(self, found: LabelledBin, row: BinMessageRow, fate: Fate) -> Fate:
        for _ in range(_TRIES):
            match await self._port.post(row.channel_id, bin_message(found, row), row.nonce):
                case Sent(None):
                    # It was posted, and deleted before this second try: the first one that stands is the next.
                    await no_message(self._desk, self._request, nonce=row.nonce)
                    return Fate.LATE
                case Sent(int(message_id)):
                    return await self._noted(found, row, message_id, fate)
                case RetryAfter(seconds) if seconds <= _LONGEST_PAUSE:
                    await asyncio.sleep(seconds)
                case RetryAfter():
                    break
                case Gone() | NoPermission() as closed:
                    await no_message(self._desk, self._request, nonce=row.nonce)
                    fate = Fate.GONE if isinstance(closed, Gone) else Fate.REFUSED
                    self._closed[row.channel_id] = fate
                    return fate
        self._closed[row.channel_id] = Fate.LATE
        return Fate.LATE

    async def _noted(self, found: LabelledBin, row: BinMessageRow, message_id: int, fate: Fate) -> Fate:
        await message_stands(self._desk, self._request, nonce=row.nonce, message_id=message_id)
        self.rows[found.row.id] = BinMessageRow(row.id, row.bin_id, row.channel_id, row.nonce, row.tried_at, message_id)
        return fate
