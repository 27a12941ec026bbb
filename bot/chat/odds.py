"""`/odds`: the young of a cross."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.observed import observed_card
from bot.cards.odds import carriers_card, genes_card, odds_card
from bot.cards.odds_picture import picture_card
from bot.cards.raising import raising_card
from bot.chat.answer import fill
from bot.chat.bins import species_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.tree import complete
from bot.services.backgrounds import FEMINISED, WW_LIVES, Beside
from bot.services.desk import Desk
from bot.services.observed import observed_of
from bot.services.odds import complete_cross, genes_of, odds_again, odds_of, swapped
from bot.services.odds_picture import pictured
from bot.services.raising import raising_of
from bot.services.request import Request


async def _ask(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    cross, observed, beside = values.get("cross", ""), values.get("observed", ""), Beside.of(values)
    error = values.get("scoring-error", "")
    if observed.strip():
        return observed_card(await observed_of(desk, request, cross, observed, error, beside))
    return odds_card(await odds_of(desk, request, cross, beside), error_unused=bool(error.strip()))


SHEET = Sheet(
    kind="odds",
    title="Odds of a cross",
    fields=(
        Field("cross", "Cross", "Dam x sire, like: het ember x het ember", most=1000),
        Field(
            "observed",
            "Young you scored",
            "Like: 6 ember, 17 wild. Several broods: each on a line",
            required=False,
            most=1000,
            long=True,
        ),
        Field("scoring-error", "Share misread", "Only if some may be misread, like: 5%", required=False, most=20),
        Field("species", "Species", "If the cross does not say; it decides how sexes come about", required=False),
        Field("daughters", "Share of daughters", "Like 80 %, where no chromosome decides it", required=False),
        Field("sexes", "Sexes", "feminised mother, or W/W young live, if that is so here", required=False),
    ),
    work=_ask,
)


@app_commands.command(name="odds", description="What the young of a cross will look like, and how many to raise")
@app_commands.describe(
    cross="Dam x sire: het ember x visual ember, B-4 x B-2, wild from het ember x het ember x ember",
    observed="Young you scored, like: 6 ember, 17 wild; broods parted by ; (ember:wild 6:17, 4:12 is short for it)",
    scoring_error="Share of the young that may be misread, like: 5%",
    species="If neither bins nor traits say it: it decides how the sexes come about",
    daughters="Share of daughters where no chromosome decides it, like 80 %",
    sexes="Only if something is unusual: a Z/Z mother that bacteria made female, or W/W young that live",
)
@app_commands.rename(scoring_error="scoring-error")
@app_commands.choices(
    sexes=[
        app_commands.Choice(name="feminised mother: she is Z/Z, so no young has a W", value=FEMINISED),
        app_commands.Choice(name="W/W young of two parents with a W live", value=WW_LIVES),
    ]
)
@app_commands.autocomplete(species=species_like)
@app_commands.guild_only()
async def odds(
    interaction: discord.Interaction[Mancabook],
    cross: app_commands.Range[str, 1, 1000],
    observed: app_commands.Range[str, 1, 1000] | None = None,
    scoring_error: app_commands.Range[str, 1, 20] | None = None,
    species: app_commands.Range[str, 1, 100] | None = None,
    daughters: app_commands.Range[str, 1, 40] | None = None,
    sexes: str | None = None,
) -> None:
    """Answer with the classes of young, how many to see, and what that rests on; or with how well counts fit."""
    await fill(
        interaction,
        SHEET,
        cross=cross,
        observed=observed,
        species=species,
        daughters=daughters,
        sexes=sexes,
        **{"scoring-error": scoring_error},
    )


@odds.autocomplete("cross")
async def _crosses(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        return [(text, text) for text in await complete_cross(desk, request, current)]

    return await complete(interaction, work)


@route(verbs.ODDS_RAISING)
async def how_many(desk: Desk, request: Request, press: Press) -> Reply:
    """*How many to raise*."""
    return raising_card(await raising_of(desk, request, press.argument))


@route(verbs.ODDS_CARRIERS)
async def carriers(desk: Desk, request: Request, press: Press) -> Reply:
    """*Carriers*."""
    return carriers_card(await odds_again(desk, request, press.argument))


@route(verbs.ODDS_GENES)
async def genes(desk: Desk, request: Request, press: Press) -> Reply:
    """*Gene notation*."""
    return genes_card(await genes_of(desk, request, press.argument))


@route(verbs.ODDS_SWAP)
async def swap(desk: Desk, request: Request, press: Press) -> Reply:
    """*Swap dam and sire*."""
    return odds_card(await swapped(desk, request, press.argument))


@route(verbs.ODDS_PICTURE, private=True)
async def picture(desk: Desk, request: Request, press: Press) -> Reply:
    """*Picture*."""
    return picture_card(await pictured(desk, request, press.argument))


@route(verbs.ODDS_ASK)
async def ask(desk: Desk, request: Request, press: Press) -> Reply:
    """*Use that*: a suggested cross, asked."""
    return odds_card(await odds_again(desk, request, press.argument))
