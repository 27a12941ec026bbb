"""Between card and sending: what a card wants drawn is drawn by a worker."""

import logging
from dataclasses import replace

from bot.cards import faults
from bot.cards.card import Card, Picture
from bot.cards.render import MOST_PICTURES
from bot.pictures.drawn import drawn
from bot.workers import Workers

_log = logging.getLogger(__name__)

DEADLINE = 30.0
"""Seconds that a picture may take. The first on a new machine waits for the drawing library to look at the fonts."""


async def illustrated(card: Card, workers: Workers, largest: int) -> Card:
    """The card with its drawings as pictures, each at most `largest` bytes.

    A picture that can't be drawn takes nothing else along: what the card says may stand in the book already, so it is said,
    and that the picture is missing.
    """
    pictures: list[Picture] = []
    try:
        for drawing in card.drawings[:MOST_PICTURES]:
            picture = await workers.run(drawn, drawing, deadline=DEADLINE)
            if len(picture.content) > largest:
                _log.warning("picture %s of %d bytes is larger than %d", picture.name, len(picture.content), largest)
                return faults.without_pictures(card)
            pictures.append(picture)
    except Exception:
        _log.exception("the pictures of a reply were not drawn")
        return faults.without_pictures(card)
    return replace(card, drawings=(), pictures=tuple(pictures))
