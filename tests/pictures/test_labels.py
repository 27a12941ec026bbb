"""Sheets of labels: turned into pixels by a general PDF library, and their codes read back by a general decoder."""

import io
from collections.abc import Sequence

import pypdfium2
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from bot.pictures import label_pages as pages
from bot.pictures.labels import A_PAGE, COLUMNS, MOST_LABELS, ROWS, FileKind, Label, LabelSheet, Paper, printed
from bot.services import labels as services

LINK = "https://discord.com/channels/910000000000000001/910000000000000011/{}"
DOTS = 200
"""Dots an inch of the pixels: fewer than any printer of today has."""


def label(number: int, **said: object) -> Label:
    told: dict[str, object] = {
        "name": "ember line",
        "species": "Armadillidium nasatum",
        "holds": "females: visual ember; males: 66% het ember",
        "foot": ("F2 by the book", "as of 25 Nov 2026"),
        "link": LINK.format(1_299_999_999_999_999_000 + number),
    }
    return Label(code=f"B-{number}", **(told | said))  # type: ignore[arg-type]


FULL = (
    "ON HOLD",
    "quarantine until 28 Dec 2026",
    "unmated: no males",
    "separate by 28 Dec 2026",
    "breeders out by 28 Dec 2026",
)


def rendered(pdf: bytes) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.render(scale=DOTS / 72).to_pil().convert("L") for page in document]


def cells(page: Image.Image, paper: Paper) -> list[Image.Image]:
    """The labels of a page, cut out along the lines."""
    width, height = paper.size
    across, down = (width - 16) / COLUMNS, (height - 20) / ROWS
    found = []
    for number in range(A_PAGE):
        row, column = divmod(number, COLUMNS)
        box = (8 + column * across, 10 + row * down, 8 + (column + 1) * across, 10 + (row + 1) * down)
        found.append(page.crop(tuple(round(side / width * page.width) for side in box)))
    return found


@pytest.mark.parametrize(("paper", "many", "sheets"), [(Paper.A4, A_PAGE + 1, 2), (Paper.LETTER, 3, 1)])
def test_each_label_of_a_pdf_has_the_code_that_leads_to_its_own_message(paper: Paper, many: int, sheets: int) -> None:
    labels = [label(number, notices=FULL[: number % 6]) for number in range(1, many + 1)]
    made = printed(LabelSheet(tuple(labels), paper), FileKind.PDF)
    (pdf,) = made.files
    assert made.boxed == ()
    drawn = rendered(pdf)
    assert len(drawn) == sheets
    assert [round(side / DOTS * 25.4) for side in drawn[0].size] == [round(side) for side in paper.size]
    cut = [cell for page in drawn for cell in cells(page, paper)]
    for number, cell in enumerate(cut):
        read = zxingcpp.read_barcodes(cell)
        wanted = [labels[number].link] if number < len(labels) else []
        assert [code.text for code in read] == wanted
        assert all(code.format == zxingcpp.BarcodeFormat.QRCode for code in read)
        assert all(code.ec_level in ("M", "Q", "H") for code in read)


def test_the_text_of_a_pdf_is_text_and_each_label_has_its_own() -> None:
    (pdf,) = printed(LabelSheet((label(1, notices=FULL), label(2))), FileKind.PDF).files
    text = pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range()
    for said in ("B-1", "B-2", "ember line", "Armadillidium nasatum", "as of 25 Nov 2026", *FULL):
        assert said in text, said


