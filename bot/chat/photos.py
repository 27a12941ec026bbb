"""`/photo`: file, list and show; and *File this photo* in the menu of a message."""

from collections.abc import Mapping
from datetime import datetime

import discord
from discord import app_commands

from bot.cards import photos as cards
from bot.cards import verbs
from bot.cards.card import Card, Field, Form
from bot.chat.answer import answer, fill
from bot.chat.client import Mancabook
from bot.chat.files import pictures_of
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.traits import traits_like
from bot.chat.tree import complete
from bot.services import drafts
from bot.services.desk import Desk
from bot.services.photographed import choose_photographed, filing
from bot.services.photos import describe_photo, file_photo, photo_page, photos_standing, remove_photo, show_photo
from bot.services.refusals_photos import NoPhotoThere
from bot.services.request import Request

photo_group = app_commands.Group(name="photo", description="Photos in the colony book", guild_only=True)
_FROM = "photo"
"""Where a draft keeps the address of the picture; of several in one message `photo.0`, `photo.1` and so on."""
_OF = Field("of", "What it shows", "A bin's code, a find or a trait, like: B-3, find 2, ember", required=False)
_SHOWS = Field("shows", "What can be seen", "In words, for those who can't see it", required=False, most=500, long=True)
_TRAIT = Field("trait", "Kept for the trait", "If it shows one, like: ember", required=False)
_DAY = Field("day", "Taken on", "Like: today, yesterday or 3 May", required=False)


async def _photographed_like(
    interaction: discord.Interaction[Mancabook], current: str
) -> list[app_commands.Choice[str]]:
    async def work(desk: Desk, request: Request) -> tuple[tuple[str, str], ...]:
        return await choose_photographed(desk, request, current)

    return await complete(interaction, work)


