"""Pages of labels drawn: every text measured before it is set, cut lines between, a scannable code on each."""

import io
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Final, Protocol

from bot.pictures import canvas

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

DPI: Final = 254
"""Ten pixels a millimetre, so that each module of a code is a whole number of pixels."""
MODULE: Final = 0.4
"""The side of a module of a scannable code, in millimetres."""
QUIET: Final = 4
"""Modules of white around a code, as ISO/IEC 18004 asks for."""
BOX: Final = "□"
"""What stands for a letter that the font does not have."""

_EDGE: Final = (8.0, 10.0)
"""White beside and above the labels, in millimetres, for printers do not reach the edge."""
_PAD: Final = 1.8
_MM_A_POINT: Final = 25.4 / 72
_LEADING: Final = 1.16
_CODE: Final = 20.0
_BODY: Final = 7.4
_FOOT: Final = 5.6
_SMALLEST: Final = 5.0
"""The smallest letters, in printer's points: about those of a medicine's leaflet."""
_FAMILY: Final = "DejaVu Sans"
_FACES: Final = ("normal", "bold", "italic")
_JOINERS: Final = frozenset({"Cf", "Cc", "Cs", "Co", "Cn"})


class Printable(Protocol):
    """A label as far as it is drawn; see `bot.pictures.labels.Label`."""

    @property
    def code(self) -> str:
        """Set large, and never cut."""

    @property
    def name(self) -> str:
        """Below the code."""

    @property
    def species(self) -> str:
        """In italics."""

    @property
    def holds(self) -> str:
        """Over as many lines as there is room for."""

    @property
    def notices(self) -> tuple[str, ...]:
        """Bold, a line each."""

    @property
    def foot(self) -> tuple[str, ...]:
        """Small, a line each."""

    @property
    def link(self) -> str:
        """Where the code leads, or nothing."""


def draw_pages(
    pages: Sequence[Sequence[Printable]], size: tuple[float, float], grid: tuple[int, int], *, as_pdf: bool
) -> tuple[bytes, ...]:
    """The pages as one PDF, or as a PNG each. `size` is the paper's in millimetres, `grid` its columns and rows."""
    import matplotlib as mpl  # noqa: PLC0415 - loaded in the process that draws, and nowhere else

    own: dict[Any, Any] = {"text.parse_math": False, "font.family": _FAMILY, "pdf.fonttype": 42, "backend": "agg"}
    with mpl.rc_context({**mpl.rcParamsDefault, **own}):
        figures = [_page(labels, size, grid) for labels in pages]
        return (_pdf(figures),) if as_pdf else tuple(map(_png, figures))


def _pdf(figures: Sequence["Figure"]) -> bytes:
    from matplotlib.backends.backend_pdf import PdfPages  # noqa: PLC0415 - as above

    buffer = io.BytesIO()
    # Without a date and the library's name in it, the same sheet is the same file.
    dated = {"CreationDate": None, "Creator": None, "Producer": None, "Title": "Bin labels"}
    with PdfPages(buffer, metadata=dated) as pdf:
        for figure in figures:
            pdf.savefig(figure)
    return buffer.getvalue()


def _png(figure: "Figure") -> bytes:
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=DPI, metadata={"Software": None})
    return buffer.getvalue()


