"""The square of a cross: the dam's eggs down the side, the sire's sperm along the top, and how their young look."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from bot.pictures import canvas

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_EDGE: Final = 14.0
_SIDE, _TOP = 58.0, 44.0
"""The room of the eggs at the left and of the sperm above, in points."""
_CELL: Final = 46.0
_ROW: Final = 19.0
_INKS: Final = (
    canvas.PAPER, canvas.ORANGE, canvas.SKY, canvas.GREEN, canvas.YELLOW, canvas.PURPLE, canvas.VERMILION, canvas.BLUE,
    canvas.GREY,
)  # fmt: skip
_HATCHES: Final = ("", "////", "\\\\\\\\", "....", "||||", "xxxx", "----", "++++", "oooo")
"""What a class is told by besides its colour and its name."""
MOST_LOOKS: Final = len(_INKS)
"""The most looks of one square that can be told apart."""


@dataclass(frozen=True, slots=True)
class Edge:
    """A kind of egg or sperm beside the square; `share` is said where the kinds are not equally many, else it is empty."""

    text: str
    share: str = ""


@dataclass(frozen=True, slots=True)
class Square:
    """A cell: the genotype, the number of its look among those of the picture, what else is said in it."""

    genotype: str
    look: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class GridPicture:
    """The square of a cross, as drawn. `looks` are the names of the classes and what is said of their shares.

    The first look is left white: put the wild one first, where there is one.

    Raises:
        ValueError: the cells are not as many as eggs and sperm, or there are more looks than can be told apart.
    """

    title: str
    eggs: tuple[Edge, ...]
    sperm: tuple[Edge, ...]
    squares: tuple[tuple[Square, ...], ...]
    looks: tuple[tuple[str, str], ...]
    alternative: str
    name: str = "cross.png"

    def __post_init__(self) -> None:
        if len(self.squares) != len(self.eggs) or any(len(row) != len(self.sperm) for row in self.squares):
            raise ValueError(f"{len(self.eggs)} eggs and {len(self.sperm)} sperm do not make {self.squares}")
        if not 1 <= len(self.looks) <= MOST_LOOKS:
            raise ValueError(f"{len(self.looks)} looks")
        if any(not 0 <= one.look < len(self.looks) for row in self.squares for one in row):
            raise ValueError("a look that is not named")

    def png(self) -> bytes:
        """The picture; see `bot.cards.card.Drawing`."""
        return _draw(self)

    def labels(self) -> tuple[str, ...]:
        """What stands in the cells for each look: its name where all names have room there, else its number in the key."""
        room = int((_across(self) - 8) / (0.6 * canvas.SMALL))
        names = tuple(name for name, _ in self.looks)
        return names if all(len(name) <= room for name in names) else tuple("123456789"[: len(names)])


def _across(picture: GridPicture) -> float:
    """The width of a cell."""
    return min((canvas.WIDTH - 2 * _EDGE - _SIDE) / len(picture.sperm), 130.0)


def _draw(picture: GridPicture) -> bytes:
    head = canvas.lines_of(picture.title, canvas.WIDTH - 2 * _EDGE, canvas.HEADING, most=2)
    notes = any(one.note for row in picture.squares for one in row)
    tall = _CELL + 13.0 * notes
    top = 18.0 + 17.0 * len(head) + _TOP
    square = top + tall * len(picture.eggs)
    labels = picture.labels()
    said = _said(picture)
    with canvas.sheet(square + 14 + sum(_ROW + 12 * (len(lines) - 1) for lines in said) + 4) as (figure, png):
        axes = canvas.whole(figure)
        axes.text(
            _EDGE, 10, "\n".join(head), va="top", weight="bold", size=canvas.points(canvas.HEADING), color=canvas.INK
        )
        _edges(axes, picture, top, tall)
        for row, cells in enumerate(picture.squares):
            for column, one in enumerate(cells):
                box = (_EDGE + _SIDE + column * _across(picture), top + row * tall, _across(picture), tall)
                _cell(axes, box, one, labels[one.look])
        y = square + 14 + _ROW / 2
        for look, lines in enumerate(said):
            _patch(axes, (_EDGE, y - 7, 22, 14), look)
            if labels[look] != picture.looks[look][0]:
                _letters(axes, _EDGE + 11, y, labels[look], weight="bold")
            axes.text(_EDGE + 30, y - 6, "\n".join(lines), va="top", size=canvas.points(canvas.BODY), color=canvas.INK)
            y += _ROW + 12 * (len(lines) - 1)
    return png.getvalue()


def _said(picture: GridPicture) -> list[tuple[str, ...]]:
    """The lines of the key, look by look."""
    return [
        canvas.lines_of(f"{name}: {share}", canvas.WIDTH - 2 * _EDGE - 30, canvas.BODY, most=2)
        for name, share in picture.looks
    ]


def _edges(axes: "Axes", picture: GridPicture, top: float, tall: float) -> None:
    across, left = _across(picture), _EDGE + _SIDE
    middle = left + across * len(picture.sperm) / 2
    axes.text(
        middle,
        top - _TOP + 6,
        "sire's sperm",
        ha="center",
        va="center",
        size=canvas.points(canvas.SMALL),
        color=canvas.GREY,
    )
    axes.text(
        _EDGE + 5,
        top + tall * len(picture.eggs) / 2,
        "dam's eggs",
        ha="center",
        va="center",
        rotation=90,
        size=canvas.points(canvas.SMALL),
        color=canvas.GREY,
    )
    for column, edge in enumerate(picture.sperm):
        _edge(axes, left + (column + 0.5) * across, top - 16, edge)
    for row, edge in enumerate(picture.eggs):
        _edge(axes, _EDGE + 10 + (_SIDE - 10) / 2, top + (row + 0.5) * tall, edge)


def _edge(axes: "Axes", x: float, y: float, edge: Edge) -> None:
    lift = 7 if edge.share else 0
    axes.text(
        x,
        y - lift,
        edge.text,
        ha="center",
        va="center",
        weight="bold",
        size=canvas.points(canvas.BODY),
        color=canvas.INK,
    )
    if edge.share:
        axes.text(x, y + 7, edge.share, ha="center", va="center", size=canvas.points(canvas.SMALL), color=canvas.INK)


def _cell(axes: "Axes", box: tuple[float, float, float, float], square: Square, look: str) -> None:
    x, y, across, tall = box
    _patch(axes, box, square.look)
    rows = [(square.genotype, "normal"), (look, "bold"), *(((square.note, "normal"),) if square.note else ())]
    step = 14.0
    for number, (text, weight) in enumerate(rows):
        _letters(axes, x + across / 2, y + tall / 2 + step * (number - (len(rows) - 1) / 2), text, weight=weight)


def _patch(axes: "Axes", box: tuple[float, float, float, float], look: int) -> None:
    from matplotlib.patches import Rectangle  # noqa: PLC0415 - loaded in the process that draws

    x, y, across, tall = box
    paint: dict[str, Any] = {
        "facecolor": _pale(_INKS[look], 0.55),
        "edgecolor": _pale(_INKS[look], 0.0),
        "linewidth": 0.0,
    }
    axes.add_patch(Rectangle((x, y), across, tall, hatch=_HATCHES[look], **paint))
    axes.add_patch(Rectangle((x, y), across, tall, fill=False, edgecolor=canvas.INK, linewidth=canvas.points(1.0)))


def _pale(colour: str, white: float) -> tuple[float, float, float]:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red + (1 - red) * white, green + (1 - green) * white, blue + (1 - blue) * white


def _letters(axes: "Axes", x: float, y: float, text: str, *, weight: str) -> None:
    from matplotlib.patheffects import withStroke  # noqa: PLC0415 - loaded in the process that draws

    axes.text(
        x,
        y,
        text,
        ha="center",
        va="center",
        weight=weight,
        size=canvas.points(canvas.SMALL),
        color=canvas.INK,
        path_effects=[withStroke(linewidth=canvas.points(3.5), foreground=canvas.PAPER)],
    )
