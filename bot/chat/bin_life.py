"""`/bin backup`, `/bin temperature`, `/bin litter` and `/bin batch`."""

from collections.abc import Mapping

import discord
from discord import app_commands

from bot.cards.bin_life import backup_card, batch_card, litter_card, temperature_card
from bot.cards.card import Card, Field
from bot.chat.answer import answer, fill
from bot.chat.bins import bin_group, bins_like
from bot.chat.client import Mancabook
from bot.chat.sheets import Sheet
from bot.chat.tree import complete
from bot.services.backups import NOBODY, set_backup
from bot.services.desk import Desk
from bot.services.litter import choose_batch, give_litter, trace_batch
from bot.services.request import Request
from bot.services.temperature_log import log_temperature

_BIN = Field("bin", "Bin", "Its code, like B-3", most=100)
_WHEN = "If not today, like: yesterday, or 12 March"


async def batches_like(interaction: discord.Interaction[Mancabook], current: str) -> list[app_commands.Choice[str]]:
    """Batches of litter whose name holds what is being typed, the newest first."""

    async def work(desk: Desk, request: Request) -> list[tuple[str, str]]:
        return [(name, name) for name in await choose_batch(desk, request, current)]

    return await complete(interaction, work)


async def _backup(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    return backup_card(await set_backup(desk, request, bin_text=values.get("bin", ""), of_text=values.get("of", "")))


BACKUP = Sheet(
    kind="bin.backup",
    title="The backup of a bin",
    fields=(_BIN, Field("of", "Backup of", f"The bin that it stands in for, like B-1; {NOBODY} ends it", most=100)),
    work=_backup,
)


@bin_group.command(name="backup", description="Say which bin this one stands in for, if that is lost")
@app_commands.describe(bin_text="Its code, like B-3", of=f"The bin that it stands in for, like B-1; {NOBODY} ends it")
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like, of=bins_like)
async def backup_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    of: app_commands.Range[str, 1, 100],
) -> None:
    """Answer with the two bins, and whether they stand apart."""
    await fill(interaction, BACKUP, bin=bin_text, of=of)


async def _temperature(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    logged = await log_temperature(
        desk,
        request,
        bin_text=values.get("bin", ""),
        reading=values.get("reading", ""),
        when=values.get("when", ""),
    )
    return temperature_card(logged)


TEMPERATURE = Sheet(
    kind="bin.temperature",
    title="How warm a bin is",
    fields=(
        _BIN,
        Field("reading", "Temperature", "Like: 22 C, or 72 F"),
        Field("when", "When", _WHEN, required=False),
    ),
    work=_temperature,
)


@bin_group.command(name="temperature", description="Put down how warm a bin is; dates of its pairings follow")
@app_commands.describe(bin_text="Its code, like B-3", reading="Like: 22 C, or 72 F", when=_WHEN)
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like)
async def temperature_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    reading: app_commands.Range[str, 1, 30],
    when: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer with how that stands to the species."""
    await fill(interaction, TEMPERATURE, bin=bin_text, reading=reading, when=when)


async def _litter(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    given = await give_litter(
        desk,
        request,
        bin_text=values.get("bin", ""),
        batch=values.get("batch", ""),
        source=values.get("source", ""),
        treatment=values.get("treatment", ""),
        when=values.get("when", ""),
    )
    return litter_card(given)


LITTER = Sheet(
    kind="bin.litter",
    title="Litter of a batch",
    fields=(
        _BIN,
        Field("batch", "Batch", "What you call it, like: oak of November"),
        Field("source", "Where from", "Like: the copse by the mill", required=False, most=300),
        Field("treatment", "Treated how", "Like: boiled, or frozen for a week", required=False, most=300),
        Field("when", "When", _WHEN, required=False),
    ),
    work=_litter,
)


@bin_group.command(name="litter", description="A bin got litter of a batch, so that a bad batch can be traced")
@app_commands.describe(
    bin_text="Its code, like B-3",
    batch="What you call the batch, like: oak of November",
    source="Where it came from, when the batch is new",
    treatment="What was done to it, like: boiled, or frozen for a week",
    when=_WHEN,
)
@app_commands.rename(bin_text="bin")
@app_commands.autocomplete(bin_text=bins_like, batch=batches_like)
async def litter_command(
    interaction: discord.Interaction[Mancabook],
    bin_text: app_commands.Range[str, 1, 100],
    batch: app_commands.Range[str, 1, 100],
    source: app_commands.Range[str, 1, 300] | None = None,
    treatment: app_commands.Range[str, 1, 300] | None = None,
    when: app_commands.Range[str, 1, 60] | None = None,
) -> None:
    """Answer with the batch and how many bins got of it."""
    await fill(interaction, LITTER, bin=bin_text, batch=batch, source=source, treatment=treatment, when=when)


@bin_group.command(name="batch", description="Which bins got litter of a batch")
@app_commands.describe(batch="What the batch is called")
@app_commands.autocomplete(batch=batches_like)
async def batch_command(interaction: discord.Interaction[Mancabook], batch: app_commands.Range[str, 1, 100]) -> None:
    """Answer with the bins, the latest first."""

    async def work(desk: Desk, request: Request) -> Card:
        return batch_card(await trace_batch(desk, request, batch))

    await answer(interaction, work)
