"""Generations counted by recorded parents: by hand over small families, each as it would be told."""

from datetime import UTC, datetime

import pytest

from bot.records import Exactness, Moved, ParentRole, ParentRow, TransferRow
from bot.services.generations import generations

NOW = datetime(2026, 3, 1, tzinfo=UTC)
DAM, SIRE, BOTH, PART = ParentRole.DAM, ParentRole.SIRE, ParentRole.BOTH, ParentRole.PART


def rows(*told: tuple[int, int, ParentRole]) -> list[ParentRow]:
    """Of each a bin, a parent of it and what that gave; a parent with a number from 900 on is nobody's to know."""
    return [
        ParentRow(number, child, parent, "" if parent >= 900 else f"B-{parent}", role)
        for number, (child, parent, role) in enumerate(told, start=1)
    ]


def merge(source: int, target: int) -> TransferRow:
    return TransferRow(1, NOW, Moved.MERGE, source, f"B-{source}", target, f"B-{target}", 3, Exactness.EXACT)


@pytest.mark.parametrize(
    ("parents", "known"),
    [
        # Two founder bins, their young, and the young of those kept together.
        (rows((3, 1, DAM), (3, 2, SIRE), (4, 3, BOTH)), {3: 1, 4: 2}),
        # A part of a bin is of the same generation as the rest of it.
        (rows((3, 1, BOTH), (5, 3, PART), (6, 5, BOTH)), {3: 1, 5: 1, 6: 2}),
        # A part of a founder bin is no generation on.
        (rows((2, 1, PART)), {}),
        # Young of F1 females and a founder male are of no one generation, nor are theirs.
        (rows((3, 1, BOTH), (4, 3, DAM), (4, 2, SIRE), (5, 4, BOTH)), {3: 1}),
        # Of a parent that is kept private nothing can be counted.
        (rows((3, 900, BOTH), (4, 3, BOTH)), {}),
        # Told in another order it is the same.
        (rows((4, 3, BOTH), (3, 2, SIRE), (3, 1, DAM)), {3: 1, 4: 2}),
        # A slip of the pen.
        (rows((3, 4, BOTH), (4, 3, BOTH)), {}),
    ],
)
def test_generations_as_a_breeder_counts_them(parents: list[ParentRow], known: dict[int, int]) -> None:
    assert dict(generations(parents, [])) == known


def test_animals_that_came_from_elsewhere_leave_it_unknown() -> None:
    told = rows((3, 1, BOTH), (4, 3, BOTH))
    assert dict(generations(told, [merge(9, 3)])) == {}
    assert dict(generations(told, [merge(3, 9)])) == {3: 1, 4: 2}
    assert dict(generations(told, [], {3})) == {}
    assert dict(generations(told, [], {4})) == {3: 1}
