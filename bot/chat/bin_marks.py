"""`/bin hold`, `/bin quarantine`, `/bin look`, `/bin release` and `/bin stray`."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards import verbs
from bot.cards.bin_marks import accident_card, marked_card
from bot.cards.card import Card, Field
from bot.cards.refusals_marks import LOOKED, SURE
from bot.chat.answer import fill
from bot.chat.bins import bin_group, bins_like
from bot.chat.client import Mancabook
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.services.accidents import WHAT, log_accident
from bot.services.bin_marks import CAUSES, SAW, hold_bin, look_at_bin, quarantine_bin, release_bin
from bot.services.desk import Desk
from bot.services.request import Request

_BIN = Field("bin", "Bin", "Its code, like B-3", most=100)
_NOTE = Field("note", "Note", required=False, most=4000, long=True)
_WHEN = "If not today, like: yesterday, or 12 March"
_UNTIL = "A day or a number of days, like 12 May or 45; as its species card says if left out"


async def _hold(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return marked_card(
        await hold_bin(
            desk,
            request,
            bin_text=values.get("bin", ""),
            cause=values.get("reason", ""),
            note=values.get("note", ""),
        )
    )


HOLD = Sheet(
    kind="bin.hold",
    title="Put a bin on hold",
    fields=(_BIN, Field("reason", "Reason", "Blue or violet sheen, signs of disease, or another reason"), _NOTE),
    work=_hold,
)


@bin_group.command(name="hold", description="Put a bin on hold: its animals stay where they are")
@app_commands.describe(bin_text="Its code, like B-3", reason="Why", note="Anything else")
@app_commands.rename(bin_text="bin")
@app_commands.choices(reason=[app_commands.Choice(name=words, value=words) for words in CAUSES])
@app_commands.autocomplete(bin_text=bins_like)
async def hold_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    reason: str,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Answer with what that means."""
    await fill(interaction, HOLD, bin=bin_text, reason=reason, note=note)


async def _quarantine(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return marked_card(
        await quarantine_bin(
            desk,
            request,
            bin_text=values.get("bin", ""),
            until=values.get("until", ""),
            note=values.get("note", ""),
        )
    )


QUARANTINE = Sheet(
    kind="bin.quarantine",
    title="Keep a bin apart",
    fields=(_BIN, Field("until", "Until", _UNTIL, required=False), _NOTE),
    work=_quarantine,
)


@bin_group.command(name="quarantine", description="Keep new stock apart until a day, or change that day")
@app_commands.describe(bin_text="Its code, like B-3", until=_UNTIL, note="Anything else")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def quarantine_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    until: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Answer with the end date."""
    await fill(interaction, QUARANTINE, bin=bin_text, until=until, note=note)


async def _look(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return marked_card(
        await look_at_bin(
            desk,
            request,
            bin_text=values.get("bin", ""),
            saw=values.get("saw", ""),
            when=values.get("when", ""),
            note=values.get("note", ""),
        )
    )


LOOK = Sheet(
    kind="bin.look",
    title="A look at a bin",
    fields=(
        _BIN,
        Field("saw", "What was seen", "Clean, or saw something: blue animals, mites, nematodes"),
        Field("when", "When", _WHEN, required=False),
        _NOTE,
    ),
    work=_look,
)


@bin_group.command(
    name="look", description="A look for blue animals, mites and nematodes; a clean one ends a quarantine"
)
@app_commands.describe(bin_text="Its code, like B-3", saw="What was seen", when=_WHEN, note="What it was")
@app_commands.rename(bin_text="bin")
@app_commands.choices(saw=[app_commands.Choice(name=words, value=words) for words in SAW])
@app_commands.autocomplete(bin_text=bins_like)
async def look_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    saw: str,
    when: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Answer with what becomes of the quarantine."""
    await fill(interaction, LOOK, bin=bin_text, saw=saw, when=when, note=note)


async def _release(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return marked_card(
        await release_bin(
            desk,
            request,
            bin_text=values.get("bin", ""),
            looked=values.get(LOOKED, ""),
            sure=bool(values.get(SURE)),
        )
    )


RELEASE = Sheet(kind="bin.release", title="End a hold or a quarantine", fields=(_BIN,), work=_release)


@bin_group.command(name="release", description="Lift a bin's hold, and end its quarantine")
@app_commands.describe(bin_text="Its code, like B-3")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def release_command(
    interaction: discord.Interaction[Mancabook], bin_text: app_commands.Range[str, 1, 100]
) -> None:
    """Ask for a clean look where none is noted; then answer that it is over."""
    await fill(interaction, RELEASE, bin=bin_text)


async def _stray(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return accident_card(
        await log_accident(
            desk,
            request,
            bin_text=values.get("bin", ""),
            what=values.get("what", ""),
            when=values.get("when", ""),
            note=values.get("note", ""),
        )
    )


STRAY = Sheet(
    kind="bin.stray",
    title="A stray, or an open lid",
    fields=(
        _BIN,
        Field("what", "What happened", "A stray was found, or the lid was off"),
        Field("when", "When", _WHEN, required=False),
        _NOTE,
    ),
    work=_stray,
)


@bin_group.command(
    name="stray", description="A stray was found in a bin, or its lid was off: later broods are in doubt"
)
@app_commands.describe(bin_text="Its code, like B-3", what="What happened", when=_WHEN, note="Anything else")
@app_commands.rename(bin_text="bin")
@app_commands.choices(what=[app_commands.Choice(name=words, value=words) for words in WHAT])
@app_commands.autocomplete(bin_text=bins_like)
async def stray_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    what: str,
    when: app_commands.Range[str, 1, 60] | None = None,
    note: app_commands.Range[str, 1, 4000] | None = None,
) -> None:
    """Answer with the broods that are in doubt."""
    await fill(interaction, STRAY, bin=bin_text, what=what, when=when, note=note)


@route(verbs.BIN_QUARANTINE, fills=(QUARANTINE, "bin"))
async def quarantine(desk: Desk, request: Request, press: Press) -> Reply:
    """*Quarantine* on a bin that was just opened or put on hold: for as long as its species card says."""
    return await _quarantine(desk, request, {"bin": press.argument})


@route(verbs.BIN_LOOKED, fills=(LOOK, "bin"))
async def looked(desk: Desk, request: Request, press: Press) -> Reply:
    """*Looked: clean*."""
    return await _look(desk, request, {"bin": press.argument, "saw": next(iter(SAW))})


@route(verbs.BIN_RELEASE, fills=(RELEASE, "bin"))
async def release(desk: Desk, request: Request, press: Press) -> Reply:
    """*Release*: asks in words where a look is still wanted."""
    return await _release(desk, request, {"bin": press.argument})
