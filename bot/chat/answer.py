"""How an answer reaches a person: once, in time, and whatever the network does meanwhile."""

import asyncio
import dataclasses
import logging
from collections.abc import Awaitable, Callable, Coroutine
from enum import Enum, auto
from typing import Any, TypeVar

import discord

from bot.cards import faults, render
from bot.cards.card import Card, Form, Ping
from bot.chat.client import Mancabook
from bot.chat.illustrated import illustrated
from bot.chat.meanwhile import Meanwhile
from bot.chat.requests import request_of
from bot.chat.router import Reply
from bot.chat.sheets import Asked, Sheet
from bot.discretion import listening
from bot.guard import assert_no_unit_open
from bot.services.desk import Desk
from bot.services.request import Request

_log = logging.getLogger(__name__)

SOON = 1.0
"""Seconds after which an answer is promised ("thinking…") instead of awaited; the platform gives up after 3."""
STILL = 2.5
"""Seconds between two looks at how far a promised answer is: what is being done is then shown where it will stand."""
ALREADY_ANSWERED, UNKNOWN_INTERACTION = 40060, 10062
ASKED = "asked"
"""Where in an interaction's extras the doors find what the person had filled in."""
_PROMISED = "promised"
_MEANWHILE = "meanwhile"
# Kept here and not asked of the library: it does not know of a promise whose acceptance was lost on the way back.
_PAUSES = (0.0, 0.2, 0.6)
_NOBODY = discord.AllowedMentions.none()

T = TypeVar("T")
Work = Callable[[Desk, Request], Awaitable[Reply]]


class _Promise(Enum):
    """What a promise was made of: a new message, for everybody or for one, or a change of the message that was pressed."""

    MESSAGE = auto()
    PRIVATE = auto()
    CHANGE = auto()


async def answer(
    interaction: discord.Interaction[Mancabook],
    work: Work,
    *,
    replaces: bool = False,
    private: bool = False,
    page: int = 0,
) -> None:
    """Do the work and send what comes of it; promise the answer first if the work is slow.

    Exceptions of the work go through to the error door that called. With `replaces` the answer takes the place of the
    message that was pressed; with `private` it is promised to the person alone.
    """
    client = interaction.client
    with client.busy():
        reply, discreet = await in_time(interaction, _worked(interaction, work), replaces=replaces, private=private)
        # What is private does not take the place of a message that everybody reads.
        replaces = replaces and not (discreet and isinstance(reply, Card) and not _seen_by_one(interaction))
        if isinstance(reply, Card) and reply.drawings and page == 0:
            # Drawn apart from the work: by now it is known for whose eyes the answer is, and so what to promise.
            drawing = illustrated(reply, client.desk.workers, interaction.filesize_limit)
            reply = await in_time(interaction, drawing, replaces=replaces, private=reply.private)
        await send(interaction, reply, replaces=replaces, page=page)


def _seen_by_one(interaction: discord.Interaction[Mancabook]) -> bool:
    return interaction.message is not None and interaction.message.flags.ephemeral


async def _worked(interaction: discord.Interaction[Mancabook], work: Work) -> tuple[Reply, bool]:
    """What the work comes to, and whether it is for one person's eyes."""
    desk = interaction.client.desk
    with listening() as heard, _meanwhile(interaction).listening(heard):
        reply = await work(desk, request_of(interaction))
    if isinstance(reply, Card) and heard.private:
        reply = dataclasses.replace(reply, private=True)
    return reply, heard.private


async def in_time(
    interaction: discord.Interaction[Mancabook], work: Awaitable[T], *, replaces: bool = False, private: bool = False
) -> T:
    """Wait for the work, and promise an answer meanwhile if it is slow and none is promised yet.

    What the work tells of itself is shown where the answer will stand.
    """
    task = asyncio.ensure_future(work)
    try:
        done, _ = await asyncio.wait({task}, timeout=SOON)
        if not done and _PROMISED not in interaction.extras:
            await _promise(interaction, replaces, private)
        while not done:
            done, _ = await asyncio.wait({task}, timeout=STILL)
            if not done:
                await _tell(interaction)
        return await task
    finally:
        task.cancel()


