"""`/care`: set tasks, see them and what a day wants, let them rest, end them, go away."""

from collections.abc import Iterable, Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.away import away_card, back_card
from bot.cards.card import Card, Field
from bot.cards.care import added_card, changed_card, done_in_bin_card, list_card, task_line, today_card
from bot.cards.starters import offer_card, started_card
from bot.chat.answer import answer, fill
from bot.chat.bin_messages import Room, may_write
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.tree import complete
from bot.services.away import come_back, go_away
from bot.services.care_targets import choose_target
from bot.services.care_tasks import add_task, end_task, list_tasks, pause_tasks, resume_tasks
from bot.services.care_today import care_today, done_in_bin, done_today, undone_today
from bot.services.care_words import KINDS, WEEKDAYS
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.refusals import NoSuchTask
from bot.services.refusals_labels import RoomNotYours
from bot.services.request import Request
from bot.services.starters import add_starters, offer_starters
from bot.services.times import zones_matching

care_group = app_commands.Group(name="care", description="What your bins need, and when", guild_only=True)
_ALL = "all"
_RHYTHMS = (*WEEKDAYS, "every day", "every 2 days", "every 3 days", "every 4 days", "every 2 weeks", "every 30 days")
_MONTHS = ("Mon and Thu", "weekends", "1st", "1st and 15th", "last")


_NUMBER, _SHUT = "room_number", "room_shut"
"""The keys that hold the room that was picked, beside the name that a form shows."""


def _room(values: Mapping[str, str]) -> int | None:
    """The room that was picked for pings; None if none was, or its name was taken out again.

    Raises:
        RoomNotYours: the person may not write there.
    """
    if not values.get("room", "").strip():
        return None
    number = row_id(values.get(_NUMBER, ""))
    if values.get(_SHUT):
        raise RoomNotYours(number)
    return number or None


