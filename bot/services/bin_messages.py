"""The bins' own messages in the chat: which are to be posted, and what the book keeps of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from bot.records import BinMessageRow, Privacy
from bot.services.access import Right, may
from bot.services.desk import Desk
from bot.services.labels import LabelledBin
from bot.services.request import Request


class Fate(StrEnum):
    """What became of a bin's message when a sheet was asked for."""

    STANDS = "stands"
    POSTED = "posted"
    ANEW = "posted anew"
    """It had been deleted."""
    UNASKED = "unasked"
    """There is none, and no room was chosen for it."""
    GONE = "gone"
    """It was deleted, with the room it stood in; no other room was chosen."""
    PRIVATE = "private"
    """It would show a private bin to a room, and nobody said that it may."""
    TAKEN_DOWN = "taken down"
    """It stood, and the bin is private now; nobody said that its message may stay."""
    NOT_KEPT = "not kept"
    """There is none, and it is not for this person to have it posted."""
    REFUSED = "refused"
    """The room does not let the bot write."""
    LATE = "late"
    """The chat service took no more messages for now."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What was said of the bins' messages: the room for new ones, and whether those of private bins may stand there."""

    room: int | None = None
    private_too: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """What became of the message of each bin of a sheet, by the bin's id.

    `rows` are the messages that stand. `doubtful` are bins whose message may stand twice: an earlier one was never
    confirmed, and the room's history may not be read.
    """

    fates: Mapping[int, Fate]
    rows: Mapping[int, BinMessageRow]
    doubtful: frozenset[int] = frozenset()

    def link(self, server: int, bin_id: int) -> str:
        """The address of a bin's message, or nothing."""
        row = self.rows.get(bin_id)
        return "" if row is None else f"https://discord.com/channels/{server}/{row.channel_id}/{row.message_id}"


def room_for(request: Request, found: LabelledBin, wish: Wish, *, again: bool) -> int | Fate:
    """The room to post a bin's message in, or why it is not posted. `again`: it goes where it was to stand before."""
    if not may(request, found.row, Right.TEND):
        return Fate.NOT_KEPT
    if found.row.privacy is Privacy.BIN and not wish.private_too:
        return Fate.PRIVATE
    if wish.room is not None:
        return wish.room
    return found.message.channel_id if again and found.message is not None else Fate.UNASKED


async def expect_message(
    desk: Desk, request: Request, found: LabelledBin, *, private_too: bool, room: int, real: datetime
) -> BinMessageRow | Fate:
    """Note that a bin's message is about to be posted, or say why it is not: the bin may be private by now, or another's.

    If another message has taken the place of the one that was found, that one counts.
    """
    bin_id, seen = found.row.id, found.message
    async with desk.records.write(request.stamp) as book:
        now = await book.bin(bin_id)
        if now is None or not may(request, now, Right.TEND):
            return Fate.NOT_KEPT
        if now.privacy is Privacy.BIN and not private_too:
            return Fate.PRIVATE
        for row in await book.messages_of([bin_id]):
            if seen is None or row.nonce != seen.nonce:
                return row
        return await book.expect_message(bin_id, room, real)


async def message_stands(desk: Desk, request: Request, *, nonce: str, message_id: int) -> None:
    """Note that a bin's message was posted."""
    async with desk.records.write(request.stamp) as book:
        await book.message_stands(nonce, message_id)


async def no_message(desk: Desk, request: Request, *, nonce: str) -> None:
    """Note that a bin's message was refused, and so stands nowhere."""
    async with desk.records.write(request.stamp) as book:
        await book.no_message(nonce)
