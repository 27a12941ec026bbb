"""The mark of a ping: what tells the bot's own message in a channel's history."""

from bot.cards import verbs
from bot.cards.ids import CustomId
from bot.records.claims import Claimed


def mark_of(delivery: Claimed) -> str:
    """The mark of a delivery's message, whatever it asks or tells."""
    return mark(delivery.id) if delivery.news is None else news_mark(delivery.news.trait_id, delivery.id)


def news_mark(trait_id: int, delivery_id: int) -> str:
    """The custom id of the *Evidence* button on a message that tells of a verdict."""
    return str(CustomId(verbs.EVIDENCE_NEWS, f"{trait_id}.{delivery_id}"))


def mark(delivery_id: int) -> str:
    """The custom id of the *Done* button on this delivery's message; unlike any other of the same server."""
    return str(CustomId(verbs.CARE_DONE, str(delivery_id)))
