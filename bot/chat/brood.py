"""`/brood`: log one, score it again, keep young back, list and show."""

import dataclasses
from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import bins as bin_cards
from bot.cards import broods as cards
from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.refusals_bins import SURE
from bot.chat.answer import answer, fill
from bot.chat.client import Mancabook
from bot.chat.meanwhile import meanwhile
from bot.chat.pair import pairings_like
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import TYPED, Sheet
from bot.chat.tree import complete
from bot.services.brood_text import NewBrood
from bot.services.broods import (
    REASONS,
    BroodView,
    choose_brood,
    code_of_brood,
    list_broods,
    log_brood,
    origin_code,
    score_again,
    show_brood,
)
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.holdbacks import keep_back
from bot.services.request import Request
from bot.services.verdict_moves import asked_about, moves_of

brood_group = app_commands.Group(name="brood", description="Young that were seen, and how they look", guild_only=True)


async def broods_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Broods whose code holds what is being typed, the newest first."""

    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        return [(code, code) for code in await choose_brood(desk, request, current)]

    return await complete(interaction, work)


async def _log(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    known = {field.name for field in dataclasses.fields(NewBrood)}
    new = NewBrood(**{"of": "", **{key: value for key, value in values.items() if key in known}})
    return await _moved(desk, request, await log_brood(desk, request, new))


async def _moved(desk: Desk, request: Request, view: BroodView) -> Card:
    """The reply to a brood that stands in the book, with the verdicts that it moves once they are there."""
    if asked_about(view):
        meanwhile(cards.logged_card(view, weighing=True))
    return cards.logged_card(view, await moves_of(desk, request, view))


LOG = Sheet(
    kind="brood.log",
    title="Log a brood",
    fields=(
        Field("of", "Of which pairing or bin", "Its code, like P-3, or B-4 where young were found"),
        Field("scored", "What they look like", "Like: 6 ember 17 wild, 9 weeks, 3 unsure", required=False, most=500),
        Field("born", "How many were born", "A number, or about 30", required=False),
        Field("day", "Day they were seen", "Today, unless you say another, like 3 May", required=False),
        Field("mothers", "How many mothers it may be of", "A number", required=False),
        Field("why", "Why it is in the book", "planned before, or found by chance", required=False),
        Field("note", "Note", required=False, most=4000, long=True),
        Field("dead", "How many are dead", "A number", required=False),
        Field("unsure", "How many you are not sure of", "A number", required=False),
        Field("unscored", "How many were not scored", "A number", required=False),
        Field("age", "Age when scored", "Like 9 weeks", required=False),
        Field("size", "Length when scored", "Like 6 mm", required=False),
    ),
    work=_log,
)


async def _score(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    view = await score_again(
        desk, request, values.get("brood", ""), values.get("scored", ""), first=values.get(TYPED, "")
    )
    return await _moved(desk, request, view)


SCORE = Sheet(
    kind="brood.score",
    title="Score a brood",
    fields=(
        Field("brood", "Brood", "Its code, like P-3.1"),
        Field("scored", "What they look like", "Like: 6 ember 17 wild, 9 weeks, 3 unsure", most=500),
    ),
    work=_score,
)


async def _keep(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    view = await keep_back(
        desk,
        request,
        brood_text=values.get("brood", ""),
        keep_text=values.get("keep", ""),
        name=values.get("name", ""),
        sure=bool(values.get(SURE)),
    )
    return bin_cards.opened_card(view)


KEEP = Sheet(
    kind="brood.keep",
    title="Keep young back",
    fields=(
        Field("brood", "Brood", "Its code, like P-3.1"),
        Field("keep", "Which", "Like: 4 ember, or: 4 ember females, 6 wild", most=500),
        Field("name", "Name of their bin", "What you call it, like: ember F1", required=False, most=60),
    ),
    work=_keep,
)


@brood_group.command(name="log", description="Log young that were seen, scored already or not")
@app_commands.describe(
    of="The pairing, like P-3; or a bin where young were found, like B-4",
    scored="How many look how, like: 6 ember 17 wild, 9 weeks, 3 unsure",
    born="How many were born: a number, or about 30",
    mothers="How many females it may be of, where that is not known",
    why="Whether it was planned before it was seen",
    day="The day they were seen: today, unless you say another",
    note="Anything else",
    dead="How many are dead",
    unsure="How many you looked at and are not sure of",
    unscored="How many are alive and were not looked at",
    age="How old they were when they were scored, like 9 weeks",
    size="How long they were when they were scored, like 6 mm",
)
@app_commands.choices(why=[app_commands.Choice(name=word, value=word) for word in REASONS])
@app_commands.autocomplete(of=pairings_like)
async def log_command(
    interaction: discord.Interaction[Mancabook],
    of: app_commands.Range[str, 1, 100],
    scored: app_commands.Range[str, 1, 500] | None = None,
    born: app_commands.Range[str, 1, 60] | None = None,
    mothers: app_commands.Range[str, 1, 30] | None = None,
    why: str | None = None,
    day: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
    dead: app_commands.Range[str, 1, 30] | None = None,
    unsure: app_commands.Range[str, 1, 30] | None = None,
    unscored: app_commands.Range[str, 1, 30] | None = None,
    age: app_commands.Range[str, 1, 30] | None = None,
    size: app_commands.Range[str, 1, 30] | None = None,
) -> None:
    """Answer with what the counts fit; without any a form asks for them."""
    counts = {"scored": scored, "born": born, "dead": dead, "unsure": unsure, "unscored": unscored}
    if not any(counts.values()):
        await answer(interaction, lambda desk, request: _log_form(desk, request, of))
    else:
        beside = {"mothers": mothers, "why": why, "day": day, "note": note, "age": age, "size": size}
        await fill(interaction, LOG, of=of, **counts, **beside)


async def _log_form(desk: Desk, request: Request, of: str) -> Reply:
    return LOG.form({"of": await origin_code(desk, request, of)})


@brood_group.command(name="score", description="Score a brood, or score it again; earlier looks stay in the book")
@app_commands.describe(
    brood="Its code, like P-3.1", scored="How many look how, like: 6 ember 17 wild, 9 weeks, 3 unsure"
)
@app_commands.autocomplete(brood=broods_like)
async def score_command(
    interaction: discord.Interaction[Mancabook],
    brood: app_commands.Range[str, 1, 100],
    scored: app_commands.Range[str, 1, 500],
) -> None:
    """Answer with what the counts fit now."""
    await fill(interaction, SCORE, brood=brood, scored=scored)


@brood_group.command(name="keep", description="Keep young back: they get a bin that knows its parents")
@app_commands.describe(
    brood="Its code, like P-3.1", keep="Which, like: 4 ember, 6 wild", name="What you call their bin, like: ember F1"
)
@app_commands.autocomplete(brood=broods_like)
async def keep_command(
    interaction: discord.Interaction[Mancabook],
    brood: app_commands.Range[str, 1, 100],
    keep: app_commands.Range[str, 1, 500],
    name: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer with the new bin."""
    await fill(interaction, KEEP, brood=brood, keep=keep, name=name)


