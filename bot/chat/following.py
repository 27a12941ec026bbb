"""`/trait follow` and `/trait unfollow`: in which room it is told when the word of a verdict changes."""

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.news import following_card
from bot.chat.answer import answer
from bot.chat.client import Mancabook
from bot.chat.evidence import verdict_of
from bot.chat.router import Press, Reply, route
from bot.chat.traits import trait_group, traits_like
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.following import follow, unfollow
from bot.services.request import Request


@trait_group.command(
    name="follow", description="Tell in this room, once each time, when the verdict on a trait gets another word"
)
@app_commands.describe(name="The trait that you mean; type this in the room or thread where it is to be told")
@app_commands.autocomplete(name=traits_like)
async def follow_command(interaction: discord.Interaction[Mancabook], name: app_commands.Range[str, 1, 100]) -> None:
    """Answer with where it will be told."""

    async def work(desk: Desk, request: Request) -> Card:
        return following_card(await follow(desk, request, name))

    await answer(interaction, work)


@trait_group.command(name="unfollow", description="Tell it no more when the verdict on a trait gets another word")
@app_commands.describe(name="The trait that you mean")
@app_commands.autocomplete(name=traits_like)
async def unfollow_command(interaction: discord.Interaction[Mancabook], name: app_commands.Range[str, 1, 100]) -> None:
    """Answer with that it is told no more."""

    async def work(desk: Desk, request: Request) -> Card:
        return following_card(await unfollow(desk, request, name))

    await answer(interaction, work)


@route(verbs.EVIDENCE_NEWS)
async def told(desk: Desk, request: Request, press: Press) -> Reply:
    """*Evidence* under what was told in a room; behind the trait stands the delivery, which marks the message."""
    return await verdict_of(desk, request, row_id(press.argument.partition(".")[0]))
