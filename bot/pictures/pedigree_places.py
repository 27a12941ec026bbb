"""Where everybody of a family stands: the order in each row by a library of graphs, the places by least squares."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Final

from bot.pictures.pedigree import Pedigree

_SWEEPS: Final = 25
_WIDE, _NARROW, _THREAD = 1.0, 0.5, 0.35
"""The room of a symbol, of the place where a mating meets, and of a line that passes through a row."""


@dataclass(frozen=True, slots=True)
class Strand:
    """The way from a parent to a mating below the next row: the rows it passes, and where in each."""

    parent: str
    through: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Places:
    """Rows and places across them, in units of a symbol's room, from 0.

    `order` is each row from the left: keys, and None for a line that passes. `strands` are, of each mating of the
    pedigree, the ways of its parents there.
    """

    across: Mapping[str, float]
    order: tuple[tuple[str | None, ...], ...]
    strands: tuple[tuple[Strand, ...], ...]

    @property
    def span(self) -> float:
        """From the first place to the last."""
        passing = [across for ways in self.strands for way in ways for _, across in way.through]
        return max((*self.across.values(), *passing))


Node = tuple[str, int, int]
"""A member ("m", its number, 0), a mating ("x", its number, 0), or a line passing a layer ("t", its number, the layer)."""


def places(pedigree: Pedigree) -> Places:
    """The places of everybody, the same for the same family in the same order."""
    layers, edges = _graph(pedigree)
    ranks = _ranked(layers, edges)
    _bring_mates_together(ranks, edges)
    spots = _spots(ranks, edges)
    least = min(place for node, place in spots.items() if node[0] != "x")
    keys = [member.key for member in pedigree.members]
    order = tuple(tuple(keys[node[1]] if node[0] == "m" else None for node in row) for row in ranks[::2])
    across = {key: spots["m", index, 0] - least for index, key in enumerate(keys)}
    strands = tuple(
        tuple(
            Strand(parent, _rows_passed(_passing(pedigree, index, place), spots, least))
            for place, parent in enumerate(mating.parents)
        )
        for index, mating in enumerate(pedigree.matings)
    )
    return Places(across, order, strands)


def _rows_passed(way: Sequence[Node], spots: Mapping[Node, float], least: float) -> tuple[tuple[int, float], ...]:
    """The rows of members among the layers of a way; the layers between them are channels."""
    return tuple((node[2] // 2, spots[node] - least) for node in way if node[2] % 2 == 0)


def _passing(pedigree: Pedigree, mating: int, place: int) -> list[Node]:
    """The nodes on the way from a parent to a mating, below the parent's own row."""
    parents = pedigree.matings[mating].parents
    first = 2 * pedigree.generation(parents[place]) + 1
    last = 2 * max(map(pedigree.generation, parents)) + 1
    return [("t", mating * 1000 + place, layer) for layer in range(first, last)]


def _graph(pedigree: Pedigree) -> tuple[dict[Node, int], list[tuple[Node, Node]]]:
    number = {member.key: index for index, member in enumerate(pedigree.members)}
    layers: dict[Node, int] = {("m", index, 0): 2 * pedigree.generation(key) for key, index in number.items()}
    edges: list[tuple[Node, Node]] = []
    for index, mating in enumerate(pedigree.matings):
        here: Node = ("x", index, 0)
        layers[here] = 2 * max(map(pedigree.generation, mating.parents)) + 1
        for place, parent in enumerate(mating.parents):
            way: list[Node] = [("m", number[parent], 0), *_passing(pedigree, index, place), here]
            layers.update({node: node[2] for node in way[1:-1]})
            edges += list(pairwise(way))
        edges += [(here, ("m", number[young], 0)) for young in mating.young]
    return layers, edges


def _ranked(layers: Mapping[Node, int], edges: Sequence[tuple[Node, Node]]) -> list[list[Node]]:
    """Every layer from the left, ordered so that few lines cross (Sugiyama, Tagawa and Toda 1981)."""
    import igraph  # noqa: PLC0415 - loaded in the process that draws, and nowhere else

    index = {node: place for place, node in enumerate(layers)}
    graph = igraph.Graph(len(layers), [(index[a], index[b]) for a, b in edges], directed=True)
    found = graph.layout_sugiyama(layers=list(layers.values()), maxiter=300)
    ranks: list[list[Node]] = [[] for _ in range(1 + max(layers.values()))]
    for node, _ in sorted(zip(layers, found.coords, strict=True), key=lambda pair: pair[1][0]):
        ranks[layers[node]].append(node)
    return ranks


