"""Counts of a bin over time: the total as a line, judged counts hollow, what is uncertain as bars, classes as shapes."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Final

from bot.cards import words
from bot.pictures import canvas

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_SECONDS_PER_DAY: Final = 86_400
_CLASSES: Final = (
    ("adults", canvas.BLUE, "^", (0.0, (5.0, 2.0))),
    ("juveniles", canvas.ORANGE, "s", (0.0, (1.0, 1.5))),
    ("mancae", canvas.GREEN, "D", (0.0, (5.0, 2.0, 1.0, 2.0))),
)
"""Each class with its colour, its shape and its dashes: the length of line and gap in turn."""
_LETTERS_A_DATE: Final = 0.19
"""The share of the chart's width that the name of a day takes."""


@dataclass(frozen=True, slots=True)
class CountPoint:
    """One count of a bin. `at` is aware, in the zone whose days people read.

    `estimate`: judged and not counted one by one. `low` and `high`: the least and the most it may have been, if it was
    given as a range. Of a class, None means that it was not counted, which is not 0.

    Raises:
        ValueError: `at` is naive, a number is negative, or the range does not hold the total.
    """

    at: datetime
    total: int
    estimate: bool = False
    low: int | None = None
    high: int | None = None
    adults: int | None = None
    juveniles: int | None = None
    mancae: int | None = None

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            raise ValueError(f"a count at a time without a zone: {self.at}")
        if any(n is not None and n < 0 for n in (self.total, self.low, *self.classes)):
            raise ValueError(f"a negative number in {self}")
        if not self.least <= self.total <= self.most:
            raise ValueError(f"{self.total} is not between {self.low} and {self.high}")

    @property
    def least(self) -> int:
        """The least it may have been, as far as was said."""
        return self.total if self.low is None else self.low

    @property
    def most(self) -> int:
        """The most it may have been, as far as was said."""
        return self.total if self.high is None else self.high

    @property
    def classes(self) -> tuple[int | None, int | None, int | None]:
        """Adults, juveniles and mancae."""
        return self.adults, self.juveniles, self.mancae

    @property
    def uncertain(self) -> bool:
        """Whether it was judged, or given as a range."""
        return self.estimate or self.least < self.most


@dataclass(frozen=True, slots=True)
class Series:
    """The counts of one class as drawn; NaN where it was not counted."""

    name: str
    numbers: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class CountChart:
    """A chart of counts, oldest first. `days` run from the first count; the other tuples are as long.

    `hollow` marks judged counts, `below` and `above` are the lengths of the bars of what is uncertain. `ticks` name days,
    `steps` are the numbers beside the upright axis, which ends at the last. `latest` stands at the last count.
    """

    title: str
    days: tuple[float, ...]
    totals: tuple[int, ...]
    hollow: tuple[bool, ...]
    below: tuple[int, ...]
    above: tuple[int, ...]
    classes: tuple[Series, ...]
    ticks: tuple[tuple[float, str], ...]
    steps: tuple[int, ...]
    latest: str
    alternative: str
    name: str = field(default="counts.png")

    def png(self) -> bytes:
        """The picture; see `bot.cards.card.Drawing`."""
        return _draw(self)


def count_chart(counts: Iterable[CountPoint], title: str, *, name: str = "counts.png") -> CountChart:
    """A chart of the counts of a bin, given in any order. `title` says whose they are, like "B-3 (frost line)".

    Put it among a card's `drawings`.

    Raises:
        ValueError: there is no count.
    """
    points = sorted(counts, key=lambda each: each.at)
    if not points:
        raise ValueError("a chart without a count")
    first = points[0].at
    days = tuple((each.at - first).total_seconds() / _SECONDS_PER_DAY for each in points)
    classes = tuple(
        Series(kind[0], tuple(float("nan") if n is None else float(n) for n in numbers))
        for kind, numbers in zip(_CLASSES, zip(*(each.classes for each in points), strict=True), strict=True)
        if any(n is not None for n in numbers)
    )
    return CountChart(
        title=title,
        days=days,
        totals=tuple(each.total for each in points),
        hollow=tuple(each.estimate for each in points),
        below=tuple(each.total - each.least for each in points),
        above=tuple(each.most - each.total for each in points),
        classes=classes,
        ticks=_ticks(points, days),
        steps=_steps(max(each.most for each in points)),
        latest=_amount(points[-1]),
        alternative=_said(points, title),
        name=name,
    )