@brood_group.command(name="show", description="What the book says of a brood")
@app_commands.describe(brood="Its code, like P-3.1")
@app_commands.autocomplete(brood=broods_like)
async def show_command(interaction: discord.Interaction[Mancabook], brood: app_commands.Range[str, 1, 100]) -> None:
    """Answer with every look at it."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.brood_card(await show_brood(desk, request, brood))

    await answer(interaction, work)


@brood_group.command(name="list", description="Broods, the newest first")
@app_commands.describe(of="Only those of this pairing or bin")
@app_commands.autocomplete(of=pairings_like)
async def list_command(
    interaction: discord.Interaction[Mancabook], of: app_commands.Range[str, 1, 40] | None = None
) -> None:
    """Answer with a line for each."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.list_card(await list_broods(desk, request, of or ""), of or "")

    await answer(interaction, work)


@route(verbs.BROOD_SHOW)
async def show(desk: Desk, request: Request, press: Press) -> Reply:
    """*Show brood*, and the further pages of it."""
    return cards.brood_card(await show_brood(desk, request, press.argument))


@route(verbs.BROOD_LIST, replaces=True)
async def listed(desk: Desk, request: Request, press: Press) -> Reply:
    """*Earlier* and *Later* under a list of broods."""
    of, _, page = press.argument.rpartition("/")
    return cards.list_card(await list_broods(desk, request, of, row_id(page)), of)


@route(verbs.BROOD_FORM)
async def form(desk: Desk, request: Request, press: Press) -> Reply:
    """*Log brood* on a pairing: the form with the pairing filled in."""
    return await _log_form(desk, request, press.argument)


@route(verbs.BROOD_SCORE)
async def score(desk: Desk, request: Request, press: Press) -> Reply:
    """*Score* and *Score again* on a brood: the form with the brood filled in."""
    return SCORE.form({"brood": await code_of_brood(desk, request, press.argument)})


@route(verbs.BROOD_KEEP)
async def keep(desk: Desk, request: Request, press: Press) -> Reply:
    """*Keep back* on a brood: the form with the brood filled in."""
    return KEEP.form({"brood": await code_of_brood(desk, request, press.argument)})
