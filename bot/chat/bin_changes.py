"""`/bin split`, `/bin merge`, `/bin move` and `/bin close`."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import bin_changes as cards
from bot.cards.card import Card, Field
from bot.cards.refusals_bins import SURE
from bot.chat.answer import fill
from bot.chat.bins import bin_group, bins_like
from bot.chat.client import Mancabook
from bot.chat.sheets import Sheet
from bot.chat.tree import complete
from bot.services.bin_changes import NO_SHELF, REASONS, close_bin, move_bin, picked
from bot.services.bin_lists import choose_shelf
from bot.services.bin_moves import merge_bins, split_bin
from bot.services.desk import Desk
from bot.services.request import Request

_WENT = "Like: 12 · about 20 · 6 ember 3 wild; left out, nobody counted them"
_OF_ONES_OWN = "What they are, if you picked them, like: visual ember"


async def shelves_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Shelves whose name holds what is being typed, the person's own first."""

    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        return [(name, name) for name in await choose_shelf(desk, request, current)]

    return await complete(interaction, work)


async def _split(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    split = await split_bin(
        desk,
        request,
        bin_text=values.get("bin", ""),
        number=values.get("number", ""),
        holds=values.get("holds", ""),
        name=values.get("name", ""),
        shelf=values.get("shelf", ""),
        note=values.get("note", ""),
        sure=bool(values.get(SURE)),
    )
    return cards.split_card(split)


SPLIT = Sheet(
    kind="bin.split",
    title="Split a bin",
    fields=(
        Field("bin", "Bin", "The one to split, like B-3", most=100),
        Field("number", "How many go", _WENT, required=False),
        Field("holds", "What they are", _OF_ONES_OWN, required=False, most=500),
        Field("name", "Name", "What you call the new bin", required=False),
        Field("shelf", "Shelf", "Where it stands, if elsewhere", required=False, most=60),
        Field("note", "Note", required=False, most=4000, long=True),
    ),
    work=_split,
)


@bin_group.command(name="split", description="Put some of a bin's animals into a new bin")
@app_commands.describe(
    bin_text="The one to split, like B-3",
    number=_WENT,
    holds=_OF_ONES_OWN,
    name="What you call the new bin",
    shelf="Where it stands, if elsewhere",
    note="Anything else",
)
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like, shelf=shelves_like)
async def split_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    number: app_commands.Range[str, 1, 100] | None = None,
    holds: app_commands.Range[str, 1, 500] | None = None,
    name: app_commands.Range[str, 1, 100] | None = None,
    shelf: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Ask to look first, then answer with the new bin's code."""
    await fill(interaction, SPLIT, bin=bin_text, number=number, holds=holds, name=name, shelf=shelf, note=note)


async def _merge(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    merged = await merge_bins(
        desk,
        request,
        into_text=values.get("into", ""),
        from_text=values.get("bin", ""),
        note=values.get("note", ""),
        sure=bool(values.get(SURE)),
    )
    return cards.merged_card(merged)


MERGE = Sheet(
    kind="bin.merge",
    title="Merge two bins",
    fields=(
        Field("bin", "Bin", "The one that is emptied and closed, like B-3", most=100),
        Field("into", "Into", "The one that its animals go into, like B-1", most=100),
        Field("note", "Note", required=False, most=4000, long=True),
    ),
    work=_merge,
)


@bin_group.command(name="merge", description="Empty a bin into another; both keep their histories")
@app_commands.describe(
    bin_text="The one that is emptied and closed, like B-3",
    into="The one that its animals go into, like B-1",
    note="Anything else",
)
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like, into=bins_like)
async def merge_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    into: app_commands.Range[str, 1, 100],
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Ask to look first, then answer with how many that makes."""
    await fill(interaction, MERGE, bin=bin_text, into=into, note=note)


_SHELF = f"The shelf's name, like: window; {NO_SHELF} takes it off"
_NAMED, _NUMBER, _BOT = "keeper_named", "keeper_number", "keeper_bot"
"""The keys that hold the person who was picked, beside the name that a form shows."""


async def _move(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    person = picked(
        values.get("keeper", ""), values.get(_NAMED, ""), values.get(_NUMBER, ""), bot=bool(values.get(_BOT))
    )
    moved = await move_bin(
        desk,
        request,
        bin_text=values.get("bin", ""),
        shelf=values.get("shelf", ""),
        keeper=person,
        sure=bool(values.get(SURE)),
    )
    return cards.moved_card(moved)


MOVE = Sheet(
    kind="bin.move",
    title="Move a bin",
    fields=(
        Field("bin", "Bin", "Its code, like B-3", most=100),
        Field("shelf", "Shelf", _SHELF, required=False, most=60),
        Field("keeper", "Keeper", "As picked; to pick another, type the command again", required=False),
    ),
    work=_move,
)


@bin_group.command(name="move", description="Put a bin on a shelf, or give it to another keeper")
@app_commands.describe(bin_text="Its code, like B-3", shelf=_SHELF, keeper="Who keeps it from now on")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like, shelf=shelves_like)
async def move_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    shelf: app_commands.Range[str, 1, 60] | None = None,
    keeper: discord.Member | None = None,
) -> None:
    """Ask to look first where it changes hands; answer with where the bin is and who keeps it."""
    values = {"bin": bin_text, "shelf": shelf}
    if keeper is not None:
        name = keeper.display_name
        values |= {"keeper": name, _NAMED: name, _NUMBER: str(keeper.id), _BOT: "yes" if keeper.bot else None}
    await fill(interaction, MOVE, **values)


async def _close(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    closed = await close_bin(
        desk,
        request,
        bin_text=values.get("bin", ""),
        reason=values.get("reason", ""),
        when=values.get("when", ""),
        note=values.get("note", ""),
    )
    return cards.closed_card(closed)


CLOSE = Sheet(
    kind="bin.close",
    title="Close a bin",
    fields=(
        Field("bin", "Bin", "Its code, like B-3", most=100),
        Field("reason", "Reason", "Gone to another keeper, no animals left, line ended, or another reason"),
        Field("when", "When", "If not today, like: yesterday, or 12 March", required=False),
        Field("note", "Note", required=False, most=4000, long=True),
    ),
    work=_close,
)


@bin_group.command(name="close", description="Close a bin that is kept no more; its history stays")
@app_commands.describe(
    bin_text="Its code, like B-3",
    reason="Why; a bin that goes into another is merged instead",
    when="If not today, like: yesterday, or 12 March",
    note="Anything else",
)
@app_commands.rename(bin_text="bin")
@app_commands.choices(reason=[app_commands.Choice(name=words, value=words) for words in REASONS])
@app_commands.autocomplete(bin_text=bins_like)
async def close_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    reason: str,
    when: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Answer with what ended with the bin."""
    await fill(interaction, CLOSE, bin=bin_text, reason=reason, when=when, note=note)
