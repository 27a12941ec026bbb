"""`/species`: what is known of a species, and what the server's stewards know better."""

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card
from bot.cards.species import LABELS, species_card
from bot.chat.answer import answer
from bot.chat.bins import species_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.records import SexSystem
from bot.services.desk import Desk
from bot.services.request import Request
from bot.services.species_cards import reset_card, set_card, show_card

species_group = app_commands.Group(name="species", description="What is known of a species", guild_only=True)


@species_group.command(name="show", description="Broods, ages and survival of a species, with how sure they are")
@app_commands.describe(species="Its scientific name")
@app_commands.autocomplete(species=species_like)
async def show_command(interaction: discord.Interaction[Mancabook], species: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the card."""

    async def work(desk: Desk, request: Request) -> Card:
        return species_card(await show_card(desk, request, species))

    await answer(interaction, work)


@species_group.command(name="set", description="For stewards: a figure that your own colonies show to be otherwise")
@app_commands.describe(
    species="Its scientific name",
    figure="Which figure",
    value="The usual one, or lowest, usual and highest, like 20-30-45",
    sex="How its sex is inherited",
    source="Where you have it from",
)
@app_commands.choices(
    figure=[app_commands.Choice(name=label, value=name) for name, label in LABELS.items()],
    sex=[app_commands.Choice(name=system.value, value=system.value) for system in SexSystem],
)
@app_commands.autocomplete(species=species_like)
async def set_command(
    interaction: discord.Interaction[Mancabook],
    species: app_commands.Range[str, 1, 100],
    figure: str | None = None,
    value: app_commands.Range[str, 1, 60] | None = None,
    sex: str | None = None,
    source: app_commands.Range[str, 1, 200] | None = None,
) -> None:
    """Answer with the card as it stands now."""

    async def work(desk: Desk, request: Request) -> Card:
        return species_card(
            await set_card(
                desk,
                request,
                species=species,
                figure=figure or "",
                value=value or "",
                sex=sex or "",
                source=source or "",
            )
        )

    await answer(interaction, work)


@species_group.command(name="reset", description="For stewards: go back to the card that came with the bot")
@app_commands.describe(species="Its scientific name")
@app_commands.autocomplete(species=species_like)
async def reset_command(interaction: discord.Interaction[Mancabook], species: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the shipped card."""

    async def work(desk: Desk, request: Request) -> Card:
        return species_card(await reset_card(desk, request, species))

    await answer(interaction, work)


@route(verbs.SPECIES_SHOW)
async def show(desk: Desk, request: Request, press: Press) -> Reply:
    """The further pages of a card."""
    return species_card(await show_card(desk, request, press.argument))
