"""From a family to the marks and lines of its picture: the measures of symbols, rows and channels."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from bot.cards import words
from bot.pictures import canvas
from bot.pictures.pedigree import Mating, Member, Pedigree, Sex, Shows
from bot.pictures.pedigree_lines import Lines, Route, Stop, lines
from bot.pictures.pedigree_marks import Line, Mark, Numeral, PedigreeChart, Sample, Shape
from bot.pictures.pedigree_places import Places, places
from bot.pictures.pedigree_words import numeral

_RADIUS: Final = 11.0
_GROUP_RADIUS: Final = 16.0
_LETTERS: Final = canvas.SMALL + 2.5
"""The height of a line of letters below a symbol."""
_LEVEL: Final = 12.0
"""From a level of a channel to the next, and from its ends to the symbols."""
_LEAST_LEVEL: Final = 7.0
_EDGE: Final = 14.0
_NUMERALS: Final = 24.0
_ACROSS: Final = (44.0, 74.0)
"""The least and the most room of a symbol in a row, from left to right."""
_TURNED_ACROSS: Final = 14.0
"""The room between two symbols with their letters, one above the other, where generations go from left to right."""
_TURNED_ALONG: Final = 44.0
_SHAPES: Final = {Sex.MALE: Shape.SQUARE, Sex.FEMALE: Shape.CIRCLE, Sex.UNKNOWN: Shape.DIAMOND}


def pedigree_chart(pedigree: Pedigree, title: str) -> PedigreeChart:
    """The picture of a family as values. It loads a library of graphs and takes some milliseconds."""
    pedigree = _by_pairs(pedigree)
    found = places(pedigree)
    joined = lines(pedigree, found)
    head = canvas.lines_of(title, canvas.WIDTH - 2 * _EDGE, canvas.HEADING, most=2)
    top = 16.0 + 17.0 * len(head)
    room = (canvas.WIDTH - 2 * _EDGE - _NUMERALS) / (found.span + 1)
    turned = room < _ACROSS[0]
    measures = _turned(pedigree, found, joined, top) if turned else _upright(pedigree, found, joined, top, room)
    width = max(float(canvas.WIDTH), measures.width)
    legend = _legend(pedigree)
    return PedigreeChart(
        title=head,
        width=width,
        height=measures.height + (14.0 + 20.0 * len(legend_rows(legend, width - 2 * _EDGE)) if legend else 10.0),
        turned=turned,
        marks=tuple(
            _mark(member, *measures.at(found.across[member.key], pedigree.generation(member.key)), measures)
            for member in pedigree.members
        ),
        lines=tuple(_line(route, measures) for route in joined.routes),
        numerals=tuple(_numeral(row, measures) for row in range(len(found.order))),
        legend=legend,
    )


def _by_pairs(pedigree: Pedigree) -> Pedigree:
    """The family with the broods of the same parents as one: they hang on one line."""
    young: dict[frozenset[str], list[str]] = {}
    first: dict[frozenset[str], Mating] = {}
    for mating in pedigree.matings:
        pair = frozenset(mating.parents)
        young.setdefault(pair, []).extend(mating.young)
        kept = first.setdefault(pair, mating)
        first[pair] = kept if kept.related else replace(kept, related=mating.related)
    return replace(pedigree, matings=tuple(replace(mating, young=tuple(young[pair])) for pair, mating in first.items()))


@dataclass(frozen=True, slots=True)
class _Measures:
    """Where rows and places are in points. `rows` is the middle of each row's symbols along, `channels` where each row's
    first level is; levels are a `step` apart."""

    turned: bool
    first: float
    room: float
    rows: tuple[float, ...]
    channels: tuple[float, ...]
    step: float
    letters: int
    width: float
    height: float

    def at(self, across: float, row: int) -> tuple[float, float]:
        """The middle of a symbol."""
        return self._point(across, self.rows[row])

    def stop(self, stop: Stop) -> tuple[float, float]:
        """A corner of a line."""
        along = self.rows[stop.row] if stop.level is None else self.channels[stop.row] + self.step * stop.level
        return self._point(stop.across, along)

    def _point(self, across: float, along: float) -> tuple[float, float]:
        here = self.first + across * self.room
        return (along, here) if self.turned else (here, along)


def _upright(pedigree: Pedigree, found: Places, joined: Lines, top: float, room: float) -> _Measures:
    letters = max(4, int((min(room, _ACROSS[1]) - 4) / (0.6 * canvas.SMALL)))
    room = min(room, _ACROSS[1])
    used = found.span * room
    first = _EDGE + _NUMERALS + (canvas.WIDTH - 2 * _EDGE - _NUMERALS - used) / 2
    rows, channels = [], []
    along = top
    for row, levels in enumerate(joined.levels):
        here = [member for member in pedigree.members if pedigree.generation(member.key) == row]
        radius = max(_radius(member) for member in here) if here else _RADIUS
        rows.append(along + radius + 4)
        along += 2 * radius + 8 + _LETTERS * max((len(_texts(member, letters)) for member in here), default=0)
        channels.append(along + _LEVEL / 2)
        along += _LEVEL * (levels + 0.5) if levels else 4.0
        along += 6.0 if row + 1 < len(joined.levels) else 0.0
    return _Measures(False, first, room, tuple(rows), tuple(channels), _LEVEL, letters, canvas.WIDTH, along)


def _turned(pedigree: Pedigree, found: Places, joined: Lines, top: float) -> _Measures:
    inside = canvas.WIDTH - 2 * _EDGE
    needed = sum(levels + 1 for levels in joined.levels)
    step = min(_LEVEL, max(_LEAST_LEVEL, (inside - _TURNED_ALONG * len(joined.levels)) / needed))
    least = [_TURNED_ALONG + step * (levels + 1) for levels in joined.levels]
    spare = max(0.0, inside - sum(least)) / len(least)
    letters = max(4, int((_TURNED_ALONG + spare) / (0.6 * canvas.SMALL)))
    rows, channels = [], []
    along = _EDGE
    for width in least:
        middle = along + (_TURNED_ALONG + spare) / 2
        rows.append(middle)
        channels.append(along + _TURNED_ALONG + spare + step / 2)
        along += width + spare
    tallest = max(2 * _radius(member) + _LETTERS * len(_texts(member, letters)) for member in pedigree.members)
    room = tallest + _TURNED_ACROSS
    first = top + _NUMERALS + 18
    height = first + found.span * room + tallest
    return _Measures(True, first, room, tuple(rows), tuple(channels), step, letters, along + _EDGE, height)


def _radius(member: Member) -> float:
    return _GROUP_RADIUS if member.group else _RADIUS


def _mark(member: Member, x: float, y: float, measures: _Measures) -> Mark:
    return Mark(
        key=member.key,
        x=x,
        y=y,
        radius=_radius(member),
        shape=Shape.DIAMOND if member.group and member.sex is Sex.UNKNOWN else _SHAPES[member.sex],
        fill=member.shows,
        inside=_inside(member),
        dot=member.carries == 1 and member.shows in (Shows.NO, Shows.UNKNOWN) and not member.group,
        dead=member.dead,
        asked=member.asked,
        texts=_texts(member, measures.letters),
    )


def _inside(member: Member) -> str:
    """How many there are; "n" of a group nobody counted, as the nomenclature has it; what has no room stands below."""
    if not member.group:
        return "?" if member.shows is Shows.UNKNOWN else ""
    if member.count is None:
        return "n"
    said = f"{'~' if member.estimate else ''}{member.count}"
    return said if len(said) <= 4 else ""


def _texts(member: Member, letters: int) -> tuple[str, ...]:
    """The letters below a symbol: who it is, its number if it has no room inside, what it may carry, and its note."""
    found = [member.label]
    if member.count is not None and not _inside(member):
        found.append(words.counted(member.count, member.estimate))
    if member.carries == 1 and member.group and member.shows is not Shows.YES:
        found.append("carry")
    elif 0 < member.carries < 1:
        found.append(f"{words.exact(member.carries)} carry" if member.group else f"{words.exact(member.carries)} het")
    if member.note:
        found.append(member.note)
    size = 0.6 * canvas.SMALL
    return tuple(line for text in found for line in canvas.lines_of(text, letters * size, canvas.SMALL, most=2))


def _line(route: Route, measures: _Measures) -> Line:
    return Line(tuple(measures.stop(stop) for stop in route.stops), route.double)


def _numeral(row: int, measures: _Measures) -> Numeral:
    along = measures.rows[row]
    if measures.turned:
        return Numeral(numeral(row), along, measures.first - _NUMERALS)
    return Numeral(numeral(row), _EDGE + 4, along)


def _legend(pedigree: Pedigree) -> tuple[Sample, ...]:
    """What the marks of this picture mean, those that occur."""

    def sample(fill: Shows = Shows.NO, *, shape: Shape = Shape.CIRCLE, inside: str = "", dot: bool = False) -> Mark:
        return Mark("", 0.0, 0.0, 8.0 if inside else 7.0, shape, fill, inside, dot)

    shows = {member.shows for member in pedigree.members} if pedigree.trait else set()
    animals = [member for member in pedigree.members if not member.group]
    found: list[tuple[bool, Mark | None, str]] = [
        (any(m.sex is Sex.MALE for m in animals), sample(shape=Shape.SQUARE), "male"),
        (any(m.sex is Sex.FEMALE for m in animals), sample(), "female"),
        (any(m.sex is Sex.UNKNOWN for m in animals), sample(shape=Shape.DIAMOND), "sex not known"),
        (any(m.group for m in pedigree.members), sample(shape=Shape.DIAMOND, inside="n"), "group and its number"),
        (Shows.YES in shows, sample(Shows.YES), f"shows {pedigree.trait}"),
        (Shows.SOME in shows, sample(Shows.SOME, shape=Shape.DIAMOND), f"some show {pedigree.trait}"),
        (any(m.carries == 1 for m in animals), sample(dot=True), "carries it for sure"),
        (any(pedigree.related(mating) for mating in pedigree.matings), None, "relatives"),
    ]
    return tuple(Sample(mark, said) for occurs, mark, said in found if occurs)


def legend_rows(legend: Sequence[Sample], width: float) -> tuple[tuple[tuple[float, Sample], ...], ...]:
    """The key in rows that fit a width, each sample with its place from the left."""
    rows: list[list[tuple[float, Sample]]] = []
    x = width
    for sample in legend:
        wide = 34 + 0.6 * canvas.SMALL * len(sample.words)
        if x + wide > width:
            rows.append([])
            x = 0.0
        rows[-1].append((x, sample))
        x += wide
    return tuple(map(tuple, rows))
