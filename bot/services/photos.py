"""Photos: filed under a bin, a find or a trait; listed, shown, put into words, and removed.

Their bytes live in the book itself, because what hangs on a message of the chat is gone when the message is.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from bot.records import Book, CareKind, PhotoFile, PhotoRow, Subject, WriteBook
from bot.services.access import Right, is_steward, may
from bot.services.dated_tasks import settle
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.developing import developed
from bot.services.find_pings import photographed_again
from bot.services.finding import row_id
from bot.services.photographed import Photographed, photographed, require_may_file, standing
from bot.services.refusals import NotYours, TakenBack
from bot.services.refusals_photos import NoSuchPhoto, PhotoFault, PhotoNotTaken, PhotoThere
from bot.services.request import Request
from bot.services.texts import checked

PHOTO: Final = "photo"
FILED, DESCRIBED, REMOVED = "photo.filed", "photo.described", "photo.removed"
MOST_BYTES: Final = 25 * 2**20
"""Of a file that is read to become a photo."""
A_PAGE: Final = 4
"""Photos that are shown at once: more do not fit on a phone's screen with what is said of each."""
_DEVELOPING: Final = 20.0
"""Seconds that a worker may take for one."""


@dataclass(frozen=True, slots=True)
class PhotoView:
    """A photo; `event` is what this view answers, if it answers a change; `body` its bytes, where it is shown.

    `may_change`: the person who asks may describe it and remove it.
    """

    row: PhotoRow
    may_change: bool
    event: int | None = None
    body: bytes = b""


@dataclass(frozen=True, slots=True)
class PhotoPage:
    """Some photos of one bin, find or trait, the newest first, with their bytes by id; from the `start`th of `total` on."""

    of: Photographed
    rows: tuple[PhotoRow, ...]
    bodies: dict[int, bytes]
    start: int
    total: int


async def taken(desk: Desk, address: str) -> PhotoFile:
    """The picture at an address of the chat, as it is kept. It is fetched and worked on, so no unit of work may be open.

    Raises:
        PhotoGone, PhotoTooLarge, PhotoNotTaken: there is none.
    """
    raw = await desk.fetch(address, MOST_BYTES)
    made = await desk.workers.run(developed, raw, deadline=_DEVELOPING)
    if isinstance(made, PhotoFault):
        raise PhotoNotTaken(made)
    return made


async def keep_photo(book: WriteBook, file: PhotoFile, of: Photographed, *, taken_at: datetime, shows: str = "") -> int:
    """Keep a photo within somebody's unit of work, which owes the event; returns its id.

    `of` is what it shows, `shows` what can be seen on it, in the keeper's words.

    Raises:
        TextTooLong: nothing was written.
        PhotoThere: the same picture is filed under the same thing.
    """
    told = checked("photo", shows)
    for row in await book.photos_alike(file.sha256):
        if (row.bin_id, row.find_id, row.trait_id) == of.ids:
            raise PhotoThere(row.id)
    bin_id, find_id, trait_id = of.ids
    return await book.add_photo(
        file, taken_at=taken_at, alternative=told or None, bin_id=bin_id, find_id=find_id, trait_id=trait_id
    )


async def file_photo(
    desk: Desk, request: Request, *, address: str, of: str, trait: str = "", day: str = "", shows: str = ""
) -> PhotoView:
    """File a picture that stands at an address of the chat.

    Args:
        desk, request: as ever.
        address: where the chat gives it out.
        of: the bin, find or trait that it shows, as typed.
        trait: the trait that it is to be kept for beside that.
        day: when it was taken; today if empty.
        shows: what can be seen on it, for those who can't see it.

    Raises:
        NothingPhotographed, NoSuchTrait, NotYours, TextTooLong, DayNotRead, DayAhead, PhotoGone, PhotoTooLarge,
        PhotoNotTaken, PhotoThere, TakenBack: nothing was written.
    """
    checked("photo", shows)
    async with desk.records.read(request.server, request.actor) as book:
        repeated = await book.event_of_request(request.request_id) is not None
        if not repeated:
            await _meant(book, request, of, trait)
            read_day(day, request.now, await zone_of(book, request))
    # Who may not file it, or could not say what it is, is told so before anything is fetched.
    file = None if repeated else await taken(desk, address)
    async with desk.records.write(request.stamp) as writing:
        event = writing.repeat
        if event is None and file is not None:
            target = await _meant(writing, request, of, trait)
            at = read_day(day, request.now, await zone_of(writing, request))
            made = await keep_photo(writing, file, target, taken_at=at, shows=shows)
            if target.find is not None:
                await photographed_again(writing, target.find, at)
            if (bin_id := target.ids[0]) is not None:
                await settle(writing, Subject("bin", bin_id), CareKind.PHOTO_DUE, done=True)
            event = await writing.log(FILED, Subject(PHOTO, made))
        row = await writing.photo(event.subject.id) if event is not None else None
        if row is None or event is None:
            raise TakenBack(PHOTO)
        return PhotoView(row, await _may_change(writing, request, row), event.seq)


