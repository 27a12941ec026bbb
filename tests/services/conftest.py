"""People who ask the services for something, on both engines."""

import pytest

from bot.records import Records
from tests.support.asking import Asking, asking_of


@pytest.fixture
def asking(records: Records) -> Asking:
    """Requests to an empty book, once per engine."""
    return asking_of(records)
