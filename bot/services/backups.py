"""Which bin stands in for which, if that is lost."""

from dataclasses import dataclass

from bot.records import BinRow, Book, EventRow, Subject, WriteBook
from bot.services.access import require_keeper
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import BinLabel, TakenBack, TwoSpecies
from bot.services.refusals_marks import NoBackup, OwnBackup
from bot.services.request import Request

BIN = "bin"
BACKUP = "bin.backup"
NOBODY = "none"
"""What ends that a bin is a backup."""


@dataclass(frozen=True, slots=True)
class BackupSet:
    """A bin that is the backup of another from now on (`of`), or of none any more; `together` if both stand in one place."""

    label: BinLabel
    of: BinLabel | None
    together: bool
    event: int


async def set_backup(desk: Desk, request: Request, *, bin_text: str, of_text: str) -> BackupSet:
    """Let a bin be the backup of another of its species, instead of the one that it was; `of_text` "none" ends it.

    Raises:
        NoSuchBin, ClosedBin, NotYours, OwnBackup, TwoSpecies, NoBackup, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            other = None if of_text.strip().casefold() == NOBODY else await bin_named(book, of_text)
            if other is not None:
                await _require_possible(desk, book, row, other)
            await _set(book, row, other)
            event = await book.log(BACKUP, Subject(BIN, row.id))
        return await _done(book, event)


async def _require_possible(desk: Desk, book: Book, row: BinRow, other: BinRow) -> None:
    label, of = BinLabel(row.code, row.name), BinLabel(other.code, other.name)
    if row.id == other.id or any(each.bin_id == other.id for each in await book.backups(row.id)):
        raise OwnBackup(label, of)
    if row.species_key != other.species_key:
        first, second = (desk.species.of(each.species_key).name for each in (row, other))
        raise TwoSpecies(first=first, second=second)


async def _set(book: WriteBook, row: BinRow, other: BinRow | None) -> None:
    now = [each for each in await book.backups(row.id) if each.bin_id == row.id]
    if other is None and not now:
        raise NoBackup(BinLabel(row.code, row.name))
    for each in now:
        await book.end_backup(each.id)
    if other is not None:
        await book.add_backup(row.id, other.id)


async def _done(book: Book, event: EventRow) -> BackupSet:
    row = await book.bin(event.subject.id)
    if row is None:
        raise TakenBack("backup")
    images = [image for image in event.after["rows"] if image["table"] == "bin_backups"]
    of = next((image["of_bin_id"] for image in images if image["ended_at"] is None), None)
    other = await book.bin(of) if of is not None else None
    if of is not None and other is None:
        raise TakenBack("backup")
    together = other is not None and (row.keeper_id, row.shelf) == (other.keeper_id, other.shelf)
    return BackupSet(
        BinLabel(row.code, row.name), BinLabel(other.code, other.name) if other else None, together, event.seq
    )
