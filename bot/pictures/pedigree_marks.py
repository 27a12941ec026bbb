"""What is drawn of a family, as values: marks, lines and letters, in points from the picture's upper left corner."""

from dataclasses import dataclass
from enum import StrEnum

from bot.pictures.pedigree import Shows


class Shape(StrEnum):
    """The outline of a symbol."""

    SQUARE = "square"
    CIRCLE = "circle"
    DIAMOND = "diamond"


@dataclass(frozen=True, slots=True)
class Mark:
    """A symbol: its middle, half its width, and all that is in it. `texts` stand below it, line by line."""

    key: str
    x: float
    y: float
    radius: float
    shape: Shape
    fill: Shows
    inside: str = ""
    dot: bool = False
    dead: bool = False
    asked: bool = False
    texts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A line from corner to corner, drawn twice side by side where it joins relatives."""

    corners: tuple[tuple[float, float], ...]
    double: bool = False


@dataclass(frozen=True, slots=True)
class Numeral:
    """The name of a generation, and its middle."""

    text: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Sample:
    """A line of the key below the picture: a mark or a line, and what it means."""

    mark: Mark | None
    words: str


@dataclass(frozen=True, slots=True)
class PedigreeChart:
    """Everything that is drawn of a family. `turned`: generations go from left to right, for the widest has no room."""

    title: tuple[str, ...]
    width: float
    height: float
    turned: bool
    marks: tuple[Mark, ...]
    lines: tuple[Line, ...]
    numerals: tuple[Numeral, ...]
    legend: tuple[Sample, ...]
