"""`/count log`: log one, by options or by a form, or correct one."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.bins import chart_card
from bot.cards.card import Card, Field, Form
from bot.cards.counts import logged_card
from bot.chat.answer import answer, fill
from bot.chat.bins import bins_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import TYPED, Sheet
from bot.services import drafts
from bot.services.bins import label_of, show_bin
from bot.services.counts import HOW, log_count, to_correct
from bot.services.desk import Desk
from bot.services.request import Request

count_group = app_commands.Group(name="count", description="How many animals live in a bin", guild_only=True)
_LIKE = "Like: 40 · about 3 dozen · 12 adults, 30 juveniles, mancae not counted · 80 in half the litter"
_CORRECTS = "corrects"


async def _log(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    logged = await log_count(
        desk,
        request,
        bin_text=values.get("bin", ""),
        count_text=values.get("count", ""),
        note=values.get("note", ""),
        how=values.get("how", ""),
        typed=values.get(TYPED, ""),
        corrects=values.get(_CORRECTS, ""),
    )
    return logged_card(logged)


LOG = Sheet(
    kind="count.log",
    title="Log a count",
    fields=(
        Field("bin", "Bin", "Its code, like B-3", most=100),
        Field("count", "How many", _LIKE, most=100),
        Field(
            "how",
            "How",
            "Looked, sorted a part, or sorted everything (half-white or soft ones: wait 5 days)",
            required=False,
        ),
        Field("note", "Note", required=False, most=4000, long=True),
    ),
    work=_log,
)


async def count_form(desk: Desk, request: Request, bin_text: str) -> Form:
    """The form of a count with the bin filled in, once the bin is known to be there."""
    return LOG.form({"bin": (await label_of(desk, request, bin_text)).code})


@count_group.command(name="log", description="Log how many animals are in a bin; without a number a form opens")
@app_commands.describe(
    bin_text="Its code, like B-3", count=_LIKE, how="How the bin was gone through", note="Anything else"
)
@app_commands.rename(bin_text="bin")
@app_commands.choices(how=[app_commands.Choice(name=words, value=words) for words in HOW])
@app_commands.autocomplete(bin_text=bins_like)
async def log_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    count: app_commands.Range[str, 1, 100] | None = None,
    how: str | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Log the count, or ask for it in a form."""
    if count is None:
        await answer(interaction, lambda desk, request: count_form(desk, request, bin_text))
    else:
        await fill(interaction, LOG, bin=bin_text, count=count, how=how, note=note)


@count_group.command(name="chart", description="How a bin's counts went, as a picture")
@app_commands.describe(bin_text="Its code, like B-3")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def chart_command(interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the finding and the chart."""

    async def work(desk: Desk, request: Request) -> Card:
        return chart_card(await show_bin(desk, request, bin_text))

    await answer(interaction, work)


@route(verbs.COUNT_CHART)
async def chart(desk: Desk, request: Request, press: Press) -> Reply:
    """*Chart* under a count."""
    return chart_card(await show_bin(desk, request, press.argument))


@route(verbs.COUNT_FORM)
async def form(desk: Desk, request: Request, press: Press) -> Reply:
    """*Log count* on a bin's reply."""
    return await count_form(desk, request, press.argument)


@route(verbs.COUNT_CORRECT)
async def correct(desk: Desk, request: Request, press: Press) -> Reply:
    """*Correct* under a count: the form with what was typed, which will stand in for it."""
    wanted = await to_correct(desk, request, press.argument)
    values = {
        "bin": wanted.label.code,
        "count": wanted.count.typed or str(wanted.count.total),
        "note": wanted.count.note or "",
    }
    draft = await drafts.keep(desk, request, LOG.kind, {**values, _CORRECTS: str(wanted.count.id)})
    return LOG.form(values, draft=draft)
