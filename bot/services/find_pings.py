"""The two pings of a find: photograph the animal after its next moult, count its sisters."""

from dataclasses import dataclass
from datetime import datetime

from bot.calendar import instant
from bot.records import Book, CareKind, FindRow, Subject, WriteBook
from bot.services.dated_tasks import MORNING, ask_on, local_day, settle
from bot.services.find_steps import SETTLING, count_sisters_on, photograph_on
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.zones import zone_of

FIND = "find"


@dataclass(frozen=True, slots=True)
class FindPing:
    """What a find will ask of whoever logged it, and when."""

    kind: CareKind
    at: datetime


async def set_pings(book: WriteBook, request: Request, find: FindRow, species: SpeciesCard) -> None:
    """Ask whoever logs a find to photograph the animal and to count its sisters."""
    wanted = {
        CareKind.MOULT_PHOTO: photograph_on(find, request.now),
        CareKind.SISTERS: count_sisters_on(find, species, request.now),
    }
    for kind, at in wanted.items():
        day = await local_day(book, request.actor, at)
        await ask_on(book, request, kind, day, about=Subject(FIND, find.id), bin_id=find.bin_id)


async def pings_of(book: Book, find: FindRow) -> tuple[FindPing, ...]:
    """What is still asked for about a find, the earliest first."""
    zone = await zone_of(book, find.keeper_id)
    return tuple(
        FindPing(row.kind, instant(row.day, MORNING, zone)) for row in await book.dated(Subject(FIND, find.id))
    )


async def end_pings(book: WriteBook, find: FindRow) -> bool:
    """Ask nothing about a find any more; whether anything was asked."""
    return bool(await settle(book, Subject(FIND, find.id), done=False))


async def photographed_again(book: WriteBook, find: FindRow, taken_at: datetime) -> None:
    """A photo of a find was filed: if it is from after the moult, nobody need be asked for one."""
    asked = [row for row in await book.dated(Subject(FIND, find.id)) if row.kind is CareKind.MOULT_PHOTO]
    if asked and await local_day(book, asked[0].keeper_id, taken_at) >= asked[0].day - SETTLING:
        await settle(book, Subject(FIND, find.id), CareKind.MOULT_PHOTO, done=True)
