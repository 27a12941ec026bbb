"""What all pictures share: size, letters, colours, and how a figure becomes a PNG."""

import io
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH: Final = 360
"""The width of a picture in points of a phone's screen; drawn at two pixels a point."""
SMALL: Final = 10.0
"""The smallest letters, in points of the screen."""
BODY: Final = 11.5
HEADING: Final = 13.5

# Colours that colour-blind eyes tell apart, after Okabe and Ito, "Color Universal Design" (2008).
BLUE: Final = "#0072B2"
SKY: Final = "#56B4E9"
ORANGE: Final = "#E69F00"
GREEN: Final = "#009E73"
YELLOW: Final = "#F0E442"
VERMILION: Final = "#D55E00"
PURPLE: Final = "#CC79A7"
INK: Final = "#1A1A1A"
GREY: Final = "#767676"
PALE: Final = "#E4E4E4"
PAPER: Final = "#FFFFFF"

LIBRARIES: Final = (
    "matplotlib.figure",
    "matplotlib.backends.backend_agg",
    "matplotlib.patheffects",
    "igraph",
    "scipy.optimize",
)
"""What takes longest to load of all that drawing needs."""

_POINTS_PER_INCH: Final = 100
_DPI: Final = 200
_FIGURES: Final = re.compile(r" (?=%)|(?<=\d) (?=in \d)|(?<=\d in) (?=\d)")
"""The spaces within a figure, which stays on one line: "12 %", "1 in 16"."""
_POINT: Final = 72 / _POINTS_PER_INCH
"""A point of the screen in the printer's points that the drawing library counts in."""


def points(size: float) -> float:
    """A length in points of the screen, in the drawing library's own unit."""
    return size * _POINT


@contextmanager
def sheet(height: float, width: float = WIDTH) -> Iterator["tuple[Figure, io.BytesIO]"]:
    """An empty figure of so many points; when the block is left its PNG stands in the buffer, always the same bytes."""
    import matplotlib as mpl  # noqa: PLC0415 - loaded in the process that draws, and nowhere else
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - as above
    from matplotlib.figure import Figure  # noqa: PLC0415 - as above

    buffer = io.BytesIO()
    own: dict[Any, Any] = {
        "text.parse_math": False,
        "font.family": "DejaVu Sans",
        "font.size": points(BODY),
        "hatch.linewidth": 0.8,
    }
    with mpl.rc_context({**mpl.rcParamsDefault, "backend": "agg", **own}), warnings.catch_warnings():
        # A name may be in letters that the font does not have. They show as boxes; the words beside the picture have them.
        warnings.filterwarnings("ignore", "Glyph .* missing from font")
        figure = Figure(figsize=(width / _POINTS_PER_INCH, height / _POINTS_PER_INCH), dpi=_DPI, facecolor=PAPER)
        FigureCanvasAgg(figure)
        yield figure, buffer
        # Without the library's name and version in it, the same picture is the same file.
        figure.savefig(buffer, format="png", metadata={"Software": None})


def area(figure: "Figure", left: float, bottom: float, right: float, top: float) -> "Axes":
    """Axes with these margins to the edges of the figure, in points."""
    width, height = (size * _POINTS_PER_INCH for size in figure.get_size_inches())
    return figure.add_axes(
        (left / width, bottom / height, (width - left - right) / width, (height - bottom - top) / height)
    )


def whole(figure: "Figure") -> "Axes":
    """Axes over the whole figure without a frame, whose units are points from the upper left corner."""
    width, height = (size * _POINTS_PER_INCH for size in figure.get_size_inches())
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    return axes


def lines_of(text: str, width: float, size: float, most: int = 3) -> tuple[str, ...]:
    """A text in lines that fit `width` points in letters of `size`, `most` lines at the most; the rest becomes "…".

    A letter is taken as 0.58 of its size wide: a little more than they are on average, so that nothing is cut.
    """
    room = max(4, int(width / (0.58 * size)))
    found = [""]
    for word in _FIGURES.sub("\u00a0", " ".join(text.split())).split(" "):
        rest = word
        while rest:
            gap = " " if found[-1] else ""
            if len(found[-1]) + len(gap) + len(rest) <= room:
                found[-1] += gap + rest
                break
            if found[-1]:
                found.append("")
            if len(rest) > room:
                found[-1], rest = rest[:room], rest[room:]
                if rest:
                    found.append("")
    if len(found) > most:
        found = [*found[: most - 1], found[most - 1][: room - 1].rstrip() + "…"]
    return tuple(found)
