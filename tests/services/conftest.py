"""People who ask the services for something, on both engines."""

from collections.abc import AsyncIterator

from pytest_asyncio import fixture as async_fixture

from bot.records import Records
from tests.support.asking import Asking, asking_of


@async_fixture
async def asking(records: Records) -> AsyncIterator[Asking]:
    """Requests to an empty book, once per engine."""
    asking = asking_of(records)
    yield asking
    await asking.desk.workers.close()
