"""`/bin list` and `/bin history`, and their pages."""

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.bin_lists import history_card, list_card
from bot.cards.card import Card
from bot.chat.answer import answer
from bot.chat.bin_changes import shelves_like
from bot.chat.bins import bin_group, bins_like, species_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.services.bin_lists import WHOSE, history_of, history_page, list_bins
from bot.services.desk import Desk
from bot.services.request import Request


@bin_group.command(name="list", description="The bins: yours, all or closed ones, by shelf")
@app_commands.describe(
    whose="Yours, everybody's, or those that are closed", shelf="Only on this shelf", species="Only of this species"
)
@app_commands.choices(whose=[app_commands.Choice(name=word, value=word) for word in WHOSE])
@app_commands.autocomplete(shelf=shelves_like, species=species_like)
async def list_command(
    interaction: discord.Interaction[Mancabook],
    whose: str | None = None,
    shelf: app_commands.Range[str, 1, 60] | None = None,
    species: app_commands.Range[str, 1, 100] | None = None,
) -> None:
    """Answer with a line for each bin."""

    async def work(desk: Desk, request: Request) -> Card:
        return list_card(await list_bins(desk, request, whose=whose or "", shelf=shelf or "", species=species or ""))

    await answer(interaction, work)


@route(verbs.BIN_LIST)
async def listed(desk: Desk, request: Request, press: Press) -> Reply:
    """The further pages of a list."""
    whose, shelf_of, species = (*press.argument.split("/"), "", "")[:3]
    return list_card(await list_bins(desk, request, whose=whose, shelf_of=shelf_of, species=species))


@bin_group.command(name="history", description="What happened to a bin: counts, splits, care, and who did it")
@app_commands.describe(bin_text="Its code, like B-3; a closed bin's too")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def history_command(
    interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100]
) -> None:
    """Answer with what happened, newest first."""

    async def work(desk: Desk, request: Request) -> Card:
        return history_card(await history_of(desk, request, bin_text=bin_text))

    await answer(interaction, work)


@route(verbs.BIN_HISTORY)
async def history(desk: Desk, request: Request, press: Press) -> Reply:
    """*History* under a bin, and *Older* under its history."""
    bin_id, _, before = press.argument.partition("/")
    return history_card(await history_page(desk, request, bin_id=bin_id, before=before))
