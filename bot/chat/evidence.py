"""`/trait evidence`: what the broods on record say of a trait, its pages, its course and its history."""

import discord
from discord import app_commands

from bot.cards import evidence_pages as pages
from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.evidence import BASIS, BROODS, CARRIERS, OVERTURN, evidence_card, weighing_card
from bot.cards.verdict_course import course_card, course_stage
from bot.cards.verdicts import history_card
from bot.chat.answer import answer
from bot.chat.client import Mancabook
from bot.chat.meanwhile import meanwhile
from bot.chat.router import Press, Reply, route
from bot.chat.traits import trait_group, traits_like
from bot.services.carriers import carriers_of
from bot.services.desk import Desk
from bot.services.evidence import Evidence, evidence_of
from bot.services.finding import row_id
from bot.services.request import Request
from bot.services.traits import name_of
from bot.services.verdict_course import course_of
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
    """*Evidence* under a brood or a trait."""
    return await verdict_of(desk, request, row_id(press.argument))


async def verdict_of(desk: Desk, request: Request, trait: int) -> Card:
    """The verdict on the trait with this id."""
    return await _verdict(desk, request, await name_of(desk, request, trait))


@route(verbs.EVIDENCE_PAGE, replaces=True)
async def page(desk: Desk, request: Request, press: Press) -> Reply:
    """The pages of the evidence; one that there is not is the verdict itself."""
    trait, _, which = press.argument.partition(".")
    name = await name_of(desk, request, row_id(trait))
    if which == CARRIERS:
        return pages.carriers_card(await carriers_of(desk, request, name))
    shown = {BROODS: pages.broods_card, OVERTURN: pages.overturn_card, BASIS: pages.basis_card}
    return shown.get(which, evidence_card)(await _weighed(desk, request, name))


@route(verbs.EVIDENCE_COURSE)
async def course(desk: Desk, request: Request, press: Press) -> Reply:
    """*How it moved*."""
    name = await name_of(desk, request, row_id(press.argument))
    moved = await course_of(desk, request, name, lambda at, of: meanwhile(course_stage(at, of, name)))
    return course_card(moved)


@route(verbs.EVIDENCE_HISTORY, replaces=True)
async def history(desk: Desk, request: Request, press: Press) -> Reply:
    """*History*, and *Earlier* and *Later* in it."""
    trait, _, number = press.argument.partition(".")
    return history_card(await history_of(desk, request, row_id(trait)), row_id(number or "0"))


async def _verdict(desk: Desk, request: Request, name: str) -> Card:
    found = await _weighed(desk, request, name)
    await note_verdict(desk, request, found.trait.id)
    return evidence_card(found)


async def _weighed(desk: Desk, request: Request, name: str) -> Evidence:
    return await evidence_of(desk, request, name, lambda broods: meanwhile(weighing_card(broods, name)))