def _bring_mates_together(ranks: Sequence[list[Node]], edges: Sequence[tuple[Node, Node]]) -> None:
    """Move a mate beside the other where that costs no more crossings than it saves of the way between them."""
    parents: dict[Node, list[Node]] = {}
    for upper, lower in edges:
        if lower[0] == "x" and upper[0] == "m":
            parents.setdefault(lower, []).append(upper)
    pairs = [(pair[0], pair[1]) for pair in parents.values() if len(pair) == 2]
    for level, row in enumerate(ranks):
        here = [pair for pair in pairs if set(pair) <= set(row)]
        for moved, mate in (*here, *((b, a) for a, b in here)):
            if abs(row.index(moved) - row.index(mate)) > 1:
                tries = [list(row), *(_beside(row, moved, mate, after) for after in (0, 1))]
                best: list[Node] = min(tries, key=lambda one: _cost(one, level, ranks, edges, here))
                ranks[level][:] = best


def _beside(row: Sequence[Node], moved: Node, mate: Node, after: int) -> list[Node]:
    others = [node for node in row if node != moved]
    others.insert(others.index(mate) + after, moved)
    return others


def _cost(
    row: Sequence[Node],
    level: int,
    ranks: Sequence[Sequence[Node]],
    edges: Sequence[tuple[Node, Node]],
    mates: Sequence[tuple[Node, Node]],
) -> float:
    """Crossings around a row if it were so, and half the symbols that stand between mates."""
    place = {node: index for index, node in enumerate(row)}
    cost = sum(0.5 * (abs(place[a] - place[b]) - 1) for a, b in mates)
    for near in (level - 1, level + 1):
        if 0 <= near < len(ranks):
            other = {node: index for index, node in enumerate(ranks[near])}
            ends = [(place[a], other[b]) for a, b in edges if a in place and b in other]
            ends += [(place[b], other[a]) for a, b in edges if b in place and a in other]
            cost += sum((a - c) * (b - d) < 0 for (a, b), (c, d) in combinations(ends, 2))
    return cost


def _spots(ranks: Sequence[Sequence[Node]], edges: Sequence[tuple[Node, Node]]) -> dict[Node, float]:
    """Places across that keep the order and the room, as near as may be to the middle of what each is joined to."""
    above: dict[Node, list[Node]] = {}
    below: dict[Node, list[Node]] = {}
    for upper, lower in edges:
        above.setdefault(lower, []).append(upper)
        below.setdefault(upper, []).append(lower)
    spots: dict[Node, float] = {}
    for row in ranks:
        spots.update(zip(row, _offsets(row), strict=True))
    for sweep in range(_SWEEPS):
        down = sweep % 2 == 0
        for row in ranks if down else reversed(ranks):
            wanted = []
            for node in row:
                near = above.get(node, []) if down else below.get(node, [])
                near = near or above.get(node, []) + below.get(node, [])
                wanted.append(sum(spots[n] for n in near) / len(near) if near else spots[node])
            spots.update(zip(row, _apart(wanted, _offsets(row)), strict=True))
    return spots


def _room(node: Node) -> float:
    return {"m": _WIDE, "x": _NARROW, "t": _THREAD}[node[0]]


def _offsets(row: Sequence[Node]) -> list[float]:
    """The closest that the nodes of a row may stand, from 0."""
    found = [0.0]
    for left, right in pairwise(row):
        found.append(found[-1] + (_room(left) + _room(right)) / 2)
    return found[: len(row)]


def _apart(wanted: Sequence[float], offsets: Sequence[float]) -> list[float]:
    """The places nearest to those wanted that keep the distances: least squares over rising numbers."""
    from scipy.optimize import isotonic_regression  # noqa: PLC0415 - loaded in the process that draws

    if not wanted:
        return []
    rising = isotonic_regression([place - offset for place, offset in zip(wanted, offsets, strict=True)]).x
    return [float(place) + offset for place, offset in zip(rising, offsets, strict=True)]
