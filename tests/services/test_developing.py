"""What becomes of a photo: upright, small enough, its colours kept, and nothing of where and when it was taken."""

import io
import random
import struct
import zlib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms
from PIL.PngImagePlugin import PngInfo

from bot.records import Media, PhotoFile
from bot.services.developing import LONGEST_SIDE, MOST_PIXELS, developed
from bot.services.refusals_photos import PhotoFault
from tests.support.photographs import woodlouse, written

SECRET = b"51 deg 28' N, the shed behind the mill"


def kept(raw: bytes) -> tuple[PhotoFile, Image.Image]:
    made = developed(raw)
    assert isinstance(made, PhotoFile), made
    return made, Image.open(io.BytesIO(made.body))


def with_place(orientation: int = 1) -> Any:
    """What a phone writes beside a picture (EXIF 2.3): a turned camera, its make, where it stood."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "Camera of the keeper"
    exif[0x010E] = SECRET.decode()
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 38.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    return exif


def test_nothing_of_place_and_time_is_kept() -> None:
    raw = written(woodlouse(), exif=with_place(), comment=SECRET)
    assert SECRET in raw
    file, picture = kept(raw)
    assert SECRET not in file.body
    assert b"Exif" not in file.body
    assert not picture.getexif()
    assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi"}
    told = PngInfo()
    told.add_text("Location", SECRET.decode())
    file, picture = kept(written(woodlouse(300, 200), "PNG", pnginfo=told, exif=with_place()))
    assert file.media is Media.PNG
    assert SECRET not in file.body
    assert not picture.info


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photo_stands_upright_whichever_way_the_phone_was_held(orientation: int) -> None:
    """The eight orientations of EXIF 2.3; the inverse of each, written out from the standard's table."""
    undo = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    upright = Image.new("RGB", (80, 40), "white")
    upright.paste("red", (0, 0, 20, 20))
    lying = upright.transpose(undo[orientation]) if orientation in undo else upright
    _, picture = kept(written(lying, "PNG", exif=with_place(orientation)))
    assert picture.size == (80, 40)
    corner = [picture.convert("RGB").getpixel(at) for at in ((5, 5), (75, 5), (5, 35), (75, 35))]
    assert corner == [(255, 0, 0), (255, 255, 255), (255, 255, 255), (255, 255, 255)]


def test_a_large_photo_is_made_as_large_as_a_screen_and_a_small_one_is_left() -> None:
    file, picture = kept(written(woodlouse(4000, 3000)))
    assert (file.width, file.height) == picture.size == (LONGEST_SIDE, 1200)
    assert file.media is Media.JPEG
    assert len(file.body) < 500_000
    file, _ = kept(written(woodlouse(300, 200)))
    assert (file.width, file.height) == (300, 200)


def test_a_noisy_drawing_is_kept_as_a_photograph() -> None:
    noise = Image.frombytes("RGB", (640, 640), random.Random(7).randbytes(640 * 640 * 3))
    assert kept(written(noise, "PNG"))[0].media is Media.JPEG


def test_what_is_see_through_becomes_white_and_few_colours_become_many() -> None:
    clear = Image.new("RGBA", (40, 40), (255, 0, 0, 0))
    assert kept(written(clear, "PNG"))[1].convert("RGB").getpixel((5, 5)) == (255, 255, 255)
    for mode in ("L", "P", "1", "CMYK", "I;16"):
        picture = Image.new(mode, (40, 30), 0)
        assert kept(written(picture, "TIFF" if mode in ("CMYK", "I;16") else "PNG"))[1].size == (40, 30)


def test_the_colours_of_a_wide_profile_are_those_that_its_screen_showed() -> None:
    """A picture in the device's own colours looks as its profile says: here L*a*b* of the kept pixel is the profile's."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
    raw = written(Image.new("RGB", (20, 20), (200, 90, 20)), icc_profile=profile.tobytes(), quality=100, subsampling=0)
    file, picture = kept(raw)
    assert b"ICC_PROFILE" not in file.body
    pixel = picture.convert("RGB").getpixel((10, 10))
    assert isinstance(pixel, tuple)
    assert all(abs(a - b) <= 4 for a, b in zip(pixel, (200, 90, 20), strict=True))
    broken = written(Image.new("RGB", (20, 20), (200, 90, 20)), icc_profile=b"no profile at all")
    assert kept(broken)[1].size == (20, 20)


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def bomb(side: int) -> bytes:
    """A PNG of a few hundred bytes that says it is `side` pixels wide and high (PNG 1.2, 11.2.2)."""
    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 999)) + chunk(b"IEND", b"")
    )


def test_what_is_no_still_picture_is_refused() -> None:
    frames = [woodlouse(60, 40, colour) for colour in ("white", "orange")]
    moving = written(frames[0], "GIF", save_all=True, append_images=frames[1:])
    assert developed(moving) is PhotoFault.MOVES
    assert developed(written(frames[0], "WEBP", save_all=True, append_images=frames[1:])) is PhotoFault.MOVES
    assert developed(b"%PDF-1.7 a table of counts") is PhotoFault.NO_PICTURE
    assert developed(b"<svg xmlns='http://www.w3.org/2000/svg'/>") is PhotoFault.NO_PICTURE
    assert developed(b"") is PhotoFault.NO_PICTURE
    assert developed(written(woodlouse())[:4000]) is PhotoFault.DAMAGED
    for side in (int(MOST_PIXELS**0.5) + 1, 30_000, 2_000_000_000):
        assert developed(bomb(side)) is PhotoFault.TOO_MANY_PIXELS


def test_a_phones_picture_with_depth_behind_it_is_no_moving_one() -> None:
    frames = [woodlouse(60, 40), woodlouse(60, 40, "white")]
    file, _ = kept(written(frames[0], "MPO", save_all=True, append_images=frames[1:]))
    assert (file.media, file.width) == (Media.JPEG, 60)


@given(st.binary(max_size=200), st.integers(0, 1_500))
def test_whatever_arrives_is_a_photo_or_a_reason(noise: bytes, at: int) -> None:
    raw = written(woodlouse(60, 40))
    for bytes_ in (noise, raw[:at] + noise + raw[at + len(noise) :]):
        made = developed(bytes_)
        assert isinstance(made, PhotoFile | PhotoFault)
        assert not isinstance(made, PhotoFile) or Image.open(io.BytesIO(made.body)).size == (made.width, made.height)


def test_the_same_picture_is_kept_as_the_same_bytes() -> None:
    raw = written(woodlouse())
    assert developed(raw) == developed(raw)