def test_no_ink_comes_near_a_cut_line_nor_under_another_text() -> None:
    """Whatever is said at length, in a label with a code and in one without."""
    long = "W" * 200
    labels = [
        label(1, name=long, species=long, holds=f"{long} " * 9, notices=(*FULL[:4], long), foot=(long, long)),
        label(2, name=long, species=long, holds=f"{long} " * 9, notices=FULL, foot=(long, long), link=""),
        Label(code="HOLLOWLOGSOCIE-9999999", name="", species="x", holds="", link=LINK.format(1)),
    ]
    (png,) = printed(LabelSheet(tuple(labels)), FileKind.PNG).files
    page = Image.open(io.BytesIO(png)).convert("L")
    assert page.size == (2100, 2970)
    for number, cell in enumerate(cells(page, Paper.A4)[:3]):
        width, height = cell.size
        # The cut line itself is at the edge; between it and the text is white.
        frame = [
            (6, 6, width - 6, 15),
            (6, height - 15, width - 6, height - 6),
            (6, 6, 15, height - 6),
            (width - 15, 6, width - 6, height - 6),
        ]
        assert all(cell.crop(box).getextrema() == (255, 255) for box in frame), number
    assert [len(zxingcpp.read_barcodes(cell)) for cell in cells(page, Paper.A4)[:3]] == [1, 0, 1]


def test_the_same_sheet_is_the_same_file_and_pages_are_full_before_the_next() -> None:
    sheet = LabelSheet(tuple(label(number, link="") for number in range(A_PAGE + 1)))
    assert [len(page) for page in sheet.pages] == [A_PAGE, 1]
    small = LabelSheet((label(1),))
    assert printed(small, FileKind.PDF) == printed(small, FileKind.PDF)


def test_a_sheet_has_as_many_labels_as_may_be_asked_for() -> None:
    assert services.MOST_LABELS == MOST_LABELS
    for number in (0, MOST_LABELS + 1):
        with pytest.raises(ValueError, match=f"{number} labels"):
            LabelSheet((label(1),) * number)
    with pytest.raises(ValueError, match="without a code"):
        label(1, species=" ")


def test_letters_that_the_font_lacks_become_boxes_and_are_told_of() -> None:
    named = [
        label(1, name="紙の箱"),
        label(2, name="ember 🐞"),
        label(3, name="čmelák ñ Жук ♀"),
        label(4, name="□ tray"),
    ]
    made = printed(LabelSheet(tuple(named)), FileKind.PDF)
    assert made.boxed == ("B-1", "B-2")
    assert pages.printable("ember 🐞\u200d\ufe0f\tF2\n") == "ember □ F2"
    text = pypdfium2.PdfDocument(made.files[0])[0].get_textpage().get_text_range()
    assert "čmelák ñ Жук ♀" in text
    assert "□□□" in text


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)


@given(WORDS, st.floats(8, 60), st.sampled_from([5.0, 7.4, 20.0]))
@settings(max_examples=60, deadline=None)
def test_what_is_cut_fits_and_what_fits_is_not_cut(text: str, room: float, size: float) -> None:
    shown = pages.printable(text)
    cut = pages.cut_to(shown, room, size, "bold")
    assert pages.width_of(cut, size, "bold") <= room
    if pages.width_of(shown, size, "bold") <= room:
        assert cut == shown
    else:
        assert cut.endswith("…")
        assert shown.startswith(cut[:-1].rstrip())


@given(WORDS, st.integers(1, 4))
@settings(max_examples=40, deadline=None)
def test_wrapped_lines_fit_and_lose_nothing_before_the_ellipsis(text: str, most: int) -> None:
    shown = pages.printable(text)
    lines = pages.wrapped(shown, 40.0, 7.4, most)
    assert len(lines) <= most
    assert all(pages.width_of(line, 7.4) <= 40.0 for line in lines)
    if not any(line.endswith("…") for line in lines):
        assert " ".join(lines) == shown


@given(st.lists(st.lists(st.booleans(), min_size=1, max_size=12), min_size=1, max_size=3))
def test_modules_in_one_piece_cover_the_same_squares(rows: Sequence[Sequence[bool]]) -> None:
    covered = set()
    corners = [vertex for vertex, _ in pages.outline(rows, 0.0, 0.0).iter_segments()] if any(map(any, rows)) else []
    for start in range(0, len(corners), 5):
        (x0, y0), (x1, y1) = corners[start], corners[start + 2]
        y = round(y0 / pages.MODULE)
        assert round(y1 / pages.MODULE) == y + 1
        covered |= {(y, x) for x in range(round(x0 / pages.MODULE), round(x1 / pages.MODULE))}
    assert covered == {(y, x) for y, row in enumerate(rows) for x, dark in enumerate(row) if dark}
