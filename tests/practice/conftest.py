"""A small place, a stand-in that knows it, and a bot by hand that has registered two commands."""

from collections.abc import AsyncIterator

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.practice.service import Service
from bot.practice.values import Person, Place, Room
from tests.support.wire import HandClock, RawBot, online

ANNA = Person(501, "anna", manager=True)
BEN = Person(502, "ben")
BINS = Room(601, "bins")
SILENT = Room(602, "silent", writable=False)
SEALED = Room(603, "sealed", readable=False)
HIDDEN = Room(604, "hidden", visible=False)
LOG = Place(700, "Hollow Log", (BINS, SILENT, SEALED, HIDDEN), (ANNA, BEN))

COMMANDS = [
    {"name": "ping", "description": "Answers.", "type": 1},
    {
        "name": "bin",
        "description": "Bins.",
        "type": 1,
        "options": [
            {
                "name": "open",
                "description": "Opens one.",
                "type": 1,
                "options": [
                    {"name": "species", "description": "Which.", "type": 3, "required": True, "autocomplete": True},
                    {"name": "size", "description": "How many.", "type": 4, "min_value": 0, "max_value": 99},
                    {"name": "photo", "description": "A picture.", "type": 11},
                ],
            }
        ],
    },
]


@pytest.fixture
def clock() -> HandClock:
    """The stand-in's clock."""
    return HandClock()


@async_fixture
async def service(clock: HandClock) -> AsyncIterator[Service]:
    """A running stand-in."""
    service = Service([LOG], clock=clock)
    await service.start()
    yield service
    await service.stop()


@async_fixture
async def raw(service: Service) -> AsyncIterator[RawBot]:
    """A bot by hand, logged in, with its commands registered."""
    async with online(service) as bot:
        reply = await bot.request("PUT", f"/applications/{service.application_id}/commands", COMMANDS)
        assert reply.status == 200
        yield bot
