"""The mark of a ping: what tells the bot's own message in a channel's history."""

from bot.cards import verbs
from bot.cards.ids import CustomId


def mark(delivery_id: int) -> str:
    """The custom id of the *Done* button on this delivery's message; unlike any other of the same server."""
    return str(CustomId(verbs.CARE_DONE, str(delivery_id)))