async def _meant(book: Book, request: Request, of: str, trait: str) -> Photographed:
    target = await photographed(book, of, trait)
    require_may_file(request, target)
    return target


async def photo_page(desk: Desk, request: Request, of: str, start: int = 0) -> PhotoPage:
    """The photos of a bin, a find or a trait as typed, from the `start`th on.

    Raises:
        NothingPhotographed: none of that name.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await _page(book, await photographed(book, of), start)


async def photos_standing(desk: Desk, request: Request, key: str, start: int) -> PhotoPage:
    """The same by the key of a button.

    Raises:
        NothingPhotographed: what it names is gone.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await _page(book, await standing(book, key), start)


async def _page(book: Book, of: Photographed, start: int) -> PhotoPage:
    if of.find is not None:
        rows = await book.photos_of_find(of.find.id)
    elif of.bin is not None:
        rows = await book.photos_of_bin(of.bin.id)
    else:
        rows = await book.photos_of_trait(of.trait.id if of.trait is not None else 0)
    start = start if start < len(rows) else 0
    shown = rows[start : start + A_PAGE]
    return PhotoPage(of, shown, await book.photo_bodies([row.id for row in shown]), start, len(rows))


async def show_photo(desk: Desk, request: Request, number: str) -> PhotoView:
    """One photo, as large as it is kept.

    Raises:
        NoSuchPhoto: none of this number.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await photo_numbered(book, number)
        bodies = await book.photo_bodies([row.id])
        return PhotoView(row, await _may_change(book, request, row), body=bodies[row.id])


async def describe_photo(desk: Desk, request: Request, number: str, shows: str) -> PhotoView:
    """Say what can be seen on a photo, in words.

    Raises:
        NoSuchPhoto, NotYours, TextTooLong, TakenBack: nothing was written.
    """
    told = checked("photo", shows)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await photo_numbered(book, number)
            await _require_may_change(book, request, row)
            await book.describe_photo(row.id, told)
            event = await book.log(DESCRIBED, Subject(PHOTO, row.id))
        return await _after(book, request, event.subject.id, event.seq)


async def remove_photo(desk: Desk, request: Request, number: str) -> PhotoView:
    """Show a photo no more; it can be taken back.

    Raises:
        NoSuchPhoto, NotYours, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await photo_numbered(book, number)
            await _require_may_change(book, request, row)
            await book.remove_photo(row.id)
            event = await book.log(REMOVED, Subject(PHOTO, row.id))
        return await _after(book, request, event.subject.id, event.seq)


async def _after(book: Book, request: Request, photo: int, event: int) -> PhotoView:
    row = await book.photo(photo)
    if row is None:
        raise TakenBack(PHOTO)
    return PhotoView(row, await _may_change(book, request, row), event)


async def photo_numbered(book: Book, number: str) -> PhotoRow:
    """The photo of this number: "12", "#12" or "photo 12".

    Raises:
        NoSuchPhoto: there is none, or it was removed, or the reader may not see it.
    """
    text = number.strip().removeprefix("#").casefold().removeprefix("photo").strip()
    row = await book.photo(row_id(text))
    if row is None or row.removed_at is not None:
        raise NoSuchPhoto(number.strip())
    return row


async def _may_change(book: Book, request: Request, row: PhotoRow) -> bool:
    """Whose photo it is may change it, who tends the bin on it, and a steward who can see it."""
    if row.keeper_id == request.actor or is_steward(request):
        return True
    kept = await book.bin(row.bin_id) if row.bin_id is not None else None
    return kept is not None and may(request, kept, Right.TEND)


async def _require_may_change(book: Book, request: Request, row: PhotoRow) -> None:
    if not await _may_change(book, request, row):
        raise NotYours(what=f"photo {row.id}", keeper_name=row.keeper_name)
