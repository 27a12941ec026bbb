"""`/trait compare`: same trait or two."""

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.complementation import GROUNDS, comparison_card, grounds_card
from bot.chat.answer import answer
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.traits import trait_group, traits_like
from bot.services.complementation import compare_traits
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.request import Request
from bot.services.traits import name_of


@trait_group.command(name="compare", description="Same trait or two: what crosses between two lines say")
@app_commands.describe(first="The trait of one line", second="The trait of the other line")
@app_commands.autocomplete(first=traits_like, second=traits_like)
async def compare_command(
    interaction: discord.Interaction[Mancabook],
    first: app_commands.Range[str, 1, 100],
    second: app_commands.Range[str, 1, 100],
) -> None:
    """Answer whether they are one, how sure that is, and which cross to set up."""

    async def work(desk: Desk, request: Request) -> Card:
        return comparison_card(await compare_traits(desk, request, first, second))

    await answer(interaction, work)


@route(verbs.TRAIT_COMPARE)
async def compare(desk: Desk, request: Request, press: Press) -> Reply:
    """A comparison again, or what it rests on, and the further pages of either."""
    first, second, asked = (*press.argument.split("-"), "", "")[:3]
    names = [await name_of(desk, request, row_id(one)) for one in (first, second)]
    found = await compare_traits(desk, request, *names)
    return grounds_card(found) if asked == GROUNDS else comparison_card(found)
