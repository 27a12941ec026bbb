"""`/trait evidence`: what the broods on record say of a trait."""

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.evidence import evidence_card
from bot.cards.verdicts import history_card
from bot.chat.answer import answer
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.traits import trait_group, traits_like
from bot.services.desk import Desk
from bot.services.evidence import evidence_of
from bot.services.finding import row_id
from bot.services.request import Request
from bot.services.traits import name_of
from bot.services.verdicts import history_of, note_verdict


@trait_group.command(name="evidence", description="What the broods on record say of a trait, and how sure that is")
@app_commands.describe(name="The trait's name")
@app_commands.autocomplete(name=traits_like)
async def evidence_command(interaction: discord.Interaction[Mancabook], name: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the verdict, what it rests on, and what is missing for the next word."""

    async def work(desk: Desk, request: Request) -> Card:
        return await _verdict(desk, request, name)

    await answer(interaction, work)


@route(verbs.TRAIT_EVIDENCE)
async def evidence(desk: Desk, request: Request, press: Press) -> Reply:
    """*Evidence* under a brood or a trait, and the further pages of it."""
    return await _verdict(desk, request, await name_of(desk, request, row_id(press.argument)))


@route(verbs.EVIDENCE_HISTORY, replaces=True)
async def history(desk: Desk, request: Request, press: Press) -> Reply:
    """*History*, and *Earlier* and *Later* in it."""
    trait, _, page = press.argument.partition(".")
    return history_card(await history_of(desk, request, row_id(trait)), row_id(page or "0"))


async def _verdict(desk: Desk, request: Request, name: str) -> Card:
    evidence = await evidence_of(desk, request, name)
    await note_verdict(desk, request, evidence.trait.id)
    return evidence_card(evidence)