def _page(labels: Sequence[Printable], size: tuple[float, float], grid: tuple[int, int]) -> "Figure":
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - as above
    from matplotlib.figure import Figure  # noqa: PLC0415 - as above

    width, height = size
    figure = Figure(figsize=(width / 25.4, height / 25.4), dpi=DPI, facecolor=canvas.PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    columns, rows = grid
    # Whole tenths of a millimetre, so that codes fall on whole pixels.
    cell = (int((width - 2 * _EDGE[0]) / columns * 10) / 10, int((height - 2 * _EDGE[1]) / rows * 10) / 10)
    for number, label in enumerate(labels):
        row, column = divmod(number, columns)
        _Cell(axes, _EDGE[0] + column * cell[0], _EDGE[1] + row * cell[1], *cell).draw(label)
    return figure


@dataclass(frozen=True, slots=True)
class _Cell:
    """The place of one label on a page, in millimetres from the upper left corner."""

    axes: "Axes"
    left: float
    top: float
    width: float
    height: float

    def draw(self, label: Printable) -> None:
        self._cut_lines()
        side = self._code(label.link) if label.link else 0.0
        room = self.width - 2 * _PAD - (side + _PAD / 2 if side else 0.0)
        code = printable(label.code)
        size = size_for(code, room, _CODE, "bold")
        y = self.top + _PAD
        self._text(self.left + _PAD, y, cut_to(code, room, size, "bold"), size, "bold")
        y += max(size, _CODE * 0.6) * _MM_A_POINT * _LEADING
        bottom = self.top + self.height - _PAD
        if not side:
            bottom -= _FOOT * _MM_A_POINT * _LEADING
        self._body(label, y, bottom - y, room)
        self._foot(label.foot, side)

    def _body(self, label: Printable, y: float, height: float, room: float) -> None:
        """The lines below the code. Notices always find room; what the bin holds gets the lines that are left."""
        head = [(printable(text), face) for text, face in ((label.name, "bold"), (label.species, "italic")) if text]
        notices = [printable(text) for text in label.notices]
        needed = len(head) + len(notices) + bool(label.holds)
        size = max(_SMALLEST, min(_BODY, height / (needed * _MM_A_POINT * _LEADING)))
        line = size * _MM_A_POINT * _LEADING
        spare = max(int(height / line + 1e-6) - len(head) - len(notices), 0)
        held = wrapped(printable(label.holds), room, size, spare) if label.holds else ()
        for text, face in (*head, *((each, "normal") for each in held)):
            self._text(self.left + _PAD, y, cut_to(text, room, size, face), size, face)
            y += line
        for text in notices:
            smaller = size_for(text, room, size, "bold")
            self._text(self.left + _PAD, y, cut_to(text, room, smaller, "bold"), smaller, "bold")
            y += line

    def _foot(self, lines: Sequence[str], side: float) -> None:
        """Small print in the lower right corner: below the code, or on one line of its own."""
        line = _FOOT * _MM_A_POINT * _LEADING
        room = side or self.width - 2 * _PAD
        told = [printable(text) for text in lines] if side else [printable(" · ".join(lines))]
        y = self.top + self.height - _PAD - line * len(told)
        for text in told:
            size = size_for(text, room, _FOOT)
            self._text(self.left + self.width - _PAD, y, cut_to(text, room, size), size, right=True)
            y += line

    def _text(self, x: float, y: float, text: str, size: float, face: str = "normal", *, right: bool = False) -> None:
        self.axes.text(
            x,
            y + size * _MM_A_POINT,
            text,
            size=size,
            ha="right" if right else "left",
            va="baseline",
            color=canvas.INK,
            weight="bold" if face == "bold" else "normal",
            style="italic" if face == "italic" else "normal",
        )

    def _cut_lines(self) -> None:
        right, bottom = self.left + self.width, self.top + self.height
        self.axes.plot(
            (self.left, right, right, self.left, self.left),
            (self.top, self.top, bottom, bottom, self.top),
            color=canvas.GREY,
            linewidth=0.4,
            linestyle=(0, (4, 4)),
        )

    def _code(self, link: str) -> float:
        """Draw the scannable code in the upper right corner; returns its side with the quiet zone, in millimetres."""
        from matplotlib.patches import PathPatch  # noqa: PLC0415 - loaded in the process that draws

        rows = modules(link)
        side = (len(rows) + 2 * QUIET) * MODULE
        # The white around it may lie over the padding of the label, so that the code takes less room.
        left, top = self.left + self.width - side, self.top
        path = outline(rows, left + QUIET * MODULE, top + QUIET * MODULE)
        # Not as a patch of the axes, which would look for the bounds of every module.
        self.axes.add_artist(PathPatch(path, facecolor="black", linewidth=0, antialiased=False))
        return side - _PAD


def modules(link: str) -> tuple[tuple[bool, ...], ...]:
    """The dark modules of the QR code of a link, row by row, without white around it.

    Error correction is level M or better where that takes no more room: ISO/IEC 18004 has it restore about 15 %.
    """
    import segno  # noqa: PLC0415 - loaded in the process that draws

    code = segno.make_qr(link, error="m", boost_error=True)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def outline(rows: Sequence[Sequence[bool]], left: float, top: float) -> Any:
    """The dark modules as one path, neighbours in a row in one piece, so that no white line shows between them."""
    from matplotlib.path import Path  # noqa: PLC0415 - as above

    corners: list[tuple[float, float]] = []
    codes: list[Any] = []
    for y, row in enumerate(rows):
        for start, end in _dark(row):
            x0, x1 = left + start * MODULE, left + end * MODULE
            y0, y1 = top + y * MODULE, top + (y + 1) * MODULE
            corners += [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
            codes += [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY]
    return Path(corners, codes)


def _dark(row: Sequence[bool]) -> Iterator[tuple[int, int]]:
    start: int | None = None
    for place, dark in enumerate((*row, False)):
        if dark and start is None:
            start = place
        elif not dark and start is not None:
            yield start, place
            start = None


def width_of(text: str, size: float, face: str = "normal") -> float:
    """How wide a text in letters of `size` printer's points is, in millimetres."""
    from matplotlib.textpath import text_to_path  # noqa: PLC0415 - as above

    width, _, _ = text_to_path.get_text_width_height_descent(text, _font(face, size), ismath=False)
    return float(width) * _MM_A_POINT


def size_for(text: str, room: float, size: float, face: str = "normal") -> float:
    """The largest letters, of at most `size` printer's points, in which a text is no wider than `room` millimetres.

    Smaller than can be read they do not become: what is too wide then is to be cut.
    """
    return min(size, max(_SMALLEST, size * room / max(width_of(text, size, face), 0.1) * 0.99))


def cut_to(text: str, room: float, size: float, face: str = "normal") -> str:
    """A text that is no wider than `room` millimetres, which hold an ellipsis at least: that stands for what is too much."""
    if width_of(text, size, face) <= room:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if width_of(text[:middle] + "…", size, face) <= room else (low, middle - 1)
    # A mark that belongs on the letter before it does not go without it.
    while low and unicodedata.combining(text[low]):
        low -= 1
    return text[:low].rstrip() + "…"


def wrapped(text: str, room: float, size: float, most: int) -> tuple[str, ...]:
    """A text in at most `most` lines, none wider than `room` millimetres; the rest becomes an ellipsis."""
    lines: list[str] = []
    rest = text.split(" ")
    while rest and len(lines) < most:
        taken = 1
        while taken < len(rest) and width_of(" ".join(rest[: taken + 1]), size) <= room:
            taken += 1
        last = len(lines) == most - 1
        lines.append(cut_to(" ".join(rest if last else rest[:taken]), room, size))
        rest = [] if last else rest[taken:]
    return tuple(lines)


def printable(text: str) -> str:
    """A text on one line, with a box for each letter that the font does not have, and nothing that only joins letters."""
    line = " ".join(text.split())
    kept = (c for c in line if unicodedata.category(c) not in _JOINERS and not "\ufe00" <= c <= "\ufe0f")
    return "".join(c if _has(c) else BOX for c in kept)


def not_in_font(text: str) -> bool:
    """Whether a text has letters for which boxes stand."""
    return printable(text).count(BOX) > text.count(BOX)


def _has(letter: str) -> bool:
    return letter == " " or all(ord(letter) in _letters(face) for face in _FACES)


@cache
def _letters(face: str) -> frozenset[int]:
    """The numbers of the letters that the font has in a face."""
    from matplotlib.font_manager import findfont, get_font  # noqa: PLC0415 - as above

    return frozenset(get_font(findfont(_font(face, _BODY))).get_charmap())


def _font(face: str, size: float) -> Any:
    from matplotlib.font_manager import FontProperties  # noqa: PLC0415 - as above

    return FontProperties(
        family=_FAMILY,
        weight="bold" if face == "bold" else "normal",
        style="italic" if face == "italic" else "normal",
        size=size,
    )
