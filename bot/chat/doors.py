"""The two doors through which a failure reaches a person: the command tree's, and the router's. Both end in `say_failure`.

What a person gets is private and says what to do next; details go to the log under a reference the person can quote.
"""

import logging

import discord
from discord import app_commands

from bot.cards import faults, refusals
from bot.cards.card import Card
from bot.chat.answer import ASKED, in_time, send
from bot.chat.client import Mancabook
from bot.chat.requests import request_of
from bot.chat.sheets import Asked
from bot.services import drafts
from bot.services.refusals import Refusal
from bot.workers import AllBusy, Overdue, WorkerLost

_log = logging.getLogger(__name__)


async def say_failure(interaction: discord.Interaction[Mancabook], error: BaseException) -> None:
    """Tell the person what went wrong; keep what they had typed. Never raises: this is the last door."""
    cause = error.original if isinstance(error, app_commands.CommandInvokeError) else error
    asked: Asked | None = interaction.extras.get(ASKED)
    try:
        with interaction.client.busy():
            card = await in_time(interaction, _card(interaction, cause, asked), private=True)
            await send(interaction, card)
    except Exception:
        _log.exception("interaction %s: the person could not be told", interaction.id)


async def _card(interaction: discord.Interaction[Mancabook], cause: BaseException, asked: Asked | None) -> Card:
    # A direct message belongs to no book that could keep a draft.
    draft = await _kept(interaction, asked) if asked and interaction.guild_id is not None else None
    typed = asked.sheet.shown(asked.values) if asked else {}
    if isinstance(cause, Refusal):
        return refusals.card(cause, typed, draft)
    if isinstance(cause, app_commands.CommandSignatureMismatch | app_commands.CommandNotFound):
        return faults.outdated()
    if isinstance(cause, Overdue):
        return faults.overdue(cause.deadline, typed, draft)
    if isinstance(cause, AllBusy | WorkerLost):
        _log.warning("interaction %s: no worker did its job: %r", interaction.id, cause)
        return faults.not_worked_out(typed, draft)
    # The upper bits of an id are milliseconds, the lower ones a counter that mostly stands at zero; either alone repeats.
    reference = f"{(interaction.id >> 22 ^ interaction.id) & 0xFFFFFF:06x}"
    _log.error("failure %s, interaction %s", reference, interaction.id, exc_info=cause)
    return faults.broken(reference, typed, draft)


async def _kept(interaction: discord.Interaction[Mancabook], asked: Asked) -> int | None:
    try:
        return await drafts.keep(interaction.client.desk, request_of(interaction), asked.sheet.kind, asked.values)
    except Exception:
        # What was typed is shown in the reply as well, so nothing is lost when the book itself is what failed.
        _log.exception("interaction %s: no draft could be kept", interaction.id)
        return None
