"""The picture of a family, from its values."""

from typing import TYPE_CHECKING, Any

from bot.pictures import canvas
from bot.pictures.pedigree import Shows
from bot.pictures.pedigree_chart import legend_rows
from bot.pictures.pedigree_marks import Line, Mark, PedigreeChart, Shape

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_BELOW, _LINES, _LETTERS, _SYMBOLS, _INSIDE = 1, 2, 3, 4, 5
"""What lies on what, from below: letters hide a line behind them, symbols hide both."""


def draw(chart: PedigreeChart) -> bytes:
    """The picture."""
    with canvas.sheet(chart.height, chart.width) as (figure, png):
        axes = canvas.whole(figure)
        axes.text(
            14,
            10,
            "\n".join(chart.title),
            va="top",
            weight="bold",
            size=canvas.points(canvas.HEADING),
            color=canvas.INK,
        )
        for numeral in chart.numerals:
            axes.text(
                numeral.x,
                numeral.y,
                numeral.text,
                ha="center",
                va="center",
                size=canvas.points(canvas.SMALL),
                color=canvas.GREY,
                zorder=_LETTERS,
            )
        for line in chart.lines:
            _line(axes, line)
        for mark in chart.marks:
            _mark(axes, mark)
        _legend(axes, chart)
    return png.getvalue()


def _line(axes: "Axes", line: Line) -> None:
    if not line.double:
        _stroke(axes, line.corners)
        return
    # The two of a double line are parted at right angles to it; it runs level or upright.
    (x0, y0), (x1, y1) = line.corners[0], line.corners[-1]
    aside = (0.0, 2.0) if abs(x1 - x0) >= abs(y1 - y0) else (2.0, 0.0)
    for side in (-1, 1):
        _stroke(axes, tuple((x + side * aside[0], y + side * aside[1]) for x, y in line.corners))


def _stroke(axes: "Axes", corners: tuple[tuple[float, float], ...]) -> None:
    axes.plot(
        [x for x, _ in corners],
        [y for _, y in corners],
        color=canvas.INK,
        linewidth=canvas.points(1.3),
        zorder=_LINES,
        solid_joinstyle="miter",
        solid_capstyle="projecting",
    )


def _mark(axes: "Axes", mark: Mark) -> None:
    from matplotlib.patches import Circle, Polygon  # noqa: PLC0415 - loaded in the process that draws
    from matplotlib.patheffects import withStroke  # noqa: PLC0415 - loaded in the process that draws

    filled = mark.fill is Shows.YES
    look: dict[str, Any] = {
        "facecolor": canvas.INK if filled else canvas.PAPER,
        "edgecolor": canvas.INK,
        "linewidth": canvas.points(1.5),
        "linestyle": (0, (3, 2)) if mark.fill is Shows.UNKNOWN else "-",
        "zorder": _SYMBOLS,
    }
    x, y, r = mark.x, mark.y, mark.radius
    around = {
        Shape.SQUARE: ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)),
        Shape.DIAMOND: ((x, y - r), (x + r, y), (x, y + r), (x - r, y)),
    }
    patch = Circle((x, y), r, **look) if mark.shape is Shape.CIRCLE else Polygon(around[mark.shape], **look)
    hatched = mark.fill is Shows.SOME
    if hatched:
        # The library spaces a hatch by the page and not by the symbol.
        patch.set_hatch("////" if r > 10 else "///////")
    axes.add_patch(patch)
    if mark.dot:
        axes.add_patch(Circle((x, y), r * 0.28, facecolor=canvas.INK, edgecolor="none", zorder=_INSIDE))
    if mark.inside:
        axes.text(
            x,
            y,
            mark.inside,
            ha="center",
            va="center",
            weight="bold",
            zorder=_INSIDE,
            size=canvas.points(canvas.SMALL - 1.0 * (len(mark.inside) > 3)),
            color=canvas.PAPER if filled else canvas.INK,
            path_effects=[withStroke(linewidth=canvas.points(4), foreground=canvas.PAPER)] if hatched else None,
        )
    if mark.dead:
        axes.plot(
            (x - 1.35 * r, x + 1.35 * r),
            (y + 1.35 * r, y - 1.35 * r),
            color=canvas.INK,
            linewidth=canvas.points(1.5),
            zorder=_INSIDE,
        )
    if mark.asked:
        axes.annotate(
            "",
            (x - 0.8 * r, y + 0.8 * r),
            xytext=(x - 0.8 * r - 10, y + 0.8 * r + 10),
            zorder=_INSIDE,
            arrowprops={"arrowstyle": "-|>", "color": canvas.VERMILION, "linewidth": canvas.points(1.8)},
        )
    _texts(axes, mark)


def _texts(axes: "Axes", mark: Mark) -> None:
    if mark.texts:
        axes.text(
            mark.x,
            mark.y + mark.radius + 4,
            "\n".join(mark.texts),
            ha="center",
            va="top",
            linespacing=1.05,
            size=canvas.points(canvas.SMALL),
            color=canvas.INK,
            zorder=_LETTERS,
            bbox={"facecolor": canvas.PAPER, "edgecolor": "none", "pad": 0.6},
        )


def _legend(axes: "Axes", chart: PedigreeChart) -> None:
    rows = legend_rows(chart.legend, chart.width - 28)
    for place, row in enumerate(rows):
        y = chart.height - 14 - 20 * (len(rows) - 1 - place)
        for x, sample in row:
            middle = 14 + x + 8
            if sample.mark is None:
                _line(axes, Line(((middle - 8, y), (middle + 8, y)), double=True))
            else:
                old = sample.mark
                _mark(axes, Mark(old.key, middle, y, old.radius, old.shape, old.fill, old.inside, old.dot))
            axes.text(middle + 12, y, sample.words, va="center", size=canvas.points(canvas.SMALL), color=canvas.INK)