def _meanwhile(interaction: discord.Interaction[Mancabook]) -> Meanwhile:
    found: Meanwhile = interaction.extras.setdefault(_MEANWHILE, Meanwhile())
    return found


async def _tell(interaction: discord.Interaction[Mancabook]) -> None:
    """Show what is being done, where only those see it who will see the answer. A change of a pressed message shows none."""
    told = _meanwhile(interaction)
    card = told.news()
    private = told.private or (card is not None and card.private)
    if card is None or interaction.extras.get(_PROMISED) is not (_Promise.PRIVATE if private else _Promise.MESSAGE):
        return
    try:
        await interaction.edit_original_response(view=render.layout(card), allowed_mentions=_NOBODY)
    except (discord.HTTPException, OSError) as error:
        # The answer itself is still to come.
        _log.warning("what is being done for interaction %s was not shown: %s", interaction.id, error)


async def fill(interaction: discord.Interaction[Mancabook], sheet: Sheet, **values: str | None) -> None:
    """Answer a slash command that fills in a sheet; a refusal keeps what was typed."""
    typed = {key: value for key, value in values.items() if value is not None}
    interaction.extras[ASKED] = Asked(sheet, typed)
    await answer(interaction, lambda desk, request: sheet.work(desk, request, typed))


async def send(
    interaction: discord.Interaction[Mancabook], reply: Reply, *, replaces: bool = False, page: int = 0
) -> None:
    """Send a reply as the first answer, or in place of the promise; an expired interaction is answered in the channel."""
    assert_no_unit_open("an answer")
    promise: _Promise | None = interaction.extras.get(_PROMISED)
    try:
        if promise is not None:
            await _keep(promise, interaction, reply, replaces, page)
        elif isinstance(reply, Form):
            await _once(lambda: interaction.response.send_modal(render.modal(reply)))
        elif replaces:
            await _once(lambda: _replace(interaction, reply, page))
        else:
            await _once(lambda: _first(interaction, reply, page))
    except discord.NotFound as error:
        if error.code != UNKNOWN_INTERACTION:
            raise
        await _too_late(interaction, reply)


async def _once(call: Callable[[], Coroutine[Any, Any, object]]) -> None:
    """Make a call to the service; repeat it if the connection broke; count "already answered" as answered."""
    for last, pause in enumerate(_PAUSES, start=1):
        await asyncio.sleep(pause)
        try:
            await call()
        except OSError:
            # The library does not repeat a reset connection. The service may have taken the answer all the same; then the
            # repeat is refused as answered already, which is what was wanted.
            if last == len(_PAUSES):
                raise
        except discord.HTTPException as error:
            if error.code != ALREADY_ANSWERED:
                raise
            _log.info("answered already")
            return
        else:
            return


async def _promise(interaction: discord.Interaction[Mancabook], replaces: bool, private: bool) -> None:
    try:
        await _once(lambda: interaction.response.defer(thinking=not replaces, ephemeral=private))
    except (discord.HTTPException, OSError) as error:
        # The work goes on: it may be about to commit, and its answer will be tried for its own sake.
        _log.warning("the promise of an answer to interaction %s failed: %s", interaction.id, error)
    else:
        made = _Promise.PRIVATE if private else _Promise.MESSAGE
        interaction.extras[_PROMISED] = _Promise.CHANGE if replaces else made


async def _first(interaction: discord.Interaction[Mancabook], reply: Card | Ping, page: int) -> None:
    if isinstance(reply, Ping):
        await interaction.response.send_message(
            render.ping_text(reply), view=render.ping_view(reply.buttons), allowed_mentions=_NOBODY
        )
        return
    view, files = render.layout(reply, page), render.files(reply, page)
    if files:
        await interaction.response.send_message(
            view=view, files=files, ephemeral=reply.private, allowed_mentions=_NOBODY
        )
    else:
        await interaction.response.send_message(view=view, ephemeral=reply.private, allowed_mentions=_NOBODY)


