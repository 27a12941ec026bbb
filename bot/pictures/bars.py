"""Shares of classes as bars: each with its name above it and its figure behind it."""

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from bot.pictures import canvas

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_EDGE: Final = 14.0
_FIGURES: Final = 84.0
"""The room behind the longest bar."""
_BAR, _NAME, _GAP, _HEADING = 13.0, 15.0, 7.0, 24.0
_PAINTS: Final = ((canvas.BLUE, ""), (canvas.ORANGE, "////"))
"""The first group of bars and the second."""
MOST_ROWS: Final = 14
"""The most bars of one picture."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A class: its name, its share, and how the share is said."""

    name: str
    share: Fraction
    said: str


@dataclass(frozen=True, slots=True)
class Group:
    """Bars that belong together, under a heading; without one the picture has one group."""

    heading: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class BarPicture:
    """Shares as bars, as drawn: group by group, from the top. The longest bar is as wide as there is room.

    Raises:
        ValueError: there is no bar, or more than fit; a share is not one; there are more groups than can be told apart.
    """

    title: str
    groups: tuple[Group, ...]
    alternative: str
    name: str = "shares.png"

    def __post_init__(self) -> None:
        bars = [bar for group in self.groups for bar in group.bars]
        if not 1 <= len(bars) <= MOST_ROWS or len(self.groups) > len(_PAINTS):
            raise ValueError(f"{len(bars)} bars in {len(self.groups)} groups")
        if any(not 0 <= bar.share <= 1 for bar in bars):
            raise ValueError("a share that is none")

    def png(self) -> bytes:
        """The picture; see `bot.cards.card.Drawing`."""
        return _draw(self)

    def lengths(self) -> tuple[tuple[float, ...], ...]:
        """How long each bar is drawn, in points, group by group."""
        longest = max(bar.share for group in self.groups for bar in group.bars) or Fraction(1)
        room = canvas.WIDTH - 2 * _EDGE - _FIGURES
        return tuple(tuple(float(room * bar.share / longest) for bar in group.bars) for group in self.groups)


def _draw(picture: BarPicture) -> bytes:
    head = canvas.lines_of(picture.title, canvas.WIDTH - 2 * _EDGE, canvas.HEADING, most=2)
    top = 18.0 + 17.0 * len(head)
    names = [[_lines(bar) for bar in group.bars] for group in picture.groups]
    rows = [_tall(lines) for group in names for lines in group]
    headings = _HEADING * sum(bool(group.heading) for group in picture.groups)
    with canvas.sheet(max(110.0, top + sum(rows) + headings + 8)) as (figure, png):
        axes = canvas.whole(figure)
        axes.text(
            _EDGE, 10, "\n".join(head), va="top", weight="bold", size=canvas.points(canvas.HEADING), color=canvas.INK
        )
        y = top
        for group, lengths, paint, lines in zip(picture.groups, picture.lengths(), _PAINTS, names, strict=False):
            if group.heading:
                axes.text(
                    _EDGE,
                    y + 12,
                    group.heading,
                    va="center",
                    weight="bold",
                    size=canvas.points(canvas.BODY),
                    color=canvas.INK,
                )
                y += _HEADING
            for bar, length, name in zip(group.bars, lengths, lines, strict=True):
                _bar(axes, y, bar, length, name, paint)
                y += _tall(name)
    return png.getvalue()


def _lines(bar: Bar) -> tuple[str, ...]:
    return canvas.lines_of(bar.name, canvas.WIDTH - 2 * _EDGE, canvas.BODY, most=2)


def _tall(name: tuple[str, ...]) -> float:
    return _NAME * len(name) + _BAR + _GAP


def _bar(axes: "Axes", y: float, bar: Bar, length: float, name: tuple[str, ...], paint: tuple[str, str]) -> None:
    from matplotlib.patches import Rectangle  # noqa: PLC0415 - loaded in the process that draws

    axes.text(_EDGE, y, "\n".join(name), va="top", size=canvas.points(canvas.BODY), color=canvas.INK)
    below = y + _NAME * len(name)
    colour, hatch = paint
    axes.add_patch(
        Rectangle(
            (_EDGE, below),
            max(length, 1.0),
            _BAR,
            facecolor=colour,
            edgecolor=canvas.INK,
            linewidth=canvas.points(0.8),
            hatch=hatch,
        )
    )
    axes.text(
        _EDGE + length + 6, below + _BAR / 2, bar.said, va="center", size=canvas.points(canvas.BODY), color=canvas.INK
    )
