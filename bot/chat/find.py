"""`/find`: log an odd animal, show one, list them."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import finds as cards
from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.chat.answer import answer, fill
from bot.chat.bins import bins_like
from bot.chat.client import Mancabook
from bot.chat.pair import SET_UP
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.traits import traits_like
from bot.chat.tree import complete
from bot.records import Sex
from bot.services import drafts
from bot.services.desk import Desk
from bot.services.find_lists import choose_find, list_again, list_finds
from bot.services.find_traits import ANOTHER, SAME
from bot.services.finding import row_id
from bot.services.finds import NewFind, log_find, no_pings, sheen_seen, show_find
from bot.services.request import Request

find_group = app_commands.Group(name="find", description="Odd animals that turned up", guild_only=True)
_SURE = [app_commands.Choice(name=word, value=word) for word in ("yes", "no", "not sure")]


async def finds_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Finds whose number, bin or trait holds what is being typed, the newest first."""

    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        found = await choose_find(desk, request, current)
        return [(f"{row.number} {row.trait_name} in {row.bin_code}", str(row.number)) for row in found]

    return await complete(interaction, work)


async def _log(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    new = NewFind(
        place=values.get("bin", ""),
        trait=values.get("trait", ""),
        animal=values.get("animal", ""),
        sheen=values.get("sheen", ""),
        slow=values.get("slow", ""),
        day=values.get("day", ""),
        note=values.get("note", ""),
        same=values.get("same", ""),
        photo=values.get("photo", ""),
    )
    return cards.logged_card(await log_find(desk, request, new))


LOG = Sheet(
    kind="find.log",
    title="Log an odd animal",
    fields=(
        Field("bin", "Bin", "Where it was found, like B-4"),
        Field("trait", "What you call it", "A name for what is odd, like ember; it can be new"),
        Field(
            "animal",
            "The animal",
            "Like: female, adult, 9 mm, pouch filled, moulted yesterday, 1 of 40",
            most=500,
            required=False,
        ),
        Field("sheen", "A blue-violet sheen?", "yes, no, or not sure", required=False),
        Field("note", "Note", required=False, most=4000, long=True),
        Field("slow", "Is it slow or limp?", "yes, no, or not sure", required=False),
        Field("day", "Day", "Today, unless you say another, like yesterday", required=False),
        Field("same", "If the name is known", "same, or another that looks like it", required=False),
    ),
    work=_log,
)


@find_group.command(name="log", description="Log an odd animal: the reply says what to do first")
@app_commands.describe(
    bin_text="Where it was found; left out, a form asks for everything",
    trait="What you call what is odd about it: a trait in the book, or a new name",
    animal="Like: female, adult, 9 mm, pouch filled, moulted yesterday, 1 of 40",
    sheen="Whether it has an iridescent blue-violet sheen: that can be a disease",
    slow="Whether it is slow or limp",
    day="Today, unless you say another, like yesterday or 3 May",
    same="If a trait has that name: whether this is the same, or another that looks like it",
    note="Anything else",
    photo="A photo of it",
)
@app_commands.rename(bin_text="bin")
@app_commands.choices(
    sheen=_SURE, slow=_SURE, same=[app_commands.Choice(name=word, value=word) for word in (SAME, ANOTHER)]
)
@app_commands.autocomplete(bin_text=bins_like, trait=traits_like)
async def log_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100] | None = None,
    trait: app_commands.Range[str, 1, 100] | None = None,
    animal: app_commands.Range[str, 1, 500] | None = None,
    sheen: str | None = None,
    slow: str | None = None,
    day: app_commands.Range[str, 1, 60] | None = None,
    same: str | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
    photo: discord.Attachment | None = None,
) -> None:
    """Answer with the first steps; while the bin or the name is missing, with a form in which the rest stands."""
    values = {
        "bin": bin_text,
        "trait": trait,
        "animal": animal,
        "sheen": sheen,
        "slow": slow,
        "day": day,
        "same": same,
        "note": note,
        "photo": photo.url if photo is not None else None,
    }
    typed = {key: value for key, value in values.items() if value}
    if bin_text is None or trait is None:
        await answer(interaction, lambda desk, request: _form(desk, request, typed))
    else:
        await fill(interaction, LOG, **values)


async def _form(desk: Desk, request: Request, typed: Mapping[str, str]) -> Reply:
    # What the form has no room for, and a photo, stand in a draft.
    draft = await drafts.keep(desk, request, LOG.kind, typed) if typed else None
    return LOG.form(typed, draft)


@find_group.command(name="show", description="What the book says of an odd animal, and what to do with it")
@app_commands.describe(find="Its number, like 3")
@app_commands.autocomplete(find=finds_like)
async def show_command(interaction: discord.Interaction[Mancabook], find: app_commands.Range[str, 1, 40]) -> None:
    """Answer with all of it."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.find_card(await show_find(desk, request, find))

    await answer(interaction, work)


@find_group.command(name="list", description="Odd animals whose trait is still open, the newest first")
@app_commands.describe(bin_text="Only those of this bin", trait="Only those that show this trait")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like, trait=traits_like)
async def list_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100] | None = None,
    trait: app_commands.Range[str, 1, 100] | None = None,
) -> None:
    """Answer with a line for each."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.list_card(await list_finds(desk, request, place=bin_text or "", trait=trait or ""), 0)

    await answer(interaction, work)


@route(verbs.FIND_SHOW)
async def show(desk: Desk, request: Request, press: Press) -> Reply:
    """*More* under a find, and the further pages of it."""
    return cards.find_card(await show_find(desk, request, press.argument))


@route(verbs.FIND_LIST, replaces=True)
async def listed(desk: Desk, request: Request, press: Press) -> Reply:
    """*Earlier*, *Later* and *All finds* under a list of finds."""
    place, trait, every, page, *_ = (*press.argument.split("/"), "", "", "", "")
    found = await list_again(desk, request, row_id(place), row_id(trait), every == "1")
    return cards.list_card(found, row_id(page))


@route(verbs.FIND_SHEEN)
async def sheen(desk: Desk, request: Request, press: Press) -> Reply:
    """*It has a blue sheen*."""
    return cards.sheen_card(await sheen_seen(desk, request, press.argument))


@route(verbs.FIND_QUIET)
async def quiet(desk: Desk, request: Request, press: Press) -> Reply:
    """*No pings*."""
    return cards.quiet_card(await no_pings(desk, request, press.argument))


@route(verbs.FIND_PAIR)
async def pair(desk: Desk, request: Request, press: Press) -> Reply:
    """*Pair* under a find: the form of a pairing with the animal standing in it."""
    row = (await show_find(desk, request, press.argument)).row
    side = "sires" if row.sex is Sex.MALE else "dams"
    return SET_UP.form({side: f"find {row.number}", "question": row.trait_name})
