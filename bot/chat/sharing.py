"""`/bin share`, `/bin unshare` and `/bin privacy`: who keeps a bin, and who may read it."""

import discord
from discord import app_commands

from bot.cards.card import Card
from bot.cards.sharing import doors_card
from bot.chat.answer import answer
from bot.chat.bin_messages import take_down
from bot.chat.bins import bin_group, bins_like
from bot.chat.client import Mancabook
from bot.services.desk import Desk
from bot.services.request import Request
from bot.services.sharing import set_privacy, share_bin, unshare_bin

_PRIVATE = {
    "open": "nothing: everyone here reads it",
    "notes": "its notes and origins: only its keepers read them",
    "everything": "everything: only its keepers see that it is there",
}


@bin_group.command(name="share", description="Let somebody keep a bin with you")
@app_commands.describe(bin_text="Its code, like B-3", who="Who else keeps it")
@app_commands.rename(bin_text="bin", who="with")
@app_commands.autocomplete(bin_text=bins_like)
async def share_command(
    interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100], who: discord.Member
) -> None:
    """Answer with who keeps the bin now."""

    async def work(desk: Desk, request: Request) -> Card:
        return doors_card(await share_bin(desk, request, bin_text=bin_text, keeper=who.id, name=who.display_name))

    await answer(interaction, work)


@bin_group.command(name="unshare", description="Somebody keeps a bin with you no more; or you no more with them")
@app_commands.describe(bin_text="Its code, like B-3", who="Who keeps it no more")
@app_commands.rename(bin_text="bin", who="with")
@app_commands.autocomplete(bin_text=bins_like)
async def unshare_command(
    interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100], who: discord.User
) -> None:
    """Answer with who keeps the bin now."""

    async def work(desk: Desk, request: Request) -> Card:
        return doors_card(await unshare_bin(desk, request, bin_text=bin_text, keeper=who.id, name=who.display_name))

    await answer(interaction, work)


@bin_group.command(name="privacy", description="Keep a bin, or its notes, to its keepers")
@app_commands.describe(bin_text="Its code, like B-3", private="What only its keepers may read")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
@app_commands.choices(private=[app_commands.Choice(name=text, value=word) for word, text in _PRIVATE.items()])
async def privacy_command(
    interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100], private: str
) -> None:
    """Answer with who may read the bin now."""

    async def work(desk: Desk, request: Request) -> Card:
        doors = await set_privacy(desk, request, bin_text=bin_text, private=private)
        shown = doors.message
        gone = shown is not None and await take_down(interaction.client, desk, request, shown)
        return doors_card(doors, taken_down=gone)

    await answer(interaction, work)
