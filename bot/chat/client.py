"""The bot's client: the unmodified library, one command tree, one router, and a way to stop without dropping anybody."""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager

import discord

from bot.clocks import Clocks
from bot.services.desk import Desk

_log = logging.getLogger(__name__)


class Mancabook(discord.Client):
    """The client. `desk` and `clocks` are what its handlers work with.

    `on_setup` is awaited once, when it is logged in and before the first event; `on_press` answers each press and form.
    `longest_wait` is the longest wait for a rate limit, in seconds, that is sat out.
    """

    def __init__(
        self,
        desk: Desk,
        clocks: Clocks,
        *,
        on_setup: Callable[["Mancabook"], Awaitable[None]],
        on_press: Callable[[discord.Interaction["Mancabook"]], Awaitable[None]],
        longest_wait: float,
    ) -> None:
        super().__init__(
            intents=discord.Intents(guilds=True),
            allowed_mentions=discord.AllowedMentions.none(),
            # A longer wait is an error, so that it stays shorter than a ping's lease.
            max_ratelimit_timeout=longest_wait,
            guild_ready_timeout=0.0,
            chunk_guilds_at_startup=False,
            member_cache_flags=discord.MemberCacheFlags.none(),
        )
        self.desk = desk
        self.clocks = clocks
        self._on_setup = on_setup
        self._on_press = on_press
        self.draining = False
        self._busy = 0
        self._idle = asyncio.Event()
        self._idle.set()

    async def setup_hook(self) -> None:
        """Logged in, not yet connected: happens once, however often the connection is made again."""
        await self._on_setup(self)

    async def on_interaction(self, interaction: discord.Interaction["Mancabook"]) -> None:
        """Commands and autocomplete go to the tree by themselves; presses and forms go to the router."""
        if interaction.type in (discord.InteractionType.component, discord.InteractionType.modal_submit):
            await self._on_press(interaction)

    @contextmanager
    def busy(self) -> Iterator[None]:
        """While the block runs somebody waits for an answer; a stop waits for it."""
        self._busy += 1
        self._idle.clear()
        try:
            yield
        finally:
            self._busy -= 1
            if not self._busy:
                self._idle.set()

    async def drain(self, seconds: float) -> None:
        """Take nothing new, and wait until everybody who waits has been answered, or for so long."""
        self.draining = True
        try:
            async with asyncio.timeout(seconds):
                # Asked again: an answer that failed ends, and the door that tells the person begins, in one step.
                while self._busy:
                    await self._idle.wait()
        except TimeoutError:
            _log.warning("stopping with %d answers still owed", self._busy)
