"""Where the bins' own messages stand in the chat."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import bindparam

from bot.records import bin_tables, tables
from bot.records.reading import Reading
from bot.records.scoping import pick, reads, same, within


@dataclass(frozen=True, slots=True)
class BinMessageRow:
    """A bin's own message: the channel it was posted in, and when, in real time.

    `message_id` is None until it is certain that it stands there; a post with the same `nonce` then is no second message.
    """

    id: int
    bin_id: int
    channel_id: int
    nonce: str
    tried_at: datetime
    message_id: int | None


_message = bin_tables.bin_messages
MESSAGES_OF = (
    pick(BinMessageRow, _message)
    .select_from(_message.join(tables.bins, same(_message, "bin_id", tables.bins)))
    .where(within(_message), reads(tables.bins), _message.c.bin_id.in_(bindparam("bin_ids", expanding=True)))
    .order_by(_message.c.bin_id)
)


class MessageReading(Reading):
    """What can be asked about the bins' own messages."""

    async def messages_of(self, bin_ids: Collection[int]) -> tuple[BinMessageRow, ...]:
        """The messages of those of these bins that have one, in the order of the bins. Without bins nothing is asked."""
        if not bin_ids:
            return ()
        return tuple(BinMessageRow(*row) for row in await self._all(MESSAGES_OF, bin_ids=sorted(bin_ids)))
