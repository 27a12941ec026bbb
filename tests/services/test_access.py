"""Who may change what."""

from datetime import UTC, datetime

import pytest

from bot.records import BinRow
from bot.services.access import require_keeper
from bot.services.refusals import NotYours
from bot.services.request import Request, Role

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
ROW = BinRow(3, "B-3", "porcellio-scaber", "frost line", None, 2, "Moss", NOW, None)


def asked_by(actor: int, *roles: Role) -> Request:
    return Request(1, actor, "somebody", 9, NOW, frozenset(roles))


def test_the_keeper_of_a_bin_and_any_steward_may_change_it() -> None:
    require_keeper(asked_by(2), ROW)
    require_keeper(asked_by(7, Role.STEWARD), ROW)


def test_anybody_else_is_told_whose_it_is() -> None:
    with pytest.raises(NotYours) as caught:
        require_keeper(asked_by(7), ROW)
    assert (caught.value.what, caught.value.keeper_name) == ("bin B-3", "Moss")
