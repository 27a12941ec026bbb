"""`/trait distance`: how far two traits lie apart."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards.card import Card, Field
from bot.cards.linkage import distance_card
from bot.chat.answer import fill
from bot.chat.client import Mancabook
from bot.chat.sheets import Sheet
from bot.chat.traits import trait_group
from bot.services.desk import Desk
from bot.services.linkage import APART, TOGETHER, Family, distance_of
from bot.services.request import Request

_PHASES = [
    app_commands.Choice(name="both traits came from one parent of the double het", value=TOGETHER),
    app_commands.Choice(name="one trait came from each parent of the double het", value=APART),
]


async def _distance(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    families = [
        Family(values.get(f"{at}cross", ""), values.get(f"{at}observed", ""), values.get(f"{at}phase", ""))
        for at in ("", "second-")
        if not at or values.get("second-cross", "").strip()
    ]
    return distance_card(await distance_of(desk, request, families))


DISTANCE = Sheet(
    kind="trait.distance",
    title="How far two traits lie apart",
    fields=(
        Field("cross", "Cross", "Double hets: het ember, het ink x het ember, het ink", most=400),
        Field("observed", "Young you scored", "Like: 66 wild, 9 ember, 8 ink, 17 both", most=300),
        Field("phase", "How they came in", "together (from one parent) or apart", required=False, most=20),
        Field("second-cross", "Another cross", "Of the same two traits", required=False, most=400),
        Field("second-observed", "Its young", required=False, most=300),
        Field("second-phase", "How they came in there", "together or apart", required=False, most=20),
    ),
    work=_distance,
)


@trait_group.command(name="distance", description="How far two traits lie apart, from the young of double hets")
@app_commands.describe(
    cross="A double het with another, or with one that shows both: het ember, het ink x het ember, het ink",
    observed="Its young, like: 66 wild, 9 ember, 8 ink, 17 both",
    phase="How the traits came into the double het, if you know",
    second_cross="Another cross of the same two traits, taken together with the first",
    second_observed="The young of that one",
    second_phase="How the traits came in there",
)
@app_commands.rename(second_cross="second-cross", second_observed="second-observed", second_phase="second-phase")
@app_commands.choices(phase=_PHASES, second_phase=_PHASES)
async def distance_command(
    interaction: discord.Interaction[Mancabook],
    cross: app_commands.Range[str, 1, 400],
    observed: app_commands.Range[str, 1, 300],
    phase: str | None = None,
    second_cross: app_commands.Range[str, 1, 400] | None = None,
    second_observed: app_commands.Range[str, 1, 300] | None = None,
    second_phase: str | None = None,
) -> None:
    """Answer with whether they are linked, and how closely."""
    await fill(
        interaction,
        DISTANCE,
        cross=cross,
        observed=observed,
        phase=phase,
        **{"second-cross": second_cross, "second-observed": second_observed, "second-phase": second_phase},
    )
