"""What makes a PNG a picture that can be looked at."""

import io

from PIL import Image

from bot.cards.card import Drawing

WIDTH = 720
"""Pixels: 360 points of a phone, two pixels each."""


def assert_is_a_picture(drawing: Drawing) -> Image.Image:
    """It is a PNG of the width, not blank, quiet at its edges, and drawn again it is the same file."""
    png = drawing.png()
    assert png == drawing.png()
    image = Image.open(io.BytesIO(png))
    assert image.format == "PNG"
    assert image.width == WIDTH
    assert 200 <= image.height <= 6 * WIDTH
    grey = image.convert("L")
    dark = sum(grey.histogram()[:128])
    assert dark > 500
    # A letter or a line that the edge cuts off would leave ink there.
    width, height = grey.size
    for box in ((0, 0, 2, height), (width - 2, 0, width, height), (0, 0, width, 2), (0, height - 2, width, height)):
        assert grey.crop(box).getextrema() == (255, 255), box
    assert drawing.alternative
    return image
