"""`/trait`: define one."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards.card import Card, Field
from bot.cards.traits import defined_card
from bot.chat.answer import fill
from bot.chat.bins import species_like
from bot.chat.client import Mancabook
from bot.chat.sheets import Sheet
from bot.services.desk import Desk
from bot.services.request import Request
from bot.services.traits import define_trait
from genetics import Dominance

trait_group = app_commands.Group(name="trait", description="The traits in the colony book", guild_only=True)
_SHOWS = {
    Dominance.RECESSIVE: "recessive: shows with two copies",
    Dominance.DOMINANT: "dominant: shows with one copy or two alike",
    Dominance.INCOMPLETE: "incompletely dominant: shows with one copy, more with two",
}


async def _define(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    defined = await define_trait(
        desk,
        request,
        name=values.get("name", ""),
        dominance=values.get("shows", ""),
        symbol=values.get("symbol", ""),
        species=values.get("species", ""),
    )
    return defined_card(defined)


DEFINE = Sheet(
    kind="trait.define",
    title="Define a trait",
    fields=(
        Field("name", "Name", "What keepers call it, like: ember", most=100),
        Field("shows", "How it shows", "recessive, dominant or incompletely dominant"),
        Field("symbol", "Gene symbol", "One to four letters, like e; left empty, I choose", required=False, most=20),
        Field("species", "Species", "Only if it belongs to one", required=False),
    ),
    work=_define,
)


@trait_group.command(name="define", description="Define a trait, so that it can be asked about and recorded")
@app_commands.describe(
    name="What keepers call it, like: ember",
    shows="How it shows; if you don't know yet, recessive is the commonest for one odd animal",
    symbol="Its gene symbol, one to four letters; left out, I choose",
    species="Only if it belongs to one species",
)
@app_commands.choices(
    shows=[app_commands.Choice(name=text, value=dominance.value) for dominance, text in _SHOWS.items()]
)
@app_commands.autocomplete(species=species_like)
async def define_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    shows: str,
    symbol: app_commands.Range[str, 1, 20] | None = None,
    species: app_commands.Range[str, 1, 100] | None = None,
) -> None:
    """Answer with the trait as it stands in the book."""
    await fill(interaction, DEFINE, name=name, shows=shows, symbol=symbol, species=species)