async def _file(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    which = values.get("which") or "0"
    return cards.filed_card(
        await file_photo(
            desk,
            request,
            address=values.get(_FROM) or values.get(f"{_FROM}.{which}", ""),
            of=values.get("of", "").strip() or values.get("recent", ""),
            trait=values.get("trait", ""),
            day=values.get("day", ""),
            shows=values.get("shows", ""),
        )
    )


FILE = Sheet(kind="photo.file", title="File a photo", fields=(_OF, _DAY, _SHOWS, _TRAIT), work=_file)


async def _describe(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return cards.photo_card(await describe_photo(desk, request, values.get("number", ""), values.get("shows", "")))


DESCRIBE = Sheet(
    kind="photo.describe",
    title="What can be seen on it",
    fields=(
        Field("number", "Photo", "Its number, like: 12", most=20),
        Field("shows", "What can be seen", "In words, for those who can't see it", most=500, long=True),
    ),
    work=_describe,
)


@photo_group.command(
    name="file", description="File a photo under a bin, a find or a trait; it stays when the message goes"
)
@app_commands.describe(
    photo="The picture",
    of="What it shows: a bin's code, a find or a trait",
    shows="What can be seen on it, in words, for those who can't see it",
    day="When it was taken, like: yesterday; left out, today",
    trait="A trait that it shows, so that it can go into its guide",
)
@app_commands.autocomplete(of=_photographed_like, trait=traits_like)
async def file_command(
    interaction: discord.Interaction[Mancabook],
    photo: discord.Attachment,
    of: app_commands.Range[str, 1, 100],
    shows: app_commands.Range[str, 1, 500] | None = None,
    day: app_commands.Range[str, 1, 40] | None = None,
    trait: app_commands.Range[str, 1, 100] | None = None,
) -> None:
    """Answer with the photo's number."""
    await fill(interaction, FILE, photo=photo.url, of=of, shows=shows, day=day, trait=trait)


@app_commands.context_menu(name="File this photo")
@app_commands.guild_only()
async def file_menu(interaction: discord.Interaction[Mancabook], message: discord.Message) -> None:
    """Ask what the picture of a message shows, when it was taken, and what can be seen on it."""
    found = pictures_of(message)

    async def work(desk: Desk, request: Request) -> Form:
        if not found:
            raise NoPhotoThere
        kept = {f"{_FROM}.{place}": each.url for place, each in enumerate(found)}
        names = [each.filename for each in found]
        return await _menu_form(desk, request, kept, names, message.created_at)

    await answer(interaction, work)


async def _menu_form(
    desk: Desk, request: Request, kept: Mapping[str, str], names: list[str], said_at: datetime
) -> Form:
    """The form for the pictures of a message: which, if there are several, and the bins worked on last to pick from."""
    offered = await filing(desk, request, said_at)
    draft = await drafts.keep(desk, request, FILE.kind, kept)
    form = FILE.form({"day": offered.day.isoformat()}, draft)
    fields = [field for field in form.fields if field.key != _TRAIT.key]
    if len(names) > 1:
        options = tuple((f"{place + 1}: {name}", str(place)) for place, name in enumerate(names))
        fields.insert(0, Field("which", "Which picture", required=True, value="0", options=options))
    if offered.bins:
        options = tuple((f"{b.code} {b.name}" if b.name else b.code, b.code) for b in offered.bins)
        fields.insert(
            0, Field("recent", "One of your bins", "Or type what it shows below", required=False, options=options)
        )
    return Form(form.title, form.verb, form.argument, tuple(fields))


@photo_group.command(name="list", description="The photos of a bin, a find or a trait, the newest first")
@app_commands.describe(of="A bin's code, a find or a trait, like: B-3, find 2 or ember")
@app_commands.autocomplete(of=_photographed_like)
async def list_command(interaction: discord.Interaction[Mancabook], of: app_commands.Range[str, 1, 100]) -> None:
    """Answer with a page of photos."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.page_card(await photo_page(desk, request, of))

    await answer(interaction, work)


@photo_group.command(name="show", description="One photo, with what can be seen on it")
@app_commands.describe(number="Its number, like: 12")
async def show_command(interaction: discord.Interaction[Mancabook], number: app_commands.Range[str, 1, 20]) -> None:
    """Answer with the photo."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.photo_card(await show_photo(desk, request, number))

    await answer(interaction, work)


@photo_group.command(name="describe", description="Say what can be seen on a photo, for those who can't see it")
@app_commands.describe(number="Its number, like: 12", shows="What can be seen, in words")
async def describe_command(
    interaction: discord.Interaction[Mancabook],
    number: app_commands.Range[str, 1, 20],
    shows: app_commands.Range[str, 1, 500],
) -> None:
    """Answer with the photo and its words."""
    await fill(interaction, DESCRIBE, number=number, shows=shows)


@route(verbs.PHOTO_LIST)
async def listed(desk: Desk, request: Request, press: Press) -> Reply:
    """*All photos*."""
    return cards.page_card(await photos_standing(desk, request, press.argument, 0))


@route(verbs.PHOTO_TURN, replaces=True)
async def turned(desk: Desk, request: Request, press: Press) -> Reply:
    """*Older* and *Newer*."""
    key, _, start = press.argument.partition("/")
    at = int(start) if start.isdecimal() and len(start) < 7 else 0
    return cards.page_card(await photos_standing(desk, request, key, at))


@route(verbs.PHOTO_SHOW)
async def shown(desk: Desk, request: Request, press: Press) -> Reply:
    """A photo of a page, by itself."""
    return cards.photo_card(await show_photo(desk, request, press.argument))


@route(verbs.PHOTO_DESCRIBE)
async def describe_form(desk: Desk, request: Request, press: Press) -> Reply:
    """*Describe*: a form with the words that stand there."""
    view = await show_photo(desk, request, press.argument)
    return DESCRIBE.form({"number": str(view.row.id), "shows": view.row.alternative or ""})


@route(verbs.PHOTO_REMOVE)
async def removed(desk: Desk, request: Request, press: Press) -> Reply:
    """*Remove*."""
    return cards.removed_card(await remove_photo(desk, request, press.argument))
