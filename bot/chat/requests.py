"""From an interaction of the chat library to a plain `Request`."""

import discord

from bot.chat.client import Mancabook
from bot.services.refusals import ServersOnly
from bot.services.request import Request, Role


def request_of(interaction: discord.Interaction[Mancabook]) -> Request:
    """Who asks, where, when and under which id.

    Raises:
        ServersOnly: the interaction comes from a direct message.
    """
    if interaction.guild_id is None or interaction.channel_id is None:
        raise ServersOnly
    return Request(
        server=interaction.guild_id,
        actor=interaction.user.id,
        actor_name=interaction.user.display_name,
        request_id=interaction.id,
        now=interaction.client.clocks.now(),
        roles=frozenset({Role.STEWARD}) if interaction.permissions.manage_guild else frozenset(),
        channel=interaction.channel_id,
        may_post=_may_post(interaction),
    )


def _may_post(interaction: discord.Interaction[Mancabook]) -> bool:
    allowed = interaction.app_permissions
    if isinstance(interaction.channel, discord.Thread):
        return allowed.view_channel and allowed.send_messages_in_threads
    return allowed.view_channel and allowed.send_messages
