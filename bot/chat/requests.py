"""From an interaction of the chat library to a plain `Request`."""

import discord

from bot.chat.client import Mancabook
from bot.services.refusals import ServersOnly
from bot.services.request import Request, Role

HOME = "home"
"""Where in an interaction's extras the server of a press in a direct message is found."""


async def find_home(interaction: discord.Interaction[Mancabook]) -> None:
    """Find the server of a press or form in a direct message: that of the ping under which it was pressed, if it is the
    person's own."""
    if interaction.guild_id is not None or interaction.message is None or interaction.channel_id is None:
        return
    records, person = interaction.client.desk.records, interaction.user.id
    home = await records.home_of_direct(interaction.channel_id, interaction.message.id, person)
    if home is not None:
        interaction.extras[HOME] = home


def request_of(interaction: discord.Interaction[Mancabook]) -> Request:
    """Who asks, where, when and under which id.

    Raises:
        ServersOnly: the interaction comes from a direct message that is no ping of the person's.
    """
    server = interaction.guild_id or interaction.extras.get(HOME)
    if server is None or interaction.channel_id is None:
        raise ServersOnly
    return Request(
        server=server,
        actor=interaction.user.id,
        actor_name=interaction.user.display_name,
        request_id=interaction.id,
        now=interaction.client.clocks.now(),
        roles=frozenset({Role.STEWARD}) if _is_steward(interaction) else frozenset(),
        channel=interaction.channel_id,
        may_post=interaction.guild_id is not None and _may_post(interaction),
    )


def _may_post(interaction: discord.Interaction[Mancabook]) -> bool:
    allowed = interaction.app_permissions
    if isinstance(interaction.channel, discord.Thread):
        return allowed.view_channel and allowed.send_messages_in_threads
    return allowed.view_channel and allowed.send_messages


def _is_steward(interaction: discord.Interaction[Mancabook]) -> bool:
    # In a direct message everybody has every permission, over nothing.
    return interaction.guild_id is not None and interaction.permissions.manage_guild
