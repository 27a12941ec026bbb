"""A photo as it came, turned into the one that is kept: upright, no larger than a screen needs, and nothing beside the pixels.

The job of a worker. A phone writes into a photo where and when it was taken and with what; none of that is kept.
"""

import hashlib
import io
import warnings
from typing import TYPE_CHECKING, Final

from bot.records import Media, PhotoFile
from bot.services.refusals_photos import PhotoFault

if TYPE_CHECKING:
    from PIL.Image import Image

LONGEST_SIDE: Final = 1_600
"""Of a photo that is kept, in pixels."""
MOST_PIXELS: Final = 100_000_000
"""Of a photo as it came: a small file can claim to be a picture that no memory holds."""
_LARGEST_PNG: Final = 1_000_000
"""A PNG over so many bytes is a photograph all the same, and is kept as a JPEG."""
_FORMATS: Final = ("JPEG", "PNG", "WEBP", "GIF", "BMP", "TIFF")


def developed(raw: bytes) -> PhotoFile | PhotoFault:
    """The photo to keep, or why it can't be one. Colours are brought to sRGB, because colour is what is scored."""
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 - loaded in a worker alone

    try:
        with warnings.catch_warnings():
            # The library warns of a picture that is suspiciously large, and goes on.
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            warnings.simplefilter("ignore", UserWarning)
            with Image.open(io.BytesIO(raw), formats=_FORMATS) as opened:
                return _kept(opened)
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        return PhotoFault.TOO_MANY_PIXELS
    except UnidentifiedImageError:
        return PhotoFault.NO_PICTURE
    except (OSError, ValueError, SyntaxError, EOFError, IndexError, OverflowError):
        # What each reader of a format raises on a damaged file differs.
        return PhotoFault.DAMAGED


def _kept(opened: "Image") -> PhotoFile | PhotoFault:
    from PIL import ImageOps  # noqa: PLC0415 - as above

    if opened.width * opened.height > MOST_PIXELS:
        return PhotoFault.TOO_MANY_PIXELS
    # Some phones keep a second picture of depth behind the first; that moves nothing.
    if getattr(opened, "n_frames", 1) > 1 and opened.format != "MPO":
        return PhotoFault.MOVES
    drawn = opened.format == "PNG"
    opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
    picture = _opaque(_in_srgb(ImageOps.exif_transpose(opened)))
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    # Whatever else came with it stands in here: place, time, device, comments.
    picture.info = {}
    if drawn:
        body = _written(picture, "PNG")
        if len(body) <= _LARGEST_PNG:
            return _file(Media.PNG, picture, body)
    return _file(Media.JPEG, picture, _written(picture, "JPEG", quality=88, optimize=True))


def _in_srgb(picture: "Image") -> "Image":
    """The picture with its colours as a screen shows them; one whose profile can't be read is taken as it is."""
    from PIL import ImageCms  # noqa: PLC0415 - as above

    profile = picture.info.get("icc_profile")
    if not profile or picture.mode not in ("RGB", "RGBA"):
        return picture
    try:
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turned = ImageCms.profileToProfile(picture, own, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        return picture
    return picture if turned is None else turned


def _opaque(picture: "Image") -> "Image":
    """The picture in three colours; what was see-through is white."""
    from PIL import Image  # noqa: PLC0415 - as above

    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        clear = picture.convert("RGBA")
        ground = Image.new("RGBA", clear.size, "white")
        return Image.alpha_composite(ground, clear).convert("RGB")
    return picture.convert("RGB")


def _written(picture: "Image", format_: str, **how: int | bool) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, format_, **how)
    return buffer.getvalue()


def _file(media: Media, picture: "Image", body: bytes) -> PhotoFile:
    return PhotoFile(media, picture.width, picture.height, hashlib.sha256(body).hexdigest(), body)
