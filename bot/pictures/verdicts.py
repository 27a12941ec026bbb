"""How the verdict on a trait moved: the likeliest explanations as lines over the broods, in the order of their scoring."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from bot.pictures import canvas

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_LINES: Final = 4
_LINES: Final = (
    (canvas.BLUE, "o", (0.0, ())),
    (canvas.VERMILION, "s", (0.0, (5.0, 2.0))),
    (canvas.GREEN, "^", (0.0, (1.0, 1.5))),
    (canvas.GREY, "D", (0.0, (5.0, 2.0, 1.0, 2.0))),
)
"""The colour, the shape and the dashes (length of line and gap in turn) of each line."""
_STEPS: Final = ((0.0, "0 %"), (0.5, "50 %"), (0.8, "80 %"), (0.95, "95 %"), (1.0, ""))
"""What stands beside the upright axis; from 80 % and 95 % on other words are said."""
_RIGHT: Final = 124.0
_LEFT: Final = 44.0
_LABEL: Final = 0.075
"""The least distance between two names at the ends of lines, as a share of the axis."""
_TURNED: Final = 5
"""From so many broods on their codes stand upright."""


@dataclass(frozen=True, slots=True)
class VerdictLine:
    """An explanation: how it is called, and its share after each brood (0 to 1)."""

    name: str
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class VerdictPicture:
    """The course of a verdict as drawn. `broods` are codes, in the order of scoring.

    Raises:
        ValueError: there is no brood, no line or too many, a line is of other broods, or a share is none.
    """

    title: str
    broods: tuple[str, ...]
    lines: tuple[VerdictLine, ...]
    alternative: str
    name: str = "verdict.png"

    def __post_init__(self) -> None:
        if not self.broods or not 1 <= len(self.lines) <= MOST_LINES:
            raise ValueError(f"{len(self.lines)} lines over {len(self.broods)} broods")
        for line in self.lines:
            if len(line.shares) != len(self.broods) or not all(0 <= share <= 1 for share in line.shares):
                raise ValueError(f"not shares of {len(self.broods)} broods: {line}")

    def png(self) -> bytes:
        """The picture; see `bot.cards.card.Drawing`."""
        return _draw(self)

    def ends(self) -> tuple[float, ...]:
        """Where the name of each line stands, as a share of the axis: at its end, moved apart from its neighbours'."""
        order = sorted(range(len(self.lines)), key=lambda at: self.lines[at].shares[-1])
        places = [0.0] * len(self.lines)
        below = -_LABEL
        for at in order:
            below = places[at] = max(self.lines[at].shares[-1], below + _LABEL)
        over = max(0.0, below - 1.0)
        for at in reversed(order):
            above = min((places[other] for other in order[order.index(at) + 1 :]), default=1.0 + _LABEL)
            places[at] = min(places[at], above - _LABEL) if over else places[at]
        return tuple(places)


def _draw(picture: VerdictPicture) -> bytes:
    head = canvas.lines_of(picture.title, canvas.WIDTH - 24, canvas.HEADING, most=2)
    turned = len(picture.broods) >= _TURNED
    longest = max(len(code) for code in picture.broods)
    top, bottom = 16 + 17 * len(head), 14 + (7 * longest if turned else 14)
    height = 190.0 + top + bottom
    with canvas.sheet(height) as (figure, png):
        figure.text(
            12 / canvas.WIDTH,
            1 - 8 / height,
            "\n".join(head),
            va="top",
            weight="bold",
            size=canvas.points(canvas.HEADING),
            color=canvas.INK,
        )
        axes = canvas.area(figure, _LEFT, bottom, _RIGHT, top)
        _frame(axes, picture.broods, turned)
        for line, place, paint in zip(picture.lines, picture.ends(), _LINES, strict=False):
            _line(axes, line, place, paint)
    return png.getvalue()


def _frame(axes: "Axes", broods: Sequence[str], turned: bool) -> None:
    last = len(broods) - 1
    axes.set_xlim(-0.3, last + 0.3)
    axes.set_ylim(-0.02, 1.02)
    axes.set_yticks([step for step, _ in _STEPS], [name for _, name in _STEPS])
    axes.set_xticks(range(len(broods)), broods, rotation=90 if turned else 0)
    axes.tick_params(length=3, color=canvas.GREY, labelcolor=canvas.INK, labelsize=canvas.points(canvas.SMALL))
    axes.grid(axis="y", color=canvas.PALE, linewidth=0.7)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(canvas.GREY)


def _line(
    axes: "Axes", line: VerdictLine, place: float, paint: tuple[str, str, tuple[float, tuple[float, ...]]]
) -> None:
    colour, shape, dashes = paint
    places = list(range(len(line.shares)))
    axes.plot(
        places,
        line.shares,
        linestyle=dashes,
        linewidth=1.4,
        color=colour,
        marker=shape,
        markersize=5,
        markeredgecolor=canvas.PAPER,
        markeredgewidth=0.6,
        clip_on=False,
        zorder=3,
    )
    axes.annotate(
        canvas.lines_of(line.name, _RIGHT - 12, canvas.SMALL, most=1)[0],
        (places[-1], line.shares[-1]),
        xytext=(places[-1] + 0.3, place),
        textcoords="data",
        va="center",
        size=canvas.points(canvas.SMALL),
        color=colour,
        weight="bold",
        annotation_clip=False,
    )
