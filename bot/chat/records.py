"""`/records`: what was done in the server, and taking it back."""

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.audit import audit_card, choice
from bot.cards.card import Card
from bot.cards.undo import undone_card
from bot.chat.answer import answer
from bot.chat.bins import bins_like
from bot.chat.client import Mancabook
from bot.chat.meanwhile import meanwhile
from bot.chat.router import Press, Reply, route
from bot.chat.tree import complete
from bot.services.audit import audit_of, audit_page, undo_last, undoable
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.request import Request
from bot.services.undo import Undone, undo
from bot.services.verdict_moves import moves_of_undo

records_group = app_commands.Group(name="records", description="What was done in the colony book", guild_only=True)


@records_group.command(name="audit", description="Who changed what, and when, the newest first")
@app_commands.describe(bin_text="Only what changed this bin", keeper="Only what this keeper did")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def audit_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100] | None = None,
    keeper: discord.User | None = None,
) -> None:
    """Answer with a page of changes."""

    async def work(desk: Desk, request: Request) -> Card:
        return audit_card(await audit_of(desk, request, bin_text=bin_text or "", keeper=keeper.id if keeper else None))

    await answer(interaction, work)


@records_group.command(name="undo", description="Take back the last thing you did, or another change of yours")
@app_commands.describe(change="Its number in /records audit; left out, the last thing you did")
async def undo_command(
    interaction: discord.Interaction[Mancabook], change: app_commands.Range[str, 1, 100] | None = None
) -> None:
    """Answer with what was taken back."""

    async def work(desk: Desk, request: Request) -> Card:
        if change is None:
            return await _undone(desk, request, await undo_last(desk, request))
        return await _undone(desk, request, await undo(desk, request, row_id(change.strip().removeprefix("#"))))

    await answer(interaction, work)


@undo_command.autocomplete("change")
async def _changes(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        wanted = current.strip().removeprefix("#").casefold()
        found = [(choice(change), str(change.seq)) for change in await undoable(desk, request)]
        return [(shown, value) for shown, value in found if wanted in shown.casefold()]

    return await complete(interaction, work)


@route(verbs.UNDO)
async def take_back(desk: Desk, request: Request, press: Press) -> Reply:
    """*Undo*."""
    return await _undone(desk, request, await undo(desk, request, row_id(press.argument)))


async def _undone(desk: Desk, request: Request, undone: Undone) -> Card:
    meanwhile(undone_card(undone))
    return undone_card(undone, await moves_of_undo(desk, request, undone.event))


@route(verbs.AUDIT, replaces=True)
async def older(desk: Desk, request: Request, press: Press) -> Reply:
    """*Older* under a page of changes."""
    before, _, rest = press.argument.partition("/")
    bin_id, _, keeper = rest.partition("/")
    return audit_card(
        await audit_page(
            desk, request, before=row_id(before), bin_id=row_id(bin_id) or None, keeper=row_id(keeper) or None
        )
    )
