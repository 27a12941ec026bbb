"""Which generation the animals of a bin are of, counted by the parents that stand in the book."""

from collections.abc import Collection, Iterable, Mapping, Sequence

from bot.records import Moved, ParentRole, ParentRow, TransferRow


def generations(
    parents: Sequence[ParentRow], moves: Iterable[TransferRow], mixed: Collection[int] = ()
) -> Mapping[int, int]:
    """Of each bin that has parents in the book the generation its animals are of: 1 for F1.

    A bin without parents is where the counting begins. Parents of different generations, a parent that the reader may not
    know of, animals that came from elsewhere later, and two generations in one bin (`mixed` are the ids of those) leave it
    unknown: such a bin is not among the keys.
    """
    of: dict[int, list[ParentRow]] = {}
    for row in parents:
        of.setdefault(row.bin_id, []).append(row)
    several = {move.to_bin_id for move in moves if move.moved is Moved.MERGE}.union(mixed)
    known: dict[int, int | None] = {}
    return {bin_id: number for bin_id in of if (number := _of(bin_id, of, several, known))}


def _of(
    bin_id: int, parents: Mapping[int, Sequence[ParentRow]], mixed: set[int], known: dict[int, int | None]
) -> int | None:
    if bin_id in known:
        return known[bin_id]
    # What is its own ancestor, by a slip, is of no known generation.
    known[bin_id] = None
    if bin_id in mixed:
        return None
    found: set[int | None] = set()
    for row in parents.get(bin_id, ()):
        above = _of(row.parent_bin_id, parents, mixed, known) if row.code else None
        found.add(above if above is None or row.role is ParentRole.PART else above + 1)
    known[bin_id] = next(iter(found)) if len(found) == 1 else None if found else 0
    return known[bin_id]
