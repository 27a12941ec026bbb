"""`/bin`: open and show."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import bins as cards
from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.chat.answer import answer, fill
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.tree import complete
from bot.services.bins import NewBin, choose_bin, open_bin, show_bin
from bot.services.desk import Desk
from bot.services.request import Request

bin_group = app_commands.Group(name="bin", description="The bins in the colony book", guild_only=True)


async def bins_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Bins whose code or name holds what is being typed, the person's own first."""

    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        found = await choose_bin(desk, request, current)
        return [(f"{b.code} {b.name}" if b.name else b.code, b.code) for b in found]

    return await complete(interaction, work)


async def species_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Species whose name holds what is being typed."""

    async def work(desk: Desk, _: Request) -> list[tuple[str, str]]:
        return [(name, name) for name in desk.species.matching(current)]

    return await complete(interaction, work)


async def _open(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    new = NewBin(**{"species": "", **{key: value for key, value in values.items() if key in NewBin.__slots__}})
    return cards.opened_card(await open_bin(desk, request, new))


OPEN = Sheet(
    kind="bin.open",
    title="Open a bin",
    fields=(
        Field("species", "Species", "Its scientific name", most=100),
        Field("animals", "How many animals", "Like: 40, about 40, or 7 males 12 females", required=False),
        Field("holds", "What they are", "Like: visual ember, or: 66% het ember, or: wild", required=False, most=500),
        Field("parents", "Parents", "The bin they come from, or dams x sires, like: B-1 x B-3", required=False),
        Field("length", "Length", "How long they are, like: 1.2 cm or 0.5 in", required=False),
        Field("name", "Name", "What you call it, like: ember F2", required=False, most=100),
        Field("shelf", "Shelf", "Where it stands, like: window", required=False, most=60),
        Field("origin", "Origin", "Where they come from, if from elsewhere", required=False, most=300),
        Field("note", "Note", required=False, most=4000, long=True),
    ),
    work=_open,
)


@bin_group.command(name="open", description="Open a bin; it gets a code to write on its lid")
@app_commands.describe(
    species="Its scientific name",
    name="What you call it, like: ember F2",
    animals="How many go in, like: 40, about 40, or 7 males 12 females",
    holds="What they are, like: visual ember, or: 66% het ember, or: wild",
    parents="The bin they come from, or dams x sires, like: B-1 x B-3",
    origin="Where they come from, if from elsewhere",
    length="How long they are, like: 1.2 cm or 0.5 in",
    shelf="Where it stands, like: window",
    note="Anything else",
)
@app_commands.autocomplete(species=species_like)
async def open_command(
    interaction: discord.Interaction[Mancabook],
    species: app_commands.Range[str, 1, 100],
    name: app_commands.Range[str, 1, 100] | None = None,
    animals: app_commands.Range[str, 1, 100] | None = None,
    holds: app_commands.Range[str, 1, 500] | None = None,
    parents: app_commands.Range[str, 1, 60] | None = None,
    origin: app_commands.Range[str, 1, 300] | None = None,
    length: app_commands.Range[str, 1, 60] | None = None,
    shelf: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Answer with the new bin's code."""
    await fill(
        interaction,
        OPEN,
        species=species,
        name=name,
        animals=animals,
        holds=holds,
        parents=parents,
        origin=origin,
        length=length,
        shelf=shelf,
        note=note,
    )


@bin_group.command(name="show", description="What the book says of a bin")
@app_commands.describe(bin_text="Its code, like B-3")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def show_command(interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the bin's last count, origin, care and note."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.bin_card(await show_bin(desk, request, bin_text))

    await answer(interaction, work)


@route(verbs.BIN_SHOW)
async def show(desk: Desk, request: Request, press: Press) -> Reply:
    """*Show bin*, and the further pages of it."""
    return cards.bin_card(await show_bin(desk, request, press.argument))
