"""The days of a pairing as pings: part its young, take its breeders out. They follow the facts as these change."""

from fractions import Fraction

from bot.records import BinRow, Book, CareKind, PairingRow, Subject, WriteBook
from bot.services.dated_tasks import ask_on, settle
from bot.services.desk import Desk
from bot.services.rearing import REFERENCE_C, rearing_dates
from bot.services.request import Request
from bot.services.species_cards import card_of
from bot.services.zones import zone_of

PAIRING, BIN = "pairing", "bin"
_KINDS = (CareKind.SEPARATE, CareKind.PARENTS_OUT)


async def celsius_of(book: Book, bin_id: int) -> Fraction:
    """The temperature to reckon with for a bin, in °C: the last that was logged, or else that of the species cards."""
    logged = await book.temperatures_of(bin_id, limit=1)
    return logged[0].celsius if logged else REFERENCE_C


async def follow_young(desk: Desk, book: WriteBook, request: Request, pairing_id: int, celsius: Fraction) -> None:
    """Work out a pairing's days anew, and ask its keeper on them. A pairing that has ended asks for nothing."""
    row = await book.pairing(pairing_id)
    if row is None or row.young_at is None:
        return
    zone = await zone_of(book, row.keeper_id)
    dates = rearing_dates(await card_of(desk, book, row.species_key), row.young_at, celsius, zone)
    await book.set_young(row.id, row.young_at, dates.separate_by, dates.parents_out_by)
    over = row.ended_at is not None
    wanted = {
        CareKind.SEPARATE: None if over else dates.separate_by,
        CareKind.PARENTS_OUT: None if over or row.out_at is not None else dates.parents_out_by,
    }
    for kind, at in wanted.items():
        day = at.astimezone(zone).date() if at is not None else None
        await ask_on(book, request, kind, day, about=_about(row), bin_id=row.bin_id, keeper_id=row.keeper_id)


async def follow_temperature(desk: Desk, book: WriteBook, request: Request, bin_id: int) -> None:
    """A temperature of a bin was logged: the days of its pairings with young follow it."""
    celsius = await celsius_of(book, bin_id)
    for row in await book.pairings_in(bin_id):
        if row.young_at is not None and row.ended_at is None:
            await follow_young(desk, book, request, row.id, celsius)


async def breeders_gone(book: WriteBook, row: PairingRow) -> None:
    """The breeders were taken out: nobody need be asked to."""
    await settle(book, _about(row), CareKind.PARENTS_OUT, done=True)


async def pairing_over(book: WriteBook, row: PairingRow) -> None:
    """The pairing was ended: nothing of it is asked for any more."""
    await settle(book, _about(row), *_KINDS, done=False)


async def young_parted(book: WriteBook, bin_id: int) -> None:
    """Animals of one sex were taken out of a bin: the young of its pairings are parted."""
    for row in await book.pairings_in(bin_id):
        await settle(book, _about(row), CareKind.SEPARATE, done=True)


async def young_told(book: WriteBook, pairing: PairingRow | None, place: BinRow) -> None:
    """A brood was logged: nobody need be asked for the young that were seen."""
    about = _about(pairing) if pairing is not None else Subject(BIN, place.id)
    await settle(book, about, CareKind.YOUNG_SEEN, done=True)


def _about(row: PairingRow) -> Subject:
    return Subject(PAIRING, row.id)
