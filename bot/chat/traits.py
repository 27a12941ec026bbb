"""`/trait`: define, change, show and list."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.traits import list_card, trait_card
from bot.chat.answer import answer, fill
from bot.chat.bins import species_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.tree import complete
from bot.services import drafts
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.request import Request
from bot.services.trait_words import PLACES, SHOWN_IN, ModelText
from bot.services.traits import (
    change_trait,
    choose_trait,
    define_trait,
    list_traits,
    name_of,
    record_instead,
    show_trait,
)
from genetics import Dominance

trait_group = app_commands.Group(name="trait", description="The traits in the colony book", guild_only=True)
_SHOWS = {
    Dominance.RECESSIVE: "recessive: shows with two copies",
    Dominance.DOMINANT: "dominant: shows with one copy or two alike",
    Dominance.INCOMPLETE: "incompletely dominant: shows with one copy, more with two",
}
_PLACE_CHOICES = dict(
    zip(
        PLACES,
        (
            "ordinary chromosome (nearly all traits)",
            "X or Z: the sex chromosome that both sexes have (rare)",
            "Y or W: the sex chromosome that only one sex has",
            "mothers alone: passed on outside the chromosomes",
        ),
        strict=True,
    )
)
_SEX_CHOICES = dict(
    zip(
        SHOWN_IN,
        ("both sexes", "females only: males carry it unseen", "males only: females carry it unseen"),
        strict=True,
    )
)
_SURVIVAL = ("two copies lethal", "two copies 50 %", "one copy in males lethal", "no harm")
_SHOWS_CHOICES = [app_commands.Choice(name=text, value=dominance.value) for dominance, text in _SHOWS.items()]
_MORE_DESCRIBED = {
    "symbol": "Its gene symbol, one to four letters; left out, I choose",
    "species": "Only if it belongs to one species",
    "place": "On which chromosome it lies; who shows it is another question",
    "sex": "Which sex can show it; this is no matter of a sex chromosome",
    "penetrance": "How many of those that should show it do, like 70 %",
    "phenocopies": "How many of the others look so all the same, like 2 %",
    "week": "From which age in weeks it can be told, like 8",
    "survival": "If it harms: like two copies lethal, or one copy in males 50 %",
}
_MORE_CHOICES = {
    "place": [app_commands.Choice(name=text, value=value) for value, text in _PLACE_CHOICES.items()],
    "sex": [app_commands.Choice(name=text, value=value) for value, text in _SEX_CHOICES.items()],
}
_MORE_FIELDS = (
    Field("symbol", "Gene symbol", "One to four letters, like e; left empty, I choose", required=False, most=20),
    Field("species", "Species", "Only if it belongs to one", required=False),
    Field("place", "Where it lies", "ordinary chromosome, X or Z, Y or W, or mothers alone", required=False),
    Field("sex", "Who can show it", "both sexes, females only or males only", required=False),
    Field("penetrance", "How many show it", "Of those that should, like 70 %", required=False),
    Field("week", "Readable from week", "Like 8", required=False),
    Field("survival", "Survival", "If it harms, like two copies lethal", required=False),
    Field("phenocopies", "Look-alikes", "How many others look so all the same, like 2 %", required=False),
)


async def traits_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Traits whose name holds what is being typed."""

    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        return [(name, name) for name in await choose_trait(desk, request, current)]

    return await complete(interaction, work)


