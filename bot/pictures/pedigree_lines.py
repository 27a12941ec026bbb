"""Which lines join a family: between mates, from mates to their young, and how none lies on another.

Below each row of symbols there is a channel. A line across it has a level there; two lines that would touch have different
ones. Units are those of `Places` across, and rows and levels along.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from bot.pictures.pedigree import Mating, Pedigree
from bot.pictures.pedigree_places import Places, Strand

_NEAR: Final = 0.12
"""A step aside that is smaller is not made: a straight line is read sooner."""
_CLEAR: Final = 0.3
"""How far apart, in symbols' rooms, the ends of two lines of one level stay."""


@dataclass(frozen=True, slots=True)
class Stop:
    """A corner of a line: a place across, and along either the middle of a row (level None) or a level of its channel."""

    across: float
    row: int
    level: int | None


@dataclass(frozen=True, slots=True)
class Route:
    """A line from corner to corner. `double`: it joins relatives. `mates`: it runs from the side of a mate to the other's."""

    stops: tuple[Stop, ...]
    double: bool = False
    mates: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """All lines of a family, and of each row how many levels its channel needs."""

    routes: tuple[Route, ...]
    levels: tuple[int, ...]


def lines(pedigree: Pedigree, places: Places) -> Lines:
    """The lines that join a family at these places."""
    channels = _Channels(len(places.order))
    bars = [_upper(mating, pedigree, places, index, channels) for index, mating in enumerate(pedigree.matings)]
    routes: list[Route] = []
    for mating, (start, above) in zip(pedigree.matings, bars, strict=True):
        routes += above
        routes += _lower(mating, places, start, channels)
    return Lines(tuple(routes), tuple(channels.used))


class _Channels:
    """The levels taken so far, row by row, from the top."""

    def __init__(self, rows: int) -> None:
        self.used = [0] * rows
        self._taken: list[list[list[tuple[float, float]]]] = [[] for _ in range(rows)]

    def take(self, row: int, ends: Sequence[float], least: int = 0) -> int:
        """The first level from `least` on that is free between the outermost of `ends`."""
        low, high = min(ends) - _CLEAR, max(ends) + _CLEAR
        levels = self._taken[row]
        level = least
        while level < len(levels) and any(low < end and start < high for start, end in levels[level]):
            level += 1
        while len(levels) <= level:
            levels.append([])
        levels[level].append((low, high))
        self.used[row] = max(self.used[row], level + 1)
        return level


def _upper(
    mating: Mating, pedigree: Pedigree, places: Places, index: int, channels: _Channels
) -> tuple[Stop, list[Route]]:
    """The lines from the parents to where they meet, and that place: the descent of their young starts there."""
    row = max(map(pedigree.generation, mating.parents))
    double = pedigree.related(mating)
    if len(mating.parents) == 1:
        return Stop(places.across[mating.parents[0]], row, None), []
    if _side_by_side(mating, places.order[row]):
        ends = sorted(places.across[key] for key in mating.parents)
        # Between the two, and right above an only young where that is near the middle.
        middle = (ends[0] + ends[1]) / 2
        wanted = _above(mating, places)
        descent = Stop(wanted if abs(wanted - middle) < _NEAR else middle, row, None)
        return descent, [Route((Stop(ends[0], row, None), Stop(ends[1], row, None)), double, mates=True)]
    ways = [_way(strand, pedigree, places, channels) for strand in places.strands[index]]
    arrivals = [way[-1].across for way in ways]
    level = channels.take(row, arrivals)
    routes = [Route((*way, Stop(way[-1].across, row, level))) for way in ways]
    routes.append(Route((Stop(min(arrivals), row, level), Stop(max(arrivals), row, level)), double))
    meeting = min(max(_above(mating, places), min(arrivals)), max(arrivals))
    return Stop(meeting, row, level), routes


def _above(mating: Mating, places: Places) -> float:
    """The middle above the young."""
    young = [places.across[key] for key in mating.young]
    return (min(young) + max(young)) / 2


def _side_by_side(mating: Mating, row: Sequence[str | None]) -> bool:
    """Whether the two parents are neighbours in the row."""
    if len(mating.parents) != 2 or not set(mating.parents) <= set(row):
        return False
    first, second = (row.index(key) for key in mating.parents)
    return abs(first - second) == 1


def _way(strand: Strand, pedigree: Pedigree, places: Places, channels: _Channels) -> list[Stop]:
    """The corners from a parent to the channel of the mating, the last in the row above that channel."""
    here = places.across[strand.parent]
    row = pedigree.generation(strand.parent)
    stops = [Stop(here, row, None)]
    for below, across in strand.through:
        if abs(across - here) > _NEAR:
            level = channels.take(row, (here, across))
            stops += [Stop(here, row, level), Stop(across, row, level)]
            here = across
        stops.append(Stop(here, below, None))
        row = below
    return stops


def _lower(mating: Mating, places: Places, start: Stop, channels: _Channels) -> list[Route]:
    """The line of descent, the line that joins the young, and the one to each of them."""
    young = [places.across[key] for key in mating.young]
    rows = {key: place for place, row in enumerate(places.order) for key in row if key is not None}
    if len(young) == 1 and abs(young[0] - start.across) < 1e-6:
        return [Route((start, Stop(young[0], rows[mating.young[0]], None)))]
    least = 0 if start.level is None else start.level + 1
    level = channels.take(start.row, (*young, start.across), least)
    bar = (min(*young, start.across), max(*young, start.across))
    routes = [
        Route((start, Stop(start.across, start.row, level))),
        Route((Stop(bar[0], start.row, level), Stop(bar[1], start.row, level))),
    ]
    return routes + [
        Route((Stop(place, start.row, level), Stop(place, rows[key], None)))
        for key, place in zip(mating.young, young, strict=True)
    ]
