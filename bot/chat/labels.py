"""`/bin labels`."""

from enum import StrEnum
from typing import TypeVar

import discord
from discord import app_commands

from bot.cards.bin_messages import told
from bot.cards.card import Card
from bot.cards.labels import Handed, label_of, labels_card
from bot.chat.answer import answer
from bot.chat.bin_changes import shelves_like
from bot.chat.bin_messages import Room, may_write, posted
from bot.chat.bins import bin_group
from bot.chat.client import Mancabook
from bot.pictures.labels import FileKind, LabelSheet, Paper, printed
from bot.services.bin_messages import Wish
from bot.services.desk import Desk
from bot.services.labels import bins_to_label
from bot.services.refusals import WordNotKnown
from bot.services.refusals_labels import RoomNotYours
from bot.services.request import Request

Word = TypeVar("Word", bound=StrEnum)

DEADLINE = 60.0
"""Seconds that a sheet may take to draw."""


@bin_group.command(name="labels", description="Labels to print for your bins, or for those you name")
@app_commands.describe(
    bins="Their codes, like: B-1, B-3; all of yours if left out",
    shelf="Only on this shelf",
    since="Only those opened since a day, like: yesterday or 3 May",
    paper="A4 if left out",
    file="A PDF if left out",
    room="Where each bin gets a message of its own, to which its code leads",
    private_too="Also for private bins, which the whole room then sees",
)
@app_commands.rename(private_too="private-too")
@app_commands.choices(
    paper=[app_commands.Choice(name=each.value, value=each.value) for each in Paper],
    file=[app_commands.Choice(name=each.value, value=each.value) for each in FileKind],
)
@app_commands.autocomplete(shelf=shelves_like)
async def labels_command(
    interaction: discord.Interaction[Mancabook],
    bins: app_commands.Range[str, 1, 500] | None = None,
    shelf: app_commands.Range[str, 1, 60] | None = None,
    since: app_commands.Range[str, 1, 60] | None = None,
    paper: str | None = None,
    file: str | None = None,
    room: app_commands.Transform[app_commands.AppCommandChannel, Room] | None = None,
    private_too: bool = False,
) -> None:
    """Answer with the sheet."""

    async def work(desk: Desk, request: Request) -> Card:
        if room is not None and not may_write(room):
            raise RoomNotYours(room=room.id)
        wish = Wish(None if room is None else room.id, private_too)
        size, kind = _word(Paper, "paper", paper), _word(FileKind, "file", file)
        found = await bins_to_label(desk, request, bins_text=bins or "", shelf=shelf or "", since=since or "")
        standing = await posted(interaction.client, desk, request, found, wish)
        labels = tuple(
            label_of(each, found.zone, request.now, standing.link(request.server, each.row.id)) for each in found.bins
        )
        sheet = LabelSheet(labels, size)
        made = await desk.workers.run(printed, sheet, kind, deadline=DEADLINE)
        return labels_card(found, Handed(sheet, kind, made), told(found.bins, standing, wish))

    await answer(interaction, work)


def _word(words: type[Word], what: str, text: str | None) -> Word:
    """The word that was picked; the first where none was.

    Raises:
        WordNotKnown: it is none of them, as a forged choice may be.
    """
    found = next((word for word in words if text in (None, word.value)), None)
    if found is None:
        raise WordNotKnown(what=what, text=text or "", known=tuple(words))
    return found
