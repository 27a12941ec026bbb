"""The composition root: from settings to a running bot. Nothing is built at import, here or elsewhere."""

import asyncio
import logging
import secrets
import signal
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import timedelta

import yarl
from discord import LoginFailure
from discord.gateway import DiscordWebSocket
from discord.http import Route

from bot.cards.rounds import refusing_room, round_ping
from bot.chat.client import Mancabook
from bot.chat.discovery import discover
from bot.chat.files import fetched
from bot.chat.port import ChatPort
from bot.chat.presses import Router
from bot.chat.sync import sync_if_changed
from bot.chat.tree import Tree
from bot.clock.dispatcher import Dispatcher, Pace
from bot.clock.schedule import Clockwork
from bot.clocks import Clocks, SystemClocks
from bot.pictures.canvas import LIBRARIES
from bot.records import Records
from bot.services.desk import Desk
from bot.services.species import shipped_species
from bot.services.weighing import LIBRARIES as WEIGHING
from bot.settings import Settings
from bot.workers import Workers

_log = logging.getLogger(__name__)
_RESERVE = timedelta(seconds=10)


class NoTokenError(ValueError):
    """`mancabook serve` was started without a token."""


class TokenRefusedError(ValueError):
    """The chat service does not know the token."""


class ServiceAwayError(OSError):
    """The chat service could not be reached for the login. Later on the client waits and connects again by itself."""


@dataclass(frozen=True, slots=True)
class Bot:
    """A bot that is put together: its client with the tree of its commands, its clockwork and its book."""

    client: Mancabook
    tree: Tree
    clockwork: Clockwork
    records: Records


def use_service(base: str) -> None:
    """Point the chat library at a stand-in on this machine: `http://127.0.0.1:PORT`. `Settings` lets no other host by.

    The library reads both addresses from its classes at call time and offers no other way.
    """
    address = yarl.URL(base)
    Route.BASE = str(address / "api/v10")
    DiscordWebSocket.DEFAULT_GATEWAY = address.with_scheme("ws") / "gateway"


@asynccontextmanager
async def assembled(
    database: str,
    clocks: Clocks,
    tick: timedelta,
    *,
    lease: timedelta = timedelta(minutes=3),
    longest_wait: timedelta = timedelta(minutes=1),
    workers: int = 2,
    new_service: bool = False,
    pings: bool = True,
) -> AsyncIterator[Bot]:
    """Everything put together, the book open; closed again when the block is left.

    `tick`, `lease`, `longest_wait` and `workers` are those of the settings. A `new_service` knows no commands yet,
    whatever the book remembers to have told an earlier one. Without `pings` the clock stands still and nothing that is due is touched.

    Raises:
        BadAddress, NotOpened: there is no book at the address.
    """
    records = await Records.open(database)
    pool = Workers(workers, (*LIBRARIES, *WEIGHING))
    try:
        desk = Desk(records=records, species=shipped_species(), workers=pool, fetch=fetched)
        abilities = discover()

        async def set_up(client: Mancabook) -> None:
            if new_service:
                await tree.sync()
            else:
                await sync_if_changed(client, tree)
            if pings:
                clockwork.start()

        client = Mancabook(
            desk,
            clocks,
            on_setup=set_up,
            on_press=Router(abilities).handle,
            longest_wait=longest_wait.total_seconds(),
        )
        tree = Tree(client)
        for command in (*abilities.commands, *abilities.menus):
            tree.add_command(command)
        dispatcher = Dispatcher(
            records.dispatch(),
            ChatPort(client),
            clocks,
            round_ping,
            refusing_room,
            holder=secrets.token_hex(8),
            pace=Pace(lease=lease, reserve=min(_RESERVE, lease / 10)),
        )
        clockwork = Clockwork(dispatcher, every=tick)
        yield Bot(client, tree, clockwork, records)
    finally:
        await pool.close()
        await records.close()


async def settle(bot: Bot, grace: timedelta) -> None:
    """Drop nobody: take nothing new, answer who waits and finish what is being sent, all within `grace`."""
    await asyncio.gather(bot.clockwork.stop(grace), bot.client.drain(grace.total_seconds()))


async def serve(settings: Settings) -> None:
    """Run the bot until SIGTERM or SIGINT.

    Raises:
        NoTokenError: there is no token in the settings.
        TokenRefusedError, ServiceAwayError: the login failed.
        BadAddress, NotOpened: there is no book at the address in the settings.
    """
    token = settings.token.get_secret_value()
    if not token:
        raise NoTokenError
    if settings.service is not None:
        use_service(settings.service)
    asked_to_stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, asked_to_stop.set)
    async with assembled(
        settings.database,
        SystemClocks(),
        timedelta(seconds=settings.tick),
        lease=timedelta(seconds=settings.lease),
        longest_wait=timedelta(seconds=settings.longest_wait),
        workers=settings.workers,
    ) as bot:
        await run(bot, token, asked_to_stop, timedelta(seconds=settings.drain))


async def run(bot: Bot, token: str, asked_to_stop: asyncio.Event, grace: timedelta) -> None:
    """Log in and stay connected until asked to stop; a client that ends by itself ends this too, with its error."""
    running = asyncio.create_task(_stay_connected(bot.client, token))
    stopping = asyncio.create_task(asked_to_stop.wait())
    try:
        await asyncio.wait({running, stopping}, return_when=asyncio.FIRST_COMPLETED)
        if not running.done():
            await settle(bot, grace)
    finally:
        stopping.cancel()
        # The runner first: closed under its hands, the library says goodbye with 4000, as if it meant to come back.
        running.cancel()
        await asyncio.wait({running})
        await bot.client.close()
    if not running.cancelled():
        running.result()


async def _stay_connected(client: Mancabook, token: str) -> None:
    try:
        await client.login(token)
    except LoginFailure as error:
        raise TokenRefusedError from error
    except OSError as error:
        raise ServiceAwayError(str(error)) from error
    await client.connect()


def set_up_logging(level: str) -> None:
    """Log to standard error, with a time and the place."""
    logging.basicConfig(level=level, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
