"""What is printed on a bin's label, and how a sheet of labels is handed over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from bot.cards import words
from bot.cards.card import Card, Document, Picture, Tone
from bot.pictures.labels import FileKind, Label, LabelSheet, Printed, page_in_words
from bot.records import MarkKind, Sex
from bot.records.mark_rows import MarkRow
from bot.services.founding import Founders
from bot.services.labels import Females, LabelledBin, ToLabel

_FEMALES: Final[Mapping[Females, str]] = {Females.UNMATED: "unmated: no males", Females.NO_MALES: "no males"}
_NAMED: Final = 8


@dataclass(frozen=True, slots=True)
class Handed:
    """A sheet with what was made of it."""

    sheet: LabelSheet
    kind: FileKind
    printed: Printed


def label_of(found: LabelledBin, zone: ZoneInfo, now: datetime, link: str) -> Label:
    """The label of a bin. Dates are those of the zone in which it is printed; `link` leads to the bin's message."""
    row = found.row
    generation = () if found.generation is None else (f"F{found.generation} by the book",)
    return Label(
        code=row.code,
        name=" ".join((row.name or "").split()),
        species=found.species.name,
        holds="; ".join(dict.fromkeys(_held(each) for each in found.founders)),
        notices=_notices(found, zone),
        foot=(*generation, f"as of {_day(now, zone)}"),
        link=link,
    )


def _held(founders: Founders) -> str:
    """A group of animals: their sex, and what they are as it is typed in a cross."""
    stated = "traits not said" if founders.stated is None else founders.stated
    return stated if founders.row.sex is Sex.UNKNOWN else f"{founders.row.sex}s: {stated}"


def _notices(found: LabelledBin, zone: ZoneInfo) -> tuple[str, ...]:
    notices = [_marked(mark, zone) for mark in found.marks]
    if found.mixed:
        notices.append("generations mixed")
    if found.females is not None:
        notices.append(_FEMALES[found.females])
    if found.separate_by is not None:
        notices.append(f"separate by {_day(found.separate_by, zone)}")
    if found.parents_out_by is not None:
        notices.append(f"breeders out by {_day(found.parents_out_by, zone)}")
    return tuple(dict.fromkeys(notices))


def _marked(mark: MarkRow, zone: ZoneInfo) -> str:
    if mark.kind is MarkKind.QUARANTINE and mark.until is not None:
        return f"quarantine until {_day(mark.until, zone)}"
    return "ON HOLD"


def _day(at: datetime, zone: ZoneInfo) -> str:
    """A day as it is printed, whatever the language of the machine."""
    month = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    local = at.astimezone(zone)
    return f"{local.day} {month[local.month - 1]} {local.year}"


def labels_card(found: ToLabel, handed: Handed, messages: Sequence[str] = ()) -> Card:
    """The reply to `/bin labels`: how many labels on how many pages, how to print them, what became of the bins' messages,
    and the file."""
    pages = handed.sheet.pages
    blocks = [
        f"{handed.sheet.paper} paper. Print at 100 %, not fitted to the page, and cut along the lines.",
        *messages,
    ]
    if handed.printed.boxed:
        blocks.append(
            f"A box □ stands for letters that the printing font lacks, on {words.some_of(handed.printed.boxed, _NAMED)}. "
            "Write those by hand, or rename the bin."
        )
    bins = words.plural(len(found.bins), "label")
    return Card(
        lead=f"**{bins}** on {words.plural(len(pages), 'page')}: {words.some_of([each.row.code for each in found.bins], _NAMED)}.",
        blocks=tuple(blocks),
        tone=Tone.GOOD,
        pictures=_pictures(handed),
        documents=_documents(handed),
    )


def _pictures(handed: Handed) -> tuple[Picture, ...]:
    if handed.kind is not FileKind.PNG:
        return ()
    pages = handed.sheet.pages
    return tuple(
        Picture(f"labels-{number}.png", png, page_in_words(pages[number - 1], number, len(pages)))
        for number, png in enumerate(handed.printed.files, start=1)
    )


def _documents(handed: Handed) -> tuple[Document, ...]:
    return tuple(Document("labels.pdf", pdf) for pdf in handed.printed.files) if handed.kind is FileKind.PDF else ()
