"""`/pair`: set up, what is seen of it, list and show."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import pairings as cards
from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.refusals_bins import SURE
from bot.chat.answer import answer, fill
from bot.chat.bins import bins_like, species_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.chat.traits import traits_like
from bot.chat.tree import complete
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.pairing_setup import HISTORIES, NewPairing, say_history, set_up
from bot.services.pairings import (
    choose_pairing,
    end_pairing,
    gravid_seen,
    list_pairings,
    pairing_code,
    show_pairing,
    taken_out,
    young_seen,
)
from bot.services.request import Request

pair_group = app_commands.Group(
    name="pair", description="Who is put together, before its result is known", guild_only=True
)


async def pairings_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Running pairings whose code or bin holds what is being typed, the person's own first."""

    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        found = await choose_pairing(desk, request, current)
        return [
            (f"{pairing_code(row.number)} in {row.bin_code} {row.bin_name or ''}".strip(), pairing_code(row.number))
            for row in found
        ]

    return await complete(interaction, work)


async def _set_up(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    new = NewPairing(
        dams=values.get("dams", ""),
        sires=values.get("sires", ""),
        dams_were=values.get("history", ""),
        question=values.get("question", ""),
        place=values.get("bin", ""),
        species=values.get("species", ""),
        day=values.get("day", ""),
        note=values.get("note", ""),
    )
    return cards.set_up_card(await set_up(desk, request, new, sure=bool(values.get(SURE))))


SET_UP = Sheet(
    kind="pair.setup",
    title="Set up a pairing",
    fields=(
        Field("dams", "Dams", "Like: 2 from B-3, or: 1 visual ember unmated from B-4", most=300),
        Field(
            "sires", "Sires", "Like: 1 from B-5; left out where dams had males, or have none", required=False, most=300
        ),
        Field("history", "The dams were", "isolated unmated, had males, or unknown", required=False),
        Field("question", "About which trait", "Its name, like ember", required=False),
        Field("day", "Day", "Today, unless you say another, like yesterday", required=False),
        Field("bin", "Bin", "A bin that is there; else one is opened", required=False),
        Field("species", "Species", "Only where nobody comes from a bin", required=False),
        Field("note", "Note", required=False, most=4000, long=True),
    ),
    work=_set_up,
)


@pair_group.command(
    name="setup", description="Put animals together, before the result is known (half-white or soft ones: wait 5 days)"
)
@app_commands.describe(
    dams="Like: 2 from B-3, or: 1 visual ember unmated from B-4, or: dams of P-2, or: find 3",
    sires="Like: 1 from B-5, or: 1 visual ember called Rust from B-4",
    history="Whether the dams were unmated before; only isolation before they were grown counts",
    question="The trait it is to tell about",
    bin_text="A bin that is there; else a bin of its own is opened",
    species="Only where nobody comes from a bin",
    day="Today, unless you say another, like yesterday or 3 May",
    note="Anything else",
)
@app_commands.rename(bin_text="bin")
@app_commands.choices(history=[app_commands.Choice(name=word, value=word) for word in HISTORIES])
@app_commands.autocomplete(bin_text=bins_like, species=species_like, question=traits_like)
async def setup_command(
    interaction: discord.Interaction[Mancabook],
    dams: app_commands.Range[str, 1, 300],
    sires: app_commands.Range[str, 1, 300] | None = None,
    history: str | None = None,
    question: app_commands.Range[str, 1, 100] | None = None,
    bin_text: app_commands.Range[str, 1, 100] | None = None,
    species: app_commands.Range[str, 1, 100] | None = None,
    day: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Answer with the pairing's code and bin."""
    await fill(
        interaction,
        SET_UP,
        dams=dams,
        sires=sires,
        history=history,
        question=question,
        bin=bin_text,
        species=species,
        day=day,
        note=note,
    )


_WHICH = Field("pairing", "Pairing", "Its code, like P-3")
_DAY = Field("day", "Day", "Today, unless you say another, like yesterday", required=False)


async def _gravid(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return cards.gravid_card(await gravid_seen(desk, request, values.get("pairing", ""), values.get("day", "")))


async def _young(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    view = await young_seen(
        desk,
        request,
        values.get("pairing", ""),
        day=values.get("day", ""),
        temperature=values.get("temperature", ""),
    )
    return cards.young_card(view)


async def _out(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return cards.out_card(await taken_out(desk, request, values.get("pairing", ""), values.get("day", "")))


async def _end(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    view = await end_pairing(
        desk, request, values.get("pairing", ""), reason=values.get("reason", ""), day=values.get("day", "")
    )
    return cards.ended_card(view)


GRAVID = Sheet(kind="pair.gravid", title="A filled pouch was seen", fields=(_WHICH, _DAY), work=_gravid)
YOUNG = Sheet(
    kind="pair.young",
    title="Young were seen",
    fields=(_WHICH, _DAY, Field("temperature", "Temperature", "Of the bin, like 22 C or 72 F", required=False)),
    work=_young,
)
OUT = Sheet(kind="pair.out", title="The breeders were taken out", fields=(_WHICH, _DAY), work=_out)
END = Sheet(
    kind="pair.end",
    title="End a pairing",
    fields=(_WHICH, Field("reason", "Why", "In your own words", required=False, most=300), _DAY),
    work=_end,
)


@pair_group.command(name="gravid", description="A dam was seen with a filled pouch")
@app_commands.describe(pairing="Its code, like P-3", day="Today, unless you say another, like yesterday or 3 May")
@app_commands.autocomplete(pairing=pairings_like)
async def gravid_command(
    interaction: discord.Interaction[Mancabook],
    pairing: app_commands.Range[str, 1, 100],
    day: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer with when young are to be looked for."""
    await fill(interaction, GRAVID, pairing=pairing, day=day)


@pair_group.command(name="young", description="Young were seen; the reply says by when to part them")
@app_commands.describe(
    pairing="Its code, like P-3",
    day="Today, unless you say another, like yesterday or 3 May",
    temperature="Of the bin, like 22 C or 72 F; 22 C unless you say another",
)
@app_commands.autocomplete(pairing=pairings_like)
async def young_command(
    interaction: discord.Interaction[Mancabook],
    pairing: app_commands.Range[str, 1, 100],
    day: app_commands.Range[str, 1, 60] | None = None,
    temperature: app_commands.Range[str, 1, 30] | None = None,
) -> None:
    """Answer with by when to part the young and to take the breeders out."""
    await fill(interaction, YOUNG, pairing=pairing, day=day, temperature=temperature)


@pair_group.command(name="out", description="The breeders were taken out; the young stay")
@app_commands.describe(pairing="Its code, like P-3", day="Today, unless you say another, like yesterday or 3 May")
@app_commands.autocomplete(pairing=pairings_like)
async def out_command(
    interaction: discord.Interaction[Mancabook],
    pairing: app_commands.Range[str, 1, 100],
    day: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer that what is in the bin now is their young."""
    await fill(interaction, OUT, pairing=pairing, day=day)


@pair_group.command(name="end", description="A pairing is over; what it has shown stays")
@app_commands.describe(
    pairing="Its code, like P-3", reason="Why, in your own words", day="Today, unless you say another"
)
@app_commands.autocomplete(pairing=pairings_like)
async def end_command(
    interaction: discord.Interaction[Mancabook],
    pairing: app_commands.Range[str, 1, 100],
    reason: app_commands.Range[str, 1, 300] | None = None,
    day: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer that it is over."""
    await fill(interaction, END, pairing=pairing, reason=reason, day=day)


@pair_group.command(name="show", description="What the book says of a pairing")
@app_commands.describe(pairing="Its code, like P-3")
@app_commands.autocomplete(pairing=pairings_like)
async def show_command(interaction: discord.Interaction[Mancabook], pairing: app_commands.Range[str, 1, 100]) -> None:
    """Answer with who is in it and what was seen."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.pairing_card(await show_pairing(desk, request, pairing))

    await answer(interaction, work)


@pair_group.command(name="list", description="The pairings that run, the newest first")
async def list_command(interaction: discord.Interaction[Mancabook]) -> None:
    """Answer with a line for each."""

    async def work(desk: Desk, request: Request) -> Card:
        return cards.list_card(await list_pairings(desk, request), 0)

    await answer(interaction, work)


@route(verbs.PAIR_SHOW)
async def show(desk: Desk, request: Request, press: Press) -> Reply:
    """*Show pairing*, and the further pages of it."""
    return cards.pairing_card(await show_pairing(desk, request, press.argument))


@route(verbs.PAIR_LIST, replaces=True)
async def listed(desk: Desk, request: Request, press: Press) -> Reply:
    """*Earlier* and *Later* under a list of pairings."""
    return cards.list_card(await list_pairings(desk, request), row_id(press.argument))


@route(verbs.PAIR_GRAVID)
async def gravid(desk: Desk, request: Request, press: Press) -> Reply:
    """*Pouch filled*: today."""
    return await _gravid(desk, request, {"pairing": press.argument})


@route(verbs.PAIR_YOUNG)
async def young(desk: Desk, request: Request, press: Press) -> Reply:
    """*Young seen*: today, at the bin's temperature; how many they are is asked in the evening."""
    return cards.young_card(await young_seen(desk, request, press.argument, ask_rest=True))


@route(verbs.PAIR_OUT)
async def out(desk: Desk, request: Request, press: Press) -> Reply:
    """*Breeders out*: today."""
    return await _out(desk, request, {"pairing": press.argument})


@route(verbs.PAIR_HISTORY)
async def history(desk: Desk, request: Request, press: Press) -> Reply:
    """What the dams were before, where the setting up did not say."""
    code, _, said = press.argument.partition(".")
    return cards.history_card(await say_history(desk, request, code, said))
