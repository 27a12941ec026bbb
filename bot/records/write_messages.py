"""What is written of the bins' own messages. Like what is written of pings it is no change of the book, and leaves no event."""

from datetime import datetime

from sqlalchemy import delete, update

from bot.records.bin_messages import BinMessageRow
from bot.records.bin_tables import bin_messages
from bot.records.redirecting import new_nonce
from bot.records.writing import Writing


class MessageWriting(Writing):
    """The part of a book for writing that is about messages in the chat."""

    async def expect_message(self, bin_id: int, channel_id: int, tried_at: datetime) -> BinMessageRow:
        """Note, before it is posted, that a bin's message is to stand in a channel; it takes the place of an earlier one."""
        await self._connection.execute(
            delete(bin_messages).where(bin_messages.c.server_id == self.server, bin_messages.c.bin_id == bin_id)
        )
        row = BinMessageRow(self._take_id(), bin_id, channel_id, new_nonce(), tried_at, None)
        await self._put(
            bin_messages,
            id=row.id,
            bin_id=row.bin_id,
            channel_id=row.channel_id,
            nonce=row.nonce,
            tried_at=row.tried_at,
            message_id=row.message_id,
        )
        return row

    async def message_stands(self, nonce: str, message_id: int) -> None:
        """Note that the message with this nonce was posted; nothing happens if another took its place meanwhile."""
        await self._connection.execute(
            update(bin_messages)
            .where(bin_messages.c.server_id == self.server, bin_messages.c.nonce == nonce)
            .values(message_id=message_id)
        )

    async def no_message(self, nonce: str) -> None:
        """Forget the message with this nonce: it was refused, so it stands nowhere."""
        await self._connection.execute(
            delete(bin_messages).where(bin_messages.c.server_id == self.server, bin_messages.c.nonce == nonce)
        )
