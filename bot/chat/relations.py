"""`/trait`: link, series, combine and part: what traits are to each other."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards.card import Card, Field
from bot.cards.relations import parted_card, tied_card
from bot.chat.answer import answer, fill
from bot.chat.client import Mancabook
from bot.chat.sheets import Sheet
from bot.chat.traits import trait_group
from bot.chat.tree import complete
from bot.services.desk import Desk
from bot.services.relations import choose_relation, combine_traits, link_traits, part_traits, series_of
from bot.services.request import Request
from bot.services.traits import choose_traits
from genetics import Interaction

_WAYS = {
    Interaction.RECESSIVE_EPISTASIS: "9:3:4, two recessive copies of the first hide the second: neither, second, first",
    Interaction.COMPLEMENTARY: "9:7, both must be whole: both whole, any other",
    Interaction.DUPLICATE: "15:1, either suffices: either whole, neither",
    Interaction.DOMINANT_EPISTASIS: "12:3:1, a dominant first hides the second: first, second alone, neither",
    Interaction.SUPPRESSION: "13:3, a dominant first suppresses the second: any other, second alone",
    Interaction.ADDITIVE_DUPLICATE: "9:6:1, each adds: both, one, neither",
}


async def _several(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        return [(text, text) for text in await choose_traits(desk, request, current)]

    return await complete(interaction, work)


async def _relations(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    async def work(desk: Desk, request: Request) -> tuple[tuple[str, str], ...]:
        return await choose_relation(desk, request, current)

    return await complete(interaction, work)


async def _link(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return tied_card(
        await link_traits(
            desk,
            request,
            traits=values.get("traits", ""),
            distance=values.get("distance", ""),
            sires=values.get("sires", ""),
        )
    )


async def _series(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return tied_card(await series_of(desk, request, order=values.get("order", ""), name=values.get("name", "")))


async def _combine(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return tied_card(
        await combine_traits(
            desk,
            request,
            name=values.get("name", ""),
            traits=values.get("traits", ""),
            looks=values.get("looks", ""),
            way=values.get("way", ""),
            table=values.get("table", ""),
        )
    )


LINK = Sheet(
    kind="trait.link",
    title="Link traits",
    fields=(
        Field("traits", "Traits", "In the order of the map, like: ember, ink", most=300),
        Field("distance", "Distance", "Between neighbours: 10 %, or 12 cM, or 12 cM Kosambi"),
        Field("sires", "Distance in sires", "Only if it differs; 0 % if they do not recombine", required=False),
    ),
    work=_link,
)
SERIES = Sheet(
    kind="trait.series",
    title="Alleles of one locus",
    fields=(
        Field("order", "Order", "The first shows over all after it, like: ember > wild > pale", most=300),
        Field("name", "Name", "What the locus is called", required=False),
    ),
    work=_series,
)
COMBINE = Sheet(
    kind="trait.combine",
    title="A look made together",
    fields=(
        Field("name", "Name", "What is told apart, like: coat"),
        Field("traits", "Traits", "Two, in the order of the way: like pale, brown", most=300),
        Field("way", "Way", "9:3:4, 9:7, 15:1, 12:3:1, 13:3 or 9:6:1", required=False),
        Field("looks", "Looks", "In the order of the way, like: grey, brown, pale", required=False, most=300),
        Field(
            "table",
            "Table",
            "Like: visual ember, visual frost = ghost; else = grey",
            required=False,
            most=1000,
            long=True,
        ),
    ),
    work=_combine,
)


@trait_group.command(name="link", description="Record that traits lie on one chromosome, and how far apart")
@app_commands.describe(
    traits="In the order of the map, like: ember, ink",
    distance="Between neighbours: 10 % recombination, or 12 cM, or 12 cM Kosambi",
    sires="Only if it differs in sires; 0 % if they do not recombine",
)
@app_commands.autocomplete(traits=_several)
async def link_command(
    interaction: discord.Interaction[Mancabook],
    traits: app_commands.Range[str, 1, 300],
    distance: app_commands.Range[str, 1, 100],
    sires: app_commands.Range[str, 1, 100] | None = None,
) -> None:
    """Answer with the linkage as it stands in the book."""
    await fill(interaction, LINK, traits=traits, distance=distance, sires=sires)


@trait_group.command(
    name="series", description="Record that traits are alleles of one locus, and which shows over which"
)
@app_commands.describe(
    order="The first shows over all after it, like: ember > wild > pale",
    name="What the locus is called; left out, I join the names",
)
@app_commands.autocomplete(order=_several)
async def series_command(
    interaction: discord.Interaction[Mancabook],
    order: app_commands.Range[str, 1, 300],
    name: app_commands.Range[str, 1, 100] | None = None,
) -> None:
    """Answer with the series as it stands in the book."""
    await fill(interaction, SERIES, order=order, name=name)


@trait_group.command(name="combine", description="Record that traits make one look together")
@app_commands.describe(
    name="What is told apart, like: coat",
    traits="In the order of the way, like: pale, brown",
    way="How two act together, with its looks in order; or leave it out and type a table",
    looks="The names of the looks, in the order of the way, like: grey, brown, pale",
    table="A line for each look, like: visual ember, visual frost = ghost; else = grey",
)
@app_commands.choices(way=[app_commands.Choice(name=text, value=kind.value) for kind, text in _WAYS.items()])
@app_commands.autocomplete(traits=_several)
async def combine_command(
    interaction: discord.Interaction[Mancabook],
    name: app_commands.Range[str, 1, 100],
    traits: app_commands.Range[str, 1, 300],
    way: str | None = None,
    looks: app_commands.Range[str, 1, 300] | None = None,
    table: app_commands.Range[str, 1, 1000] | None = None,
) -> None:
    """Answer with the look as it stands in the book."""
    await fill(interaction, COMBINE, name=name, traits=traits, way=way, looks=looks, table=table)


@trait_group.command(
    name="part", description="Traits are not linked, alleles of one locus, or makers of a look any more"
)
@app_commands.describe(relation="The traits that belong together; pick one of those offered")
@app_commands.autocomplete(relation=_relations)
async def part_command(interaction: discord.Interaction[Mancabook], relation: app_commands.Range[str, 1, 300]) -> None:
    """Answer with what was parted."""

    async def work(desk: Desk, request: Request) -> Card:
        return parted_card(await part_traits(desk, request, relation=relation))

    await answer(interaction, work)
