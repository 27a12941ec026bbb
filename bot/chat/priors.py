"""`/trait priors`: with which priors and figures the broods of a trait are weighed."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.priors import priors_card
from bot.chat.answer import answer, fill
from bot.chat.client import Mancabook
from bot.chat.meanwhile import meanwhile
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.traits import trait_group, traits_like
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.priors import Priors, reset_priors, set_priors, show_priors
from bot.services.request import Request
from bot.services.traits import name_of
from bot.services.verdict_moves import renoted


async def _set(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    name, priors, figures = (values.get(key, "") for key in ("name", "priors", "figures"))
    return await _weighed(desk, request, await set_priors(desk, request, name=name, priors=priors, figures=figures))


async def _weighed(desk: Desk, request: Request, priors: Priors) -> Card:
    meanwhile(priors_card(priors))
    return priors_card(priors, await renoted(desk, request, priors.trait.id))


PRIORS = Sheet(
    kind="trait.priors",
    title="Priors of a trait",
    fields=(
        Field("name", "Trait", "The trait that you mean", most=100),
        Field("priors", "Priors in per cent", "Like: not inherited 50, recessive 20", required=False, most=400),
        Field("figures", "Figures", "Like: penetrance 60-100, scoring error 1-3", required=False, most=400),
    ),
    work=_set,
)


@trait_group.command(
    name="priors", description="With which priors the broods of a trait are weighed; stewards set them"
)
@app_commands.describe(
    name="The trait that you mean",
    priors="In per cent, like: not inherited 50, recessive 20; the others share the rest; or default",
    figures="Penetrance, look-alikes, scoring error, survival in per cent, like: penetrance 60-100",
)
@app_commands.autocomplete(name=traits_like)
async def priors_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    priors: app_commands.Range[str, 1, 400] | None = None,
    figures: app_commands.Range[str, 1, 400] | None = None,
) -> None:
    """Answer with the priors as they stand."""
    if priors is None and figures is None:
        await answer(interaction, lambda desk, request: _shown(desk, request, name))
    else:
        await fill(interaction, PRIORS, name=name, priors=priors, figures=figures)


async def _shown(desk: Desk, request: Request, name: str) -> Card:
    return priors_card(await show_priors(desk, request, name))


@route(verbs.PRIORS_FORM)
async def form(desk: Desk, request: Request, press: Press) -> Reply:
    """*Change*: the form with the trait filled in."""
    return PRIORS.form({"name": await name_of(desk, request, row_id(press.argument))})


@route(verbs.PRIORS_RESET)
async def reset(desk: Desk, request: Request, press: Press) -> Reply:
    """*Back to the defaults*."""
    return await _weighed(desk, request, await reset_priors(desk, request, row_id(press.argument)))
