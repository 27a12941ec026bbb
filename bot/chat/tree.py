"""The command tree with its error door, and the autocomplete door beside it."""

import logging
from collections.abc import Awaitable, Callable, Iterable

import discord
from discord import app_commands

from bot.cards import faults
from bot.chat.answer import send
from bot.chat.client import Mancabook
from bot.chat.doors import say_failure
from bot.chat.requests import request_of
from bot.services.desk import Desk
from bot.services.request import Request

_log = logging.getLogger(__name__)
_MOST_CHOICES, _CHOICE = 25, 100


class Tree(app_commands.CommandTree[Mancabook]):
    """The command tree: commands for servers, nothing new while the bot is stopping, every failure through one door."""

    def __init__(self, client: Mancabook) -> None:
        super().__init__(
            client,
            allowed_contexts=app_commands.AppCommandContext(guild=True, dm_channel=False, private_channel=False),
            allowed_installs=app_commands.AppInstallationType(guild=True, user=False),
        )

    async def interaction_check(self, interaction: discord.Interaction[Mancabook], /) -> bool:
        """Say to come back in a minute while the bot is stopping."""
        if not interaction.client.draining:
            return True
        if interaction.type is not discord.InteractionType.autocomplete:
            await send(interaction, faults.restarting())
        return False

    async def on_error(
        self, interaction: discord.Interaction[Mancabook], error: app_commands.AppCommandError, /
    ) -> None:
        """The door of the slash commands."""
        await say_failure(interaction, error)


async def complete(
    interaction: discord.Interaction[Mancabook],
    work: Callable[[Desk, Request], Awaitable[Iterable[tuple[str, str]]]],
) -> list[app_commands.Choice[str]]:
    """Choices for what is being typed, as (shown, value). On any failure none, and a line in the log.

    A value that would not fit is left out rather than cut: cut, it would mean something else.
    """
    try:
        pairs = await work(interaction.client.desk, request_of(interaction))
    except Exception:
        _log.exception("autocomplete of interaction %s", interaction.id)
        return []
    fitting = [(shown, value) for shown, value in pairs if 1 <= len(value) <= _CHOICE]
    return [app_commands.Choice(name=shown[:_CHOICE], value=value) for shown, value in fitting[:_MOST_CHOICES]]
