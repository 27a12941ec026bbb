"""`/trait guide`: show, add, remove, order and score; and the buttons with which photos are scored blind."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import guides as cards
from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.chat.answer import answer, fill
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.traits import trait_group, traits_like
from bot.discretion import say_private
from bot.services.blind import BlindStep, answer_photo, blind_result, blind_step, finish_set, open_set, open_set_of
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.guides import (
    CALLS,
    SEXES,
    STAGES,
    GuideWords,
    add_to_guide,
    order_guide,
    remove_from_guide,
    show_guide,
)
from bot.services.refusals import Outlived
from bot.services.request import Request

guide_group = app_commands.Group(name="guide", description="How a trait is scored", parent=trait_group)
_FROM = "picture"
_NAME = Field("name", "Trait", "The trait that you mean", most=100)


def _offered(known: Mapping[str, object]) -> list[app_commands.Choice[str]]:
    return [app_commands.Choice(name=each, value=each) for each in known]


async def _add(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    typed = GuideWords(
        **{key: values.get(key, "") for key in ("photo", "call", "extent", "stage", "sex", "moulted", "caption")},
        address=values.get(_FROM, ""),
    )
    return cards.guide_card(await add_to_guide(desk, request, values.get("name", ""), typed))


ADD = Sheet(
    kind="trait.guide.add",
    title="A photo for the guide",
    fields=(
        _NAME,
        Field("call", "How it is read", "shows it, does not, or doubtful"),
        Field("photo", "Photo", "Its number on file, like: 12", required=False, most=20),
        Field("caption", "Caption", "What to look at", required=False, most=200),
        Field("extent", "Extent", "From 0, none of it, to 5, all of it", required=False, most=10),
        Field("stage", "Age", "adult, young or manca", required=False, most=20),
        Field("sex", "Sex", "female or male", required=False, most=20),
        Field("moulted", "Fresh moult", "yes, if it moulted just before", required=False, most=10),
    ),
    work=_add,
)


@guide_group.command(name="show", description="How a trait is scored: its photos, and how far keepers agree")
@app_commands.describe(name="The trait that you mean")
@app_commands.autocomplete(name=traits_like)
async def show_command(interaction: discord.Interaction[Mancabook], name: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the guide that holds."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.guide_card(await show_guide(desk, request, name))

    await answer(interaction, work)


@guide_group.command(name="add", description="Add a photo to a trait's guide; it takes six")
@app_commands.describe(
    name="The trait that you mean",
    call="How the animal on it is read",
    photo="The number of a photo on file, like: 12",
    picture="Or a new picture",
    caption="What to look at",
    extent="How much of it: 0, none, to 5, all",
    stage="Its age, if that matters",
    sex="Its sex, if that matters",
    moulted="It moulted just before",
)
@app_commands.choices(call=_offered(CALLS), stage=_offered(STAGES), sex=_offered(SEXES), moulted=_offered({"yes": 1}))
@app_commands.autocomplete(name=traits_like)
async def add_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    call: str,
    photo: app_commands.Range[str, 1, 20] | None = None,
    picture: discord.Attachment | None = None,
    caption: app_commands.Range[str, 1, 200] | None = None,
    extent: app_commands.Range[str, 1, 10] | None = None,
    stage: str | None = None,
    sex: str | None = None,
    moulted: str | None = None,
) -> None:
    """Answer with the guide as it stands now."""
    await fill(
        interaction,
        ADD,
        name=name,
        call=call,
        photo=photo,
        picture=picture.url if picture is not None else None,
        caption=caption,
        extent=extent,
        stage=stage,
        sex=sex,
        moulted=moulted,
    )


@guide_group.command(name="remove", description="Take a photo out of a trait's guide; it stays on file")
@app_commands.describe(name="The trait that you mean", place="Its place in the guide, from 1 on")
@app_commands.autocomplete(name=traits_like)
async def remove_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    place: app_commands.Range[str, 1, 10],
) -> None:
    """Answer with the guide as it stands now."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.guide_card(await remove_from_guide(desk, request, name, place))

    await answer(interaction, work)


@guide_group.command(name="order", description="Put the photos of a trait's guide in another order")
@app_commands.describe(name="The trait that you mean", order="The places in their new order, like: 3 1 2")
@app_commands.autocomplete(name=traits_like)
async def order_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    order: app_commands.Range[str, 1, 40],
) -> None:
    """Answer with the guide as it stands now."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.guide_card(await order_guide(desk, request, name, order))

    await answer(interaction, work)


@guide_group.command(
    name="score", description="Ask keepers to score photos of a trait without seeing each other's answers"
)
@app_commands.describe(name="The trait that you mean", photos="Photos beside the guide's: their numbers, or all")
@app_commands.autocomplete(name=traits_like)
async def score_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    photos: app_commands.Range[str, 1, 200] | None = None,
) -> None:
    """Answer with the message that asks."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.opened_card(await open_set(desk, request, name, photos or ""))

    await answer(interaction, work)


@route(verbs.GUIDE_SCORE)
async def score_these(desk: Desk, request: Request, press: Press) -> Reply:
    """*Score these blind*."""
    return cards.opened_card(await open_set_of(desk, request, row_id(press.argument)))


@route(verbs.BLIND, replaces=True, private=True)
async def blind(desk: Desk, request: Request, press: Press) -> Reply:
    """*Score*, the three answers, a photo to go back to, *Finish* and *Results*: "12", "12/3/y", "12/3", "12/f", "12/r"."""
    # Each keeper sees their own photo: the message with which they are asked stays as it is.
    say_private()
    number, place, letter = (*press.argument.split("/"), "", "")[:3]
    of = row_id(number)
    if place == "f":
        done = await finish_set(desk, request, of)
        return cards.step_card(done) if isinstance(done, BlindStep) else cards.result_card(done)
    if place == "r":
        return cards.result_card(await blind_result(desk, request, of))
    if letter and letter not in cards.CALLS:
        raise Outlived("button")
    if letter:
        return cards.step_card(await answer_photo(desk, request, of, row_id(place), cards.CALLS[letter]))
    return cards.step_card(await blind_step(desk, request, of, row_id(place) if place else None))
