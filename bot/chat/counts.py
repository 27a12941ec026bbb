"""`/count`: log one, by options or by a form."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card, Field, Form
from bot.cards.counts import logged_card
from bot.chat.answer import answer, fill
from bot.chat.bins import bins_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.services.bins import label_of
from bot.services.counts import log_count
from bot.services.desk import Desk
from bot.services.request import Request

count_group = app_commands.Group(name="count", description="How many animals live in a bin", guild_only=True)


async def _log(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    logged = await log_count(
        desk,
        request,
        bin_text=values.get("bin", ""),
        count_text=values.get("count", ""),
        note=values.get("note", ""),
    )
    return logged_card(logged)


LOG = Sheet(
    kind="count.log",
    title="Log a count",
    fields=(
        Field("bin", "Bin", "Its code, like B-3", most=100),
        Field("count", "How many", "A number, or about 40, or 3 dozen"),
        Field("note", "Note", required=False, most=4000, long=True),
    ),
    work=_log,
)


async def count_form(desk: Desk, request: Request, bin_text: str) -> Form:
    """The form of a count with the bin filled in, once the bin is known to be there."""
    return LOG.form({"bin": (await label_of(desk, request, bin_text)).code})


@count_group.command(name="log", description="Log how many animals are in a bin; without a number a form opens")
@app_commands.describe(bin_text="Its code, like B-3", count="A number, or about 40, or 3 dozen", note="Anything else")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def log_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    count: app_commands.Range[str, 1, 100] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Log the count, or ask for it in a form."""
    if count is None:
        await answer(interaction, lambda desk, request: count_form(desk, request, bin_text))
    else:
        await fill(interaction, LOG, bin=bin_text, count=count, note=note)


@route(verbs.COUNT_FORM)
async def form(desk: Desk, request: Request, press: Press) -> Reply:
    """*Log count* on a bin's reply."""
    return await count_form(desk, request, press.argument)
