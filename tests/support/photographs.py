"""Pictures as phones and people send them, made on the spot: an odd animal on bark, with what a phone writes beside it."""

import io
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw

from bot.practice.values import Attachment

ODD = Path("tests/support/odd.jpg")
"""A small picture that lines of commands name; `python -m tests.support.photographs` writes it anew."""


def woodlouse(width: int = 900, height: int = 600, colour: str = "darkorange") -> Image.Image:
    """An oval animal with its segments, of one colour, on brown ground; its head is at the left."""
    picture = Image.new("RGB", (width, height), "saddlebrown")
    draw = ImageDraw.Draw(picture)
    box = (width // 4, height // 3, 3 * width // 4, 2 * height // 3)
    draw.ellipse(box, fill=colour)
    for part in range(1, 7):
        x = box[0] + part * (box[2] - box[0]) // 7
        draw.arc((x - 30, box[1], x + 30, box[3]), -90, 90, fill="black", width=3)
    draw.line((box[0], height // 2, box[0] - width // 10, height // 2 - height // 8), fill="black", width=4)
    return picture


def written(picture: Image.Image, format_: str = "JPEG", **how: Any) -> bytes:
    """The bytes of a file."""
    buffer = io.BytesIO()
    picture.save(buffer, format_, **how)
    return buffer.getvalue()


def photograph(name: str = "odd.jpg", **how: Any) -> Attachment:
    """A photo as a person attaches it."""
    return Attachment(name, written(woodlouse(**how)), "image/jpeg")


if __name__ == "__main__":
    ODD.write_bytes(written(woodlouse(240, 160), quality=60))
