"""`/keeper`: one's own settings, the server's, and taking one's words out of the book."""

import discord
from discord import app_commands

from bot.cards import keepers as cards
from bot.cards import verbs
from bot.cards.card import Card
from bot.chat.answer import answer
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.zones import zones_like
from bot.services.desk import Desk
from bot.services.keepers import erase_texts, set_keeper, set_server, settings_of
from bot.services.request import Request

keeper_group = app_commands.Group(name="keeper", description="Your own settings, and the server's", guild_only=True)


@keeper_group.command(name="show", description="Your time zone, quiet hours, units and room for pings")
async def show_command(interaction: discord.Interaction[Mancabook]) -> None:
    """Answer with what is set."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.settings_card(await settings_of(desk, request))

    await answer(interaction, work)


@keeper_group.command(name="set", description="Set your time zone, quiet hours, units or room for pings")
@app_commands.describe(
    zone="Your time zone: a continent and city",
    quiet="When no ping may come, like 22:00-07:00, or off",
    units="What you read first",
    pings="The room that your pings go to",
)
@app_commands.choices(
    units=[
        app_commands.Choice(name="°C and millimetres", value="metric"),
        app_commands.Choice(name="°F and inches", value="imperial"),
    ]
)
@app_commands.autocomplete(zone=zones_like)
async def set_command(
    interaction: discord.Interaction[Mancabook],
    zone: app_commands.Range[str, 1, 60] | None = None,
    quiet: app_commands.Range[str, 1, 40] | None = None,
    units: str | None = None,
    pings: discord.TextChannel | None = None,
) -> None:
    """Answer with what is set now."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.set_card(
            await set_keeper(
                desk,
                request,
                zone=zone or "",
                quiet=quiet or "",
                units=units or "",
                channel=pings.id if pings else None,
            )
        )

    await answer(interaction, work)


@keeper_group.command(name="server", description="For stewards: the server's time zone, bin codes and room for pings")
@app_commands.describe(
    zone="The time zone of keepers who set none",
    prefix="What new bin codes begin with, like HL-",
    pings="The room for pings of keepers who set none",
)
@app_commands.autocomplete(zone=zones_like)
async def server_command(
    interaction: discord.Interaction[Mancabook],
    zone: app_commands.Range[str, 1, 60] | None = None,
    prefix: app_commands.Range[str, 1, 20] | None = None,
    pings: discord.TextChannel | None = None,
) -> None:
    """Answer with what is set now."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.server_card(
            await set_server(desk, request, zone=zone or "", prefix=prefix or "", channel=pings.id if pings else None)
        )

    await answer(interaction, work)


@keeper_group.command(name="erase", description="Take the words you typed out of this server's book")
async def erase_command(interaction: discord.Interaction[Mancabook]) -> None:
    """Ask first."""

    async def work(_: Desk, __: Request) -> Card:
        return cards.erase_card()

    await answer(interaction, work)


@route(verbs.KEEPER_ERASE)
async def erase(desk: Desk, request: Request, _: Press) -> Reply:
    """*Erase my words*."""
    await erase_texts(desk, request)
    return cards.erased_card()