async def _survivals(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(_: Desk, __: Request) -> list[tuple[str, str]]:
        return [(text, text) for text in _SURVIVAL if current.casefold() in text]

    return await complete(interaction, work)


async def _define(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return trait_card(
        await define_trait(
            desk,
            request,
            name=values.get("name", ""),
            dominance=values.get("shows", ""),
            symbol=values.get("symbol", ""),
            species=values.get("species", ""),
            model=ModelText.of(values),
        )
    )


async def _change(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return trait_card(
        await change_trait(
            desk,
            request,
            name=values.get("name", ""),
            dominance=values.get("shows", ""),
            symbol=values.get("symbol", ""),
            species=values.get("species", ""),
            model=ModelText.of(values),
        )
    )


DEFINE = Sheet(
    kind="trait.define",
    title="Define a trait",
    fields=(
        Field("name", "Name", "What keepers call it, like: ember", most=100),
        Field("shows", "How it shows", "recessive, dominant or incompletely dominant"),
        *_MORE_FIELDS,
    ),
    work=_define,
)
CHANGE = Sheet(
    kind="trait.change",
    title="Change a trait",
    fields=(
        Field("name", "Name", "The trait that you mean", most=100),
        Field("shows", "How it shows", "Left empty, it stays as it is", required=False),
        *_MORE_FIELDS,
    ),
    work=_change,
)


@trait_group.command(name="define", description="Define a trait, so that it can be asked about and recorded")
@app_commands.describe(
    name="What keepers call it, like: ember",
    shows="How it shows; if you don't know yet, recessive is the commonest for one odd animal",
    **_MORE_DESCRIBED,
)
@app_commands.choices(shows=_SHOWS_CHOICES, **_MORE_CHOICES)
@app_commands.autocomplete(species=species_like, survival=_survivals)
async def define_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    shows: str,
    symbol: app_commands.Range[str, 1, 20] | None = None,
    species: app_commands.Range[str, 1, 100] | None = None,
    place: str | None = None,
    sex: str | None = None,
    penetrance: app_commands.Range[str, 1, 40] | None = None,
    week: app_commands.Range[str, 1, 40] | None = None,
    survival: app_commands.Range[str, 1, 100] | None = None,
    phenocopies: app_commands.Range[str, 1, 40] | None = None,
) -> None:
    """Answer with the trait as it stands in the book."""
    await fill(
        interaction,
        DEFINE,
        name=name,
        shows=shows,
        symbol=symbol,
        species=species,
        place=place,
        sex=sex,
        penetrance=penetrance,
        week=week,
        survival=survival,
        phenocopies=phenocopies,
    )


@trait_group.command(name="change", description="Change how a trait is inherited or shown; what you leave out stays")
@app_commands.describe(
    name="The trait that you mean",
    shows="How it shows",
    **_MORE_DESCRIBED
    | {"species": "The species it belongs to, or any", "symbol": "Its gene symbol, one to four letters"},
)
@app_commands.choices(shows=_SHOWS_CHOICES, **_MORE_CHOICES)
@app_commands.autocomplete(name=traits_like, species=species_like, survival=_survivals)
async def change_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    shows: str | None = None,
    symbol: app_commands.Range[str, 1, 20] | None = None,
    species: app_commands.Range[str, 1, 100] | None = None,
    place: str | None = None,
    sex: str | None = None,
    penetrance: app_commands.Range[str, 1, 40] | None = None,
    week: app_commands.Range[str, 1, 40] | None = None,
    survival: app_commands.Range[str, 1, 100] | None = None,
    phenocopies: app_commands.Range[str, 1, 40] | None = None,
) -> None:
    """Answer with the trait as it stands in the book now."""
    await fill(
        interaction,
        CHANGE,
        name=name,
        shows=shows,
        symbol=symbol,
        species=species,
        place=place,
        sex=sex,
        penetrance=penetrance,
        week=week,
        survival=survival,
        phenocopies=phenocopies,
    )


@trait_group.command(name="show", description="How a trait is inherited and shown, as the book has it")
@app_commands.describe(name="Its name, like: ember")
@app_commands.autocomplete(name=traits_like)
async def show_command(interaction: discord.Interaction[Mancabook], name: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the trait as it stands in the book."""

    async def work(desk: Desk, request: Request) -> Card:
        return trait_card(await show_trait(desk, request, name))

    await answer(interaction, work)


@trait_group.command(name="list", description="All traits in the book")
async def list_command(interaction: discord.Interaction[Mancabook]) -> None:
    """Answer with a line for each trait."""

    async def work(desk: Desk, request: Request) -> Card:
        return list_card(await list_traits(desk, request))

    await answer(interaction, work)


@route(verbs.TRAIT_LIST)
async def listed(desk: Desk, request: Request, _: Press) -> Reply:
    """The further pages of the list."""
    return list_card(await list_traits(desk, request))


@route(verbs.TRAIT_CHANGE)
async def change_form(desk: Desk, request: Request, press: Press) -> Reply:
    """*Change*: a form for the trait; *Change it instead*: the form with what had been typed to define it anew."""
    if press.argument.startswith("#"):
        kept = await drafts.take(desk, request, press.argument[1:])
        return CHANGE.form(kept.fields, draft=kept.id)
    name = await name_of(desk, request, row_id(press.argument.removeprefix("=")))
    return CHANGE.form({"name": name})


@route(verbs.TRAIT_INSTEAD)
async def instead(desk: Desk, request: Request, press: Press) -> Reply:
    """*It's on a sex chromosome*, *It's shown in females only*: the other of two that are easily confused."""
    trait, _, other = press.argument.partition("/")
    return trait_card(await record_instead(desk, request, row_id(trait), other))
