"""The book's own memory: taking back one's last change."""

from bot.cards import verbs
from bot.cards.undo import undone_card
from bot.chat.router import Press, Reply, route
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.request import Request
from bot.services.undo import undo


@route(verbs.UNDO)
async def take_back(desk: Desk, request: Request, press: Press) -> Reply:
    """*Undo*."""
    return undone_card(await undo(desk, request, row_id(press.argument)))
