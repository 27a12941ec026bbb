"""How warm bins are: readings put down, and what follows from the latest for the days of their pairings."""

from dataclasses import dataclass
from fractions import Fraction

from bot.records import Book, EventRow, PairingRow, Subject, TemperatureRow, Units
from bot.services.access import require_keeper
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.keepers import units_of
from bot.services.rearing_tasks import follow_temperature
from bot.services.refusals import BinLabel, TakenBack
from bot.services.request import Request
from bot.services.species import Figure
from bot.services.species_cards import card_of
from bot.services.temperatures import read_temperature

BIN = "bin"
TEMPERATURE = "bin.temperature"
DANGER_C = Fraction(28)
"""Above this most keepers see losses (common practice, no source)."""
_LOOKED_BACK = 60


@dataclass(frozen=True, slots=True)
class TemperatureLogged:
    """A reading as it stands in the book.

    Attributes:
        label: the bin.
        reading: the reading.
        before: the one before it, if there is one.
        window: how warm its species is kept, in °C.
        moved: the pairings in the bin whose dates are others now.
        units: those that the person reads.
        event: the event that can take it back.
    """

    label: BinLabel
    reading: TemperatureRow
    before: TemperatureRow | None
    window: Figure
    moved: tuple[PairingRow, ...]
    units: Units | None
    event: int


async def log_temperature(
    desk: Desk, request: Request, *, bin_text: str, reading: str, when: str = ""
) -> TemperatureLogged:
    """Put down how warm a bin is. The days by which young are parted and parents taken out follow the latest reading.

    Raises:
        NoSuchBin, ClosedBin, NotYours, TemperatureNotRead, DayNotRead, DayAhead, TakenBack: nothing was written.
    """
    celsius = read_temperature(reading)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require_keeper(request, row)
            at = max(row.opened_at, read_day(when, request.now, await zone_of(book, request)))
            await book.add_temperature(row.id, celsius, at)
            await follow_temperature(desk, book, request, row.id)
            event = await book.log(TEMPERATURE, Subject(BIN, row.id))
        return await _logged(desk, book, request, event)


async def latest_reading(book: Book, bin_id: int) -> TemperatureRow | None:
    """The last temperature of a bin; None if there is none."""
    return next(iter(await book.temperatures_of(bin_id, limit=1)), None)


async def _logged(desk: Desk, book: Book, request: Request, event: EventRow) -> TemperatureLogged:
    row = await book.bin(event.subject.id)
    made = {image["id"] for image in event.after["rows"] if image["table"] == "bin_temperatures"}
    touched = {image["id"] for image in event.after["rows"] if image["table"] == "pairings"}
    readings = await book.temperatures_of(row.id, limit=_LOOKED_BACK) if row is not None else ()
    reading = next((each for each in readings if each.id in made), None)
    if row is None or reading is None:
        raise TakenBack("reading")
    earlier = [each for each in readings if (each.at, each.id) < (reading.at, reading.id)]
    return TemperatureLogged(
        label=BinLabel(row.code, row.name),
        reading=reading,
        before=earlier[0] if earlier else None,
        window=(await card_of(desk, book, row.species_key)).figures["celsius"],
        moved=tuple(pairing for pairing in await book.pairings_in(row.id) if pairing.id in touched),
        units=await units_of(book, request),
        event=event.seq,
    )
