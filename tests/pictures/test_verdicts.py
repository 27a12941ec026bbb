"""The picture of a verdict's course: it is a PNG of a phone's width, and its lines are told apart."""

import struct
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.pictures.verdicts import VerdictLine, VerdictPicture


def picture(*ends: float, broods: int = 2) -> VerdictPicture:
    lines = tuple(VerdictLine(f"line {n}", (*[0.5] * (broods - 1), end)) for n, end in enumerate(ends))
    return VerdictPicture("How it moved", tuple(f"P-1.{n + 1}" for n in range(broods)), lines, "it moved")


def test_it_is_a_picture_of_a_phones_width_and_always_the_same() -> None:
    drawn = picture(0.97, 0.01, 0.01, 0.01, broods=12).png()
    assert drawn == picture(0.97, 0.01, 0.01, 0.01, broods=12).png()
    assert drawn.startswith(b"\x89PNG")
    assert struct.unpack(">I", drawn[16:20]) == (720,)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=4))
def test_names_at_the_ends_of_lines_never_meet_and_keep_their_order(ends: list[float]) -> None:
    places = picture(*ends).ends()
    ranked = [place for _, place in sorted(zip(ends, places, strict=True))]
    assert all(below + 0.0749 < above for below, above in pairwise(ranked))
    assert max(places) <= 1.0 + 1e-9
    assert all(abs(end - place) <= 0.075 * 3 + 1e-9 for end, place in zip(ends, places, strict=True))


@pytest.mark.parametrize(
    ("broods", "lines"),
    [
        ((), (VerdictLine("a", ()),)),
        (("P-1.1",), ()),
        (("P-1.1",), (VerdictLine("a", (0.5, 0.6)),)),
        (("P-1.1",), (VerdictLine("a", (1.5,)),)),
        (("P-1.1",), (VerdictLine("a", (0.5,)),) * 5),
    ],
)
def test_what_cannot_be_drawn_is_refused(broods: tuple[str, ...], lines: tuple[VerdictLine, ...]) -> None:
    with pytest.raises(ValueError, match=r"lines over|not shares"):
        VerdictPicture("How it moved", broods, lines, "it moved")