def _ticks(points: Sequence[CountPoint], days: Sequence[float]) -> tuple[tuple[float, str], ...]:
    """Names of days: of the first and the last count, and of others between that leave room for a name."""
    years = points[0].at.year != points[-1].at.year
    kept = [0]
    span = days[-1] or 1.0
    room = span * (_LETTERS_A_DATE if not years else _LETTERS_A_DATE * 1.35)
    for index in range(1, len(points) - 1):
        if days[index] - days[kept[-1]] >= room and days[-1] - days[index] >= room:
            kept.append(index)
    if days[-1] > days[0]:
        kept.append(len(points) - 1)
    return tuple((days[index], _day(points[index].at, years)) for index in kept)


def _day(at: datetime, year: bool) -> str:
    return f"{at.day} {at:%b}" + (f" {at:%y}" if year else "")


def _steps(highest: int) -> tuple[int, ...]:
    """Round numbers from 0 to the first that is not below `highest`, six at the most."""
    step, unit = 1, 1
    while True:
        for factor in (1, 2, 5):
            step = factor * unit
            if step * 5 >= highest:
                last = max(1, -(-highest // step))
                return tuple(step * n for n in range(last + 1))
        unit *= 10


def _said(points: Sequence[CountPoint], title: str) -> str:
    last = points[-1]
    many = [f"{title}: {words.plural(len(points), 'count')}, the latest {_amount(last)} on {_long_day(last.at)}."]
    if len(points) > 1:
        many.append(_change(points))
        highest = max(points, key=lambda each: each.total)
        if highest.total > max(points[0].total, last.total):
            many.append(f"The most was {_amount(highest)} on {_long_day(highest.at)}.")
    told = [each for each in points if any(n is not None for n in each.classes)]
    if told:
        parts = [
            f"{name} not counted" if n is None else f"{words.number(n)} {name}"
            for (name, *_), n in zip(_CLASSES, told[-1].classes, strict=True)
        ]
        when = "The latest by class" if told[-1] is last else f"By class on {_long_day(told[-1].at)}"
        many.append(f"{when}: {words.listed(parts)}.")
    if any(each.estimate for each in points):
        many.append("Hollow marks were judged, not counted one by one.")
    if any(each.least < each.most for each in points):
        many.append("Bars show ranges.")
    return " ".join(many)


def _change(points: Sequence[CountPoint]) -> str:
    first, last = points[0], points[-1]
    since = f"since {_amount(first)} on {_long_day(first.at)}"
    if last.least > first.most:
        return f"It has grown {since}."
    if last.most < first.least:
        return f"It has fallen {since}."
    if first.total == last.total and not (first.uncertain or last.uncertain):
        return f"It is the same as {since.removeprefix('since ')}."
    return f"Whether it has changed {since} can't be told: the ranges meet."


def _amount(point: CountPoint) -> str:
    if point.least < point.most:
        return f"{words.number(point.least)} to {words.number(point.most)}"
    return words.counted(point.total, point.estimate)


def _long_day(at: datetime) -> str:
    return f"{at.day} {at:%B %Y}"


def _draw(chart: CountChart) -> bytes:
    head = canvas.lines_of(chart.title, canvas.WIDTH - 24, canvas.HEADING, most=2)
    top, bottom = 18 + 17 * len(head), 34 + (22 if chart.classes or any(chart.hollow) else 0)
    with canvas.sheet(220 + top + bottom - 60) as (figure, png):
        figure.text(
            12 / canvas.WIDTH,
            1 - 8 / (160 + top + bottom),
            "\n".join(head),
            va="top",
            size=canvas.points(canvas.HEADING),
            weight="bold",
            color=canvas.INK,
        )
        left = 20 + 7 * len(words.number(chart.steps[-1]))
        axes = canvas.area(figure, left, bottom, 30, top)
        _frame(axes, chart)
        _total(axes, chart)
        for series in chart.classes:
            _class(axes, chart, series)
        _legend(axes, chart)
    return png.getvalue()


def _frame(axes: "Axes", chart: CountChart) -> None:
    span = chart.days[-1] or 1.0
    axes.set_xlim(-0.06 * span if chart.days[-1] else -span, 1.06 * span)
    axes.set_ylim(0, chart.steps[-1] * 1.12)
    axes.set_yticks(chart.steps, [words.number(step) for step in chart.steps])
    axes.set_xticks([day for day, _ in chart.ticks], [name for _, name in chart.ticks])
    axes.tick_params(length=3, color=canvas.GREY, labelcolor=canvas.INK, labelsize=canvas.points(canvas.BODY))
    axes.grid(axis="y", color=canvas.PALE, linewidth=0.7)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(canvas.GREY)


def _total(axes: "Axes", chart: CountChart) -> None:
    axes.plot(chart.days, chart.totals, color=canvas.INK, linewidth=1.6, zorder=3)
    if any(chart.below) or any(chart.above):
        ranges = [
            (d, t, b, a) for d, t, b, a in zip(chart.days, chart.totals, chart.below, chart.above, strict=True) if a + b
        ]
        days, totals, below, above = zip(*ranges, strict=True)
        axes.errorbar(
            days, totals, yerr=(below, above), fmt="none", ecolor=canvas.INK, elinewidth=1.2, capsize=4, zorder=3
        )
    for hollow in (False, True):
        kept = [index for index, judged in enumerate(chart.hollow) if judged is hollow]
        axes.plot(
            [chart.days[i] for i in kept],
            [chart.totals[i] for i in kept],
            "o",
            markersize=6,
            color=canvas.INK,
            markerfacecolor=canvas.PAPER if hollow else canvas.INK,
            markeredgewidth=1.4,
            zorder=4,
            clip_on=False,
        )
    axes.annotate(
        chart.latest,
        (chart.days[-1], chart.totals[-1] + chart.above[-1]),
        xytext=(8, 6),
        textcoords="offset points",
        ha="right",
        weight="bold",
        size=canvas.points(canvas.BODY),
        color=canvas.INK,
    )


def _class(axes: "Axes", chart: CountChart, series: Series) -> None:
    colour, mark, dash = next(kind[1:] for kind in _CLASSES if kind[0] == series.name)
    axes.plot(
        chart.days, series.numbers, linestyle=dash, linewidth=1.2, color=colour, marker=mark, markersize=5, zorder=2
    )


def _legend(axes: "Axes", chart: CountChart) -> None:
    from matplotlib.lines import Line2D  # noqa: PLC0415 - loaded in the process that draws

    shown = []
    if chart.classes:
        shown.append(Line2D([], [], color=canvas.INK, marker="o", markersize=5, label="all"))
        for name, colour, mark, dash in _CLASSES:
            if name in {series.name for series in chart.classes}:
                shown.append(Line2D([], [], color=colour, marker=mark, linestyle=dash, markersize=5, label=name))
    if any(chart.hollow):
        shown.append(
            Line2D([], [], color=canvas.INK, marker="o", linestyle="none", markerfacecolor=canvas.PAPER, label="judged")
        )
    if shown:
        axes.legend(
            handles=shown,
            loc="upper center",
            bbox_to_anchor=(0.46, -0.12),
            ncols=len(shown),
            frameon=False,
            fontsize=canvas.points(canvas.SMALL),
            handlelength=1.8,
            columnspacing=0.9,
            handletextpad=0.4,
        )
