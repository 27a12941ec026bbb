"""Time zones offered while one is typed."""

import discord
from discord import app_commands

from bot.chat.client import Mancabook
from bot.chat.tree import complete
from bot.services.desk import Desk
from bot.services.request import Request
from bot.services.times import zones_matching


async def zones_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Time zones whose name holds what is being typed."""

    async def work(_: Desk, __: Request) -> list[tuple[str, str]]:
        return [(name, name) for name in zones_matching(current)]

    return await complete(interaction, work)
