"""`/line`: the family of a bin, its least related mates, and from which inbreeding on the server warns."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.family import family_card
from bot.cards.mates import mates_card, warnings_card
from bot.chat.answer import fill
from bot.chat.bins import bins_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.traits import traits_like
from bot.services.desk import Desk
from bot.services.family import family_of
from bot.services.mates import DEGREES, mates_of, set_warnings
from bot.services.request import Request

line_group = app_commands.Group(name="line", description="Who comes from whom, and who is related", guild_only=True)


async def _family(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return family_card(await family_of(desk, request, values.get("bin", ""), values.get("trait", "")))


async def _mates(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return mates_card(await mates_of(desk, request, values.get("bin", "")))


async def _warn(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    found = await set_warnings(
        desk,
        request,
        note=values.get("note", ""),
        warning=values.get("warn", ""),
        origin=values.get("origin", ""),
    )
    return warnings_card(found)


_BIN = Field("bin", "Bin", "Its code, like B-3", most=100)
FAMILY = Sheet(
    kind="line.family",
    title="The family of a bin",
    fields=(_BIN, Field("trait", "Trait", "Filled symbols show it; left empty, none are filled", required=False)),
    work=_family,
)
MATES = Sheet(kind="line.mates", title="Mates for a bin", fields=(_BIN,), work=_mates)
WARN = Sheet(
    kind="line.warn",
    title="Warnings of inbreeding",
    fields=(
        Field("note", "Called close from", "Expected inbreeding of the young, like 12.5 %", required=False),
        Field("warn", "Too close from", "Like 25 %", required=False),
        Field("origin", "Two of one origin are", ", ".join(DEGREES), required=False),
    ),
    work=_warn,
)


@line_group.command(name="family", description="Where a bin's animals come from, as a picture")
@app_commands.describe(bin_text="Its code, like B-3", trait="Filled symbols show it, like: ember")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like, trait=traits_like)
async def family_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    trait: app_commands.Range[str, 1, 100] | None = None,
) -> None:
    """Answer with the bin's family."""
    await fill(interaction, FAMILY, bin=bin_text, trait=trait)


@line_group.command(name="mates", description="The least related mates on record for a bin's animals")
@app_commands.describe(bin_text="Its code, like B-3")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def mates_command(interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the other bins of the species, least related first."""
    await fill(interaction, MATES, bin=bin_text)


@line_group.command(name="warn", description="From which inbreeding on a pairing is called close; stewards set it")
@app_commands.describe(
    note="Called close from: expected inbreeding of the young, like 12.5 %",
    warn="Too close from, like 25 %",
    origin="What two animals of one origin are taken to be",
)
@app_commands.choices(origin=[app_commands.Choice(name=words, value=words) for words in DEGREES])
async def warn_command(
    interaction: discord.Interaction[Mancabook],
    note: app_commands.Range[str, 1, 60] | None = None,
    warn: app_commands.Range[str, 1, 60] | None = None,
    origin: str | None = None,
) -> None:
    """Answer with what holds now; with nothing typed it only tells."""
    await fill(interaction, WARN, note=note, warn=warn, origin=origin)


@route(verbs.LINE_FAMILY)
async def family(desk: Desk, request: Request, press: Press) -> Reply:
    """*Family* under a bin's reply."""
    return await _family(desk, request, {"bin": press.argument})


@route(verbs.LINE_MATES)
async def mates(desk: Desk, request: Request, press: Press) -> Reply:
    """*Least related mates*, and the further pages of it."""
    return await _mates(desk, request, {"bin": press.argument})
