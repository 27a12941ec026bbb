"""How it is said that a photo was not taken, or not found."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from bot.cards import words
from bot.cards.leads import did_you_mean, lead
from bot.services import refusals_photos as r

_FAULTS: Final[Mapping[r.PhotoFault, str]] = MappingProxyType(
    {
        r.PhotoFault.NO_PICTURE: "That file is no picture I can read. Send it as a JPEG or a PNG.",
        r.PhotoFault.MOVES: "That picture moves. Send a still one, as a JPEG or a PNG.",
        r.PhotoFault.TOO_MANY_PIXELS: "That picture has too many pixels for me. Make it smaller, or send a part of it.",
        r.PhotoFault.DAMAGED: "That picture is damaged; I can't read it to the end. Send it once more.",
    }
)


@lead.register
def _(refusal: r.PhotoNotTaken) -> str:
    return _FAULTS[refusal.fault]


@lead.register
def _(refusal: r.PhotoTooLarge) -> str:
    return (
        f"That file is too large: I take photos up to {refusal.most // 2**20} MiB. Make it smaller and send it again."
    )


@lead.register
def _(_: r.PhotoGone) -> str:
    return "The chat no longer gives me that file. Attach the photo again, with `/photo file`."


@lead.register
def _(refusal: r.PhotoThere) -> str:
    return (
        f"That very picture is filed there already, as photo {refusal.number}. Nothing was added; `/photo show` has it."
    )


@lead.register
def _(refusal: r.NoSuchPhoto) -> str:
    said = (
        f"No photo {words.inline(refusal.text)} is filed here." if refusal.text else "No such photo is filed any more."
    )
    return f"{said} `/photo list` shows those of a bin, a find or a trait, with their numbers."


@lead.register
def _(refusal: r.NothingPhotographed) -> str:
    if not refusal.text:
        return "What does the photo show? Type a bin's code like B-3, a find like find 2, or a trait like ember."
    near = [words.bin_name(b.code, b.name) for b in refusal.bins] + [words.plain(name, 60) for name in refusal.traits]
    said = f"There is no bin, find or trait {words.inline(refusal.text, 60)} here."
    return said + (did_you_mean(near) or " Type a bin's code like B-3, a find like find 2, or a trait like ember.")


@lead.register
def _(_: r.NoPhotoThere) -> str:
    return "That message has no picture I could file. Choose one with a photo, or attach one with `/photo file`."
