"""A sample of each refusal of a photo, with what it must say."""

from bot.services import refusals_photos as p
from bot.services.refusals import BinLabel, Refusal

SAID: list[tuple[Refusal, str]] = [
    (p.PhotoNotTaken(p.PhotoFault.NO_PICTURE), "Send it as a JPEG or a PNG."),
    (p.PhotoNotTaken(p.PhotoFault.MOVES), "Send a still one"),
    (p.PhotoNotTaken(p.PhotoFault.TOO_MANY_PIXELS), "Make it smaller"),
    (p.PhotoNotTaken(p.PhotoFault.DAMAGED), "Send it once more."),
    (p.PhotoTooLarge(25 * 2**20), "up to 25 MiB. Make it smaller"),
    (p.PhotoGone(), "Attach the photo again"),
    (p.PhotoThere(12), "as photo 12"),
    (p.NoSuchPhoto("77"), "No photo `77` is filed here. `/photo list` shows"),
    (p.NoSuchPhoto(""), "No such photo is filed any more. `/photo list` shows"),
    (p.NothingPhotographed(""), "Type a bin's code like B-3"),
    (p.NothingPhotographed("B-77"), "no bin, find or trait `B-77` here. Type a bin's code"),
    (p.NothingPhotographed("embr", (BinLabel("B-1", "ember"),), ("ember",)), "Did you mean B-1 (ember) or ember?"),
    (p.NoPhotoThere(), "Choose one with a photo"),
]
