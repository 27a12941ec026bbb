"""Who may do what with a bin that they can read, as the table of access says."""

from datetime import UTC, datetime

import pytest

from bot.records import BinRow, Privacy
from bot.services.access import RIGHTS, Right, Standing, may, require, require_keeper, require_steward
from bot.services.refusals import NotYours, StewardsOnly
from bot.services.request import Request, Role

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
TABLE = """
            owner  co-keeper  steward  anyone
    read    yes    yes        yes      yes
    tend    yes    yes        yes      no
    share   yes    no         yes      no
    hide    yes    no         no       no
"""


def row(shared: bool = False) -> BinRow:
    return BinRow(3, "B-3", "porcellio-scaber", "frost line", None, 2, "Moss", NOW, None, None, Privacy.OPEN, shared)


def asked_by(actor: int, *roles: Role) -> Request:
    return Request(1, actor, "somebody", 9, NOW, frozenset(roles))


ASKED = {
    "owner": (asked_by(2), row()),
    "co-keeper": (asked_by(7), row(shared=True)),
    "steward": (asked_by(7, Role.STEWARD), row()),
    "anyone": (asked_by(7), row()),
}


def test_rights_are_as_the_table_has_them() -> None:
    heads, *lines = [line.split() for line in TABLE.strip().splitlines()]
    assert [line[0] for line in lines] == [right.value for right in Right]
    assert heads == [standing.value for standing in Standing]
    for right, *cells in lines:
        for who, cell in zip(heads, cells, strict=True):
            assert may(*ASKED[who], Right(right)) == (cell == "yes"), (who, right)


def test_a_right_of_anyone_is_everybodys() -> None:
    assert all(Standing.ANYONE not in who or who == frozenset(Standing) for who in RIGHTS.values())


def test_whoever_may_not_is_told_whose_it_is_and_whether_a_steward_can_help() -> None:
    with pytest.raises(NotYours) as caught:
        require_keeper(*ASKED["anyone"])
    assert (caught.value.what, caught.value.keeper_name, caught.value.stewards) == ("bin B-3", "Moss", True)
    with pytest.raises(NotYours) as caught:
        require(*ASKED["steward"], Right.HIDE)
    assert not caught.value.stewards


def test_stewards_alone_do_what_is_stewards() -> None:
    require_steward(asked_by(7, Role.STEWARD), "change the server's settings")
    with pytest.raises(StewardsOnly) as caught:
        require_steward(asked_by(7), "change the server's settings")
    assert caught.value.what == "change the server's settings"
