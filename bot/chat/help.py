"""`/help`, and the buttons between its subjects."""

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.help import help_card
from bot.chat.answer import answer
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.services.desk import Desk
from bot.services.help import Subject, guide_to
from bot.services.request import Request


@app_commands.command(name="help", description="What to do first, or what can be done about a subject")
@app_commands.describe(subject="What you want to know about; left out, how to start")
@app_commands.choices(subject=[app_commands.Choice(name=each.value, value=each.value) for each in Subject])
@app_commands.guild_only()
async def help_command(interaction: discord.Interaction[Mancabook], subject: str | None = None) -> None:
    """Answer with the next step, or with the subject's commands."""

    async def work(desk: Desk, request: Request) -> Card:
        return help_card(await guide_to(desk, request, subject or ""))

    await answer(interaction, work)


@route(verbs.HELP, replaces=True)
async def turn(desk: Desk, request: Request, press: Press) -> Reply:
    """Another subject, in place of the one before."""
    return help_card(await guide_to(desk, request, press.argument))