async def _add(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    added = await add_task(
        desk,
        request,
        bin_text=values.get("bin", ""),
        kind=values.get("task", ""),
        days=values.get("day", ""),
        time=values.get("time", ""),
        zone=values.get("zone", ""),
        channel=_room(values),
    )
    return added_card(added)


ADD = Sheet(
    kind="care.add",
    title="A care task",
    fields=(
        Field("bin", "Bin", "Its code, like B-3, or: shelf and its name, or: all my bins"),
        Field("task", "Task", "moisture, leaf litter, protein, calcium, recount … or your own words"),
        Field("day", "Days", "Like: Monday, Mon and Thu, every 3 days, 1st and 15th"),
        Field("time", "Time of day", "In your own time zone, like 18:00 or 6pm; 18:00 if left out", required=False),
        Field("zone", "Time zone", "Needed once, like Europe/Lisbon", required=False),
        Field("room", "Room", "As picked; to pick another, type the command again", required=False),
    ),
    work=_add,
)


async def _away(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return away_card(await go_away(desk, request, start=values.get("from", ""), end=values.get("until", "")))


AWAY = Sheet(
    kind="care.away",
    title="When you are away",
    fields=(
        Field("until", "Back on", "The day you are back, like Friday, 3 Dec or in 2 weeks"),
        Field("from", "Away from", "Like tomorrow or 20 Nov; today if left out", required=False),
    ),
    work=_away,
)


async def _pause(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    task = _which(values.get("task", ""))
    return changed_card(await pause_tasks(desk, request, task=task, until=values.get("until", "")))


PAUSE = Sheet(
    kind="care.pause",
    title="Let care rest",
    fields=(
        Field("task", "Task", "The number of a task, or: all"),
        Field("until", "Until", "A day, like Friday, 3 Dec or in 2 weeks", required=False),
    ),
    work=_pause,
)


def _offer(current: str, every: Iterable[str]) -> list[tuple[str, str]]:
    wanted = current.strip().casefold()
    return [(each, each) for each in every if wanted in each.casefold()]


async def _zones(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(_: Desk, __: Request) -> list[tuple[str, str]]:
        return [(name, name) for name in zones_matching(current)]

    return await complete(interaction, work)


async def _targets(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        return list(await choose_target(desk, request, current))

    return await complete(interaction, work)


async def _kinds(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(_: Desk, __: Request) -> list[tuple[str, str]]:
        own = [(f"{current.strip()} (your own words)", current.strip())] if current.strip() else []
        return [*_offer(current, KINDS), *own]

    return await complete(interaction, work)


async def _days(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(_: Desk, __: Request) -> list[tuple[str, str]]:
        return _offer(current, (*_RHYTHMS, *_MONTHS))

    return await complete(interaction, work)


async def _tasks(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        found = (await list_tasks(desk, request)).tasks
        lines = [(task_line(item), str(item.task.id)) for item in found]
        return [pair for pair in lines if current.strip().casefold() in pair[0].casefold()]

    return await complete(interaction, work)


async def _tasks_or_all(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    every = app_commands.Choice(name="all of them", value=_ALL)
    return [every, *await _tasks(interaction, current)][:25]


@care_group.command(name="add", description="Be pinged when a bin, a shelf or all your bins want something")
@app_commands.describe(
    bin_text="A bin's code, like B-3, or a shelf, or all your bins",
    task="What to ask for, or your own words",
    day="Like: Monday, Mon and Thu, every 3 days, 1st and 15th",
    time="In your own time zone, like 18:00 or 6pm; 18:00 if left out",
    zone="Your time zone; needed once",
    room="Where the pings come; your own room for pings, or this one, if left out",
)
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=_targets, task=_kinds, day=_days, zone=_zones)
async def add_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    task: app_commands.Range[str, 1, 100],
    day: app_commands.Range[str, 1, 60],
    time: app_commands.Range[str, 1, 20] | None = None,
    zone: app_commands.Range[str, 1, 60] | None = None,
    room: app_commands.Transform[app_commands.AppCommandChannel, Room] | None = None,
) -> None:
    """Answer with when the first ping comes, and where."""
    values = {"bin": bin_text, "task": task, "day": day, "time": time, "zone": zone}
    if room is not None:
        values |= {"room": room.name, _NUMBER: str(room.id), _SHUT: None if may_write(room) else "yes"}
    await fill(interaction, ADD, **values)


@care_group.command(name="today", description="What your bins want today, late first")
async def today_command(interaction: discord.Interaction[Mancabook]) -> None:
    """Answer with the day's round."""

    async def work(desk: Desk, request: Request) -> Card:
        return today_card(await care_today(desk, request))

    await answer(interaction, work)


@care_group.command(name="list", description="Your care tasks, and when each is next due")
async def list_command(interaction: discord.Interaction[Mancabook]) -> None:
    """Answer with the actor's tasks."""

    async def work(desk: Desk, request: Request) -> Card:
        return list_card(await list_tasks(desk, request))

    await answer(interaction, work)


@care_group.command(name="pause", description="Let a care task rest, or all of yours")
@app_commands.describe(task="Which task, or all of them", until="A day, like Friday, 3 Dec or in 2 weeks")
@app_commands.autocomplete(task=_tasks_or_all)
async def pause_command(
    interaction: discord.Interaction[Mancabook],
    task: app_commands.Range[str, 1, 100],
    until: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer with what rests until when."""
    await fill(interaction, PAUSE, task=task, until=until)


@care_group.command(name="resume", description="Let a care task that rests ask again, or all of yours")
@app_commands.describe(task="Which task, or all of them")
@app_commands.autocomplete(task=_tasks_or_all)
async def resume_command(interaction: discord.Interaction[Mancabook], task: app_commands.Range[str, 1, 100]) -> None:
    """Answer with what asks again, and when."""

    async def work(desk: Desk, request: Request) -> Card:
        return changed_card(await resume_tasks(desk, request, task=_which(task)))

    await answer(interaction, work)


@care_group.command(name="end", description="End a care task")
@app_commands.describe(task="Which task")
@app_commands.autocomplete(task=_tasks)
async def end_command(interaction: discord.Interaction[Mancabook], task: app_commands.Range[str, 1, 100]) -> None:
    """Answer with what ended."""

    async def work(desk: Desk, request: Request) -> Card:
        return changed_card(await end_task(desk, request, task=row_id(task)))

    await answer(interaction, work)


@care_group.command(name="away", description="Be left alone for some days; the rest is summed up when you are back")
@app_commands.describe(
    until="The day you are back, like Friday, 3 Dec or in 2 weeks", start="Like tomorrow or 20 Nov; today if left out"
)
@app_commands.rename(start="from")
async def away_command(
    interaction: discord.Interaction[Mancabook],
    until: app_commands.Range[str, 1, 60],
    start: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer with the days without pings."""
    await fill(interaction, AWAY, **{"until": until, "from": start})


def _which(text: str) -> int | None:
    """The number of a task, None for all of them.

    Raises:
        NoSuchTask: it is neither.
    """
    folded = text.strip().casefold()
    if folded in (_ALL, "all of them", "everything"):
        return None
    if not row_id(folded):
        raise NoSuchTask
    return row_id(folded)


@route(verbs.CARE_LIST)
async def tasks(desk: Desk, request: Request, _: Press) -> Reply:
    """The further pages of `/care list`."""
    return list_card(await list_tasks(desk, request))


@route(verbs.CARE_PAUSE)
async def pause(desk: Desk, request: Request, press: Press) -> Reply:
    """*Pause all*, or the pause of one task."""
    return changed_card(await pause_tasks(desk, request, task=row_id(press.argument) or None))


@route(verbs.CARE_RESUME)
async def resume(desk: Desk, request: Request, press: Press) -> Reply:
    """*Resume*, of one task or of all."""
    return changed_card(await resume_tasks(desk, request, task=row_id(press.argument) or None))


@route(verbs.CARE_BACK)
async def back(desk: Desk, request: Request, _: Press) -> Reply:
    """*I am back* on an absence."""
    return back_card(await come_back(desk, request))


@route(verbs.CARE_TODAY, replaces=True)
async def today(desk: Desk, request: Request, press: Press) -> Reply:
    """A page of the day."""
    return today_card(await care_today(desk, request), row_id(press.argument))


@route(verbs.CARE_TODAY_DONE, replaces=True)
async def today_done(desk: Desk, request: Request, press: Press) -> Reply:
    """*Done* for one thing of the day, or *All done*."""
    which, _, page = press.argument.partition(".")
    done = await done_today(desk, request, occurrence=None if which == _ALL else row_id(which))
    return today_card(done, row_id(page), done.event)


@route(verbs.CARE_TODAY_UNDO, replaces=True)
async def today_undone(desk: Desk, request: Request, press: Press) -> Reply:
    """*Undo* of it."""
    return today_card(await undone_today(desk, request, seq=row_id(press.argument)))


@route(verbs.BIN_DAY)
async def day_of_bin(desk: Desk, request: Request, press: Press) -> Reply:
    """*Done today* on a bin's own message."""
    return done_in_bin_card(await done_in_bin(desk, request, bin_id=row_id(press.argument.partition(".")[0])))


@route(verbs.CARE_STARTER)
async def starters(desk: Desk, request: Request, press: Press) -> Reply:
    """*Set up care* on a bin that was just opened."""
    return offer_card(await offer_starters(desk, request, bin_text=press.argument))


@route(verbs.CARE_STARTER_ADD)
async def starters_added(desk: Desk, request: Request, press: Press) -> Reply:
    """*Set these*."""
    return started_card(await add_starters(desk, request, bin_text=press.argument))
