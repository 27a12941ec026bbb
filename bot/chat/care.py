"""`/care`, and the buttons of its pings."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.care import added_card, answered_ping, reopened_ping
from bot.chat.answer import fill
from bot.chat.bins import bins_like
from bot.chat.client import Mancabook
from bot.chat.counts import LOG
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.tree import complete
from bot.services.care import KINDS, WEEKDAYS, add_task, answer_round, bins_of_round, reopen_round
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.request import Request
from bot.services.times import zones_matching

care_group = app_commands.Group(name="care", description="What a bin needs, and when", guild_only=True)


async def _add(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    added = await add_task(
        desk,
        request,
        bin_text=values.get("bin", ""),
        kind=values.get("task", ""),
        weekday=values.get("day", ""),
        time=values.get("time", ""),
        zone=values.get("zone", ""),
    )
    return added_card(added)


ADD = Sheet(
    kind="care.add",
    title="A weekly care task",
    fields=(
        Field("bin", "Bin", "Its code, like B-3"),
        Field("task", "Task", "moisture, leaf litter or recount"),
        Field("day", "Day of the week", "Like: Monday"),
        Field("time", "Time of day", "In your own time zone, like 18:00 or 6pm"),
        Field("zone", "Time zone", "Needed once, like Europe/Lisbon", required=False),
    ),
    work=_add,
)


async def _zones(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(_: Desk, __: Request) -> list[tuple[str, str]]:
        return [(name, name) for name in zones_matching(current)]

    return await complete(interaction, work)


@care_group.command(name="add", description="Ask to be pinged every week: moisture, leaf litter or a recount")
@app_commands.describe(
    bin_text="Its code, like B-3",
    task="What to ask for",
    day="The day of the week",
    time="In your own time zone, like 18:00 or 6pm",
    zone="Your time zone; needed once",
)
@app_commands.rename(bin_text="bin")
@app_commands.choices(
    task=[app_commands.Choice(name=word, value=word) for word in KINDS],
    day=[app_commands.Choice(name=word, value=word) for word in WEEKDAYS],
)
@app_commands.autocomplete(bin_text=bins_like, zone=_zones)
async def add_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    task: str,
    day: str,
    time: app_commands.Range[str, 1, 20],
    zone: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer with when the first ping comes."""
    await fill(interaction, ADD, bin=bin_text, task=task, day=day, time=time, zone=zone)


@route(verbs.CARE_DONE, replaces=True)
async def done(desk: Desk, request: Request, press: Press) -> Reply:
    """*Done* on a ping."""
    return answered_ping(await answer_round(desk, request, delivery=row_id(press.argument), done=True))


@route(verbs.CARE_LATER, replaces=True)
async def later(desk: Desk, request: Request, press: Press) -> Reply:
    """*Later* on a ping."""
    return answered_ping(await answer_round(desk, request, delivery=row_id(press.argument), done=False))


@route(verbs.CARE_REOPEN, replaces=True)
async def reopen(desk: Desk, request: Request, press: Press) -> Reply:
    """*Undo* on a ping that was answered."""
    return reopened_ping(await reopen_round(desk, request, seq=row_id(press.argument)))


@route(verbs.CARE_COUNT)
async def count(desk: Desk, request: Request, press: Press) -> Reply:
    """*Log count* on a ping: the form, with the bin filled in where the ping is about one."""
    bins = await bins_of_round(desk, request, delivery=row_id(press.argument))
    return LOG.form({"bin": bins[0].code} if len(bins) == 1 else {})
