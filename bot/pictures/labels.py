"""Sheets of bin labels for the printer: what stands on each label, and the sheet as a PDF or as a picture of each page."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from bot.pictures.label_pages import draw_pages, not_in_font

COLUMNS: Final = 3
ROWS: Final = 8
A_PAGE: Final = COLUMNS * ROWS
"""Labels on a page."""
MOST_LABELS: Final = 4 * A_PAGE
"""The most labels of a sheet."""


class Paper(StrEnum):
    """A size of paper: ISO 216 A4, or US Letter."""

    A4 = "A4"
    LETTER = "US Letter"

    @property
    def size(self) -> tuple[float, float]:
        """Its width and height in millimetres."""
        return (210.0, 297.0) if self is Paper.A4 else (215.9, 279.4)


class FileKind(StrEnum):
    """What the sheet is made into: one PDF, or a picture for each page."""

    PDF = "PDF"
    PNG = "PNG"


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on one label, as plain text; what is too long for it is cut with an ellipsis.

    Attributes:
        code: the bin's code, set large; it is never cut.
        name: what its keeper calls it; may be empty.
        species: the scientific name.
        holds: what lives in it.
        notices: what must not be missed, a line each.
        foot: what stands small in the corner, a line each.
        link: where its scannable code leads; empty for none.

    Raises:
        ValueError: the code or the species is empty.
    """

    code: str
    name: str
    species: str
    holds: str
    notices: tuple[str, ...] = ()
    foot: tuple[str, ...] = ()
    link: str = ""

    def __post_init__(self) -> None:
        if not self.code.strip() or not self.species.strip():
            raise ValueError(f"a label without a code or a species: {self}")

    @property
    def texts(self) -> tuple[str, ...]:
        """Everything that is printed on it."""
        return (self.code, self.name, self.species, self.holds, *self.notices, *self.foot)


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Labels in the order in which they are printed, row by row, 24 on a page.

    Raises:
        ValueError: there is no label, or more than `MOST_LABELS`.
    """

    labels: tuple[Label, ...]
    paper: Paper = Paper.A4

    def __post_init__(self) -> None:
        if not 1 <= len(self.labels) <= MOST_LABELS:
            raise ValueError(f"{len(self.labels)} labels on a sheet")

    @property
    def pages(self) -> tuple[tuple[Label, ...], ...]:
        """The labels of each page."""
        return tuple(self.labels[start : start + A_PAGE] for start in range(0, len(self.labels), A_PAGE))


@dataclass(frozen=True, slots=True)
class Printed:
    """A sheet that is drawn.

    Attributes:
        files: the PDF alone, or the PNG of each page.
        boxed: the codes of the labels on which a box stands for a letter that the font does not have.
    """

    files: tuple[bytes, ...]
    boxed: tuple[str, ...]


def printed(sheet: LabelSheet, kind: FileKind) -> Printed:
    """The job of a worker: draw a sheet. The same sheet is always the same bytes."""
    return Printed(
        files=draw_pages(sheet.pages, sheet.paper.size, (COLUMNS, ROWS), as_pdf=kind is FileKind.PDF),
        boxed=tuple(label.code for label in sheet.labels if not_in_font("".join(label.texts))),
    )


def page_in_words(labels: Sequence[Label], number: int, pages: int) -> str:
    """A page of labels for those who can't see the picture."""
    shown = "; ".join(", ".join(text for text in label.texts if text) for label in labels)
    return f"Page {number} of {pages} of bin labels to cut out: {shown}"