async def _replace(interaction: discord.Interaction[Mancabook], reply: Card | Ping, page: int) -> None:
    if isinstance(reply, Ping):
        await interaction.response.edit_message(
            content=render.ping_text(reply), view=render.ping_view(reply.buttons), allowed_mentions=_NOBODY
        )
    else:
        # Without naming them, the files of the page before would stay with the message.
        await interaction.response.edit_message(
            view=render.layout(reply, page), attachments=render.files(reply, page), allowed_mentions=_NOBODY
        )


async def _keep(
    promise: _Promise, interaction: discord.Interaction[Mancabook], reply: Reply, replaces: bool, page: int
) -> None:
    """Send what was promised: where the promise stands, or beside it if it may not stand there."""
    # A form can only be the first answer, and the promise was that.
    said = faults.too_slow_for_a_form() if isinstance(reply, Form) else reply
    private = isinstance(said, Card) and said.private
    fits = {_Promise.MESSAGE: not private, _Promise.PRIVATE: private, _Promise.CHANGE: replaces}
    if promise is not _Promise.CHANGE and not fits[promise]:
        # The first message after the promise would take its place, and be seen by as many as the promise.
        await _once(lambda: _withdraw(interaction))
    if fits[promise]:
        await _once(lambda: _in_place(interaction, said, page))
    elif isinstance(said, Card):
        await _once(lambda: _beside(interaction, said, page))


async def _in_place(interaction: discord.Interaction[Mancabook], reply: Card | Ping, page: int) -> None:
    if isinstance(reply, Ping):
        await interaction.edit_original_response(
            content=render.ping_text(reply), view=render.ping_view(reply.buttons), allowed_mentions=_NOBODY
        )
    else:
        await interaction.edit_original_response(
            view=render.layout(reply, page), attachments=render.files(reply, page), allowed_mentions=_NOBODY
        )


async def _beside(interaction: discord.Interaction[Mancabook], reply: Card, page: int) -> None:
    await interaction.followup.send(
        view=render.layout(reply, page),
        files=render.files(reply, page),
        ephemeral=reply.private,
        allowed_mentions=_NOBODY,
    )


async def _withdraw(interaction: discord.Interaction[Mancabook]) -> None:
    try:
        await interaction.delete_original_response()
    except discord.NotFound as error:
        # A first try took it away, and the answer to that was lost.
        _log.info("the promise of interaction %s was gone: %s", interaction.id, error)


async def _too_late(interaction: discord.Interaction[Mancabook], reply: Reply) -> None:
    """The interaction can no longer be answered; what was done is said in the channel, what was private is not.

    A ping that was answered is changed where it stands, as a message of the bot's own.
    """
    _log.warning("interaction %s expired before its answer", interaction.id)
    if interaction.channel_id is None or (isinstance(reply, Card) and reply.private):
        return
    channel = interaction.client.get_partial_messageable(interaction.channel_id, guild_id=interaction.guild_id)
    if isinstance(reply, Ping) and interaction.message is not None:
        await channel.get_partial_message(interaction.message.id).edit(
            content=render.ping_text(reply), view=render.ping_view(reply.buttons), allowed_mentions=_NOBODY
        )
        return
    lead = reply.lead if isinstance(reply, Card) else faults.too_slow_for_a_form().lead
    said = f"the answer came too late for a reply, so here it is: {lead}" if isinstance(reply, Card) else lead
    text = render.cut(f"{interaction.user.mention} {said}", 2000)
    await channel.send(
        text, allowed_mentions=discord.AllowedMentions(users=[interaction.user], everyone=False, roles=False)
    )
