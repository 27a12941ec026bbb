"""Pairings as they stand in the book, and what happens to them: a filled pouch, young, breeders taken out, the end."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias

from bot.records import (
    Book,
    BreederRole,
    BreedersRow,
    BroodRow,
    CareKind,
    DamHistory,
    DatedRow,
    MarkRow,
    PairingRow,
    ScoringRow,
    Subject,
    TemperatureRow,
    TraitRow,
    Units,
    WriteBook,
)
from bot.services.access import require_keeper
from bot.services.accidents import since
from bot.services.dated_tasks import ask_in_the_evening
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import MOST_CHOICES, row_id
from bot.services.founding import side_of
from bot.services.keepers import units_of
from bot.services.rearing import Mixed, mixed_by
from bot.services.rearing_tasks import PAIRING, breeders_gone, celsius_of, follow_young, pairing_over
from bot.services.refusals import TakenBack
from bot.services.refusals_breeding import NoSuchPairing, NotedAlready, NotInOrder, PairingOver
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.temperature_log import latest_reading
from bot.services.temperatures import read_temperature
from bot.services.texts import checked
from genetics import write_side

Change: TypeAlias = Callable[[WriteBook, PairingRow, datetime], Awaitable[None]]


@dataclass(frozen=True, slots=True)
class Placed:
    """Breeders in a pairing, with what was stated of them in the notation of a cross (None: as their bin holds)."""

    breeders: BreedersRow
    role: BreederRole
    history: DamHistory | None
    stated: str | None


@dataclass(frozen=True, slots=True)
class BroodSeen:
    """A brood of a pairing with its latest scoring, if it was scored."""

    brood: BroodRow
    latest: ScoringRow | None


@dataclass(frozen=True, slots=True)
class PairingView:
    """All that the book says of a pairing.

    `trait` is what it is about, `traits` are all on record; `mixed` says that its generations are mixed by now; `asks` are
    the days on which its keeper is pinged; `accidents` are strays and open lids of its bin since it was set up, `reading` is
    the last temperature of the bin, `units` are those the person reads; `event` is the one that this view answers, if it answers one.
    """

    row: PairingRow
    species: SpeciesCard
    placed: tuple[Placed, ...]
    trait: TraitRow | None
    broods: tuple[BroodSeen, ...]
    traits: tuple[TraitRow, ...]
    mixed: Mixed | None = None
    asks: tuple[DatedRow, ...] = ()
    accidents: tuple[MarkRow, ...] = ()
    reading: TemperatureRow | None = None
    units: Units | None = None
    event: int | None = None

    @property
    def code(self) -> str:
        """What people call the pairing: "P-3"."""
        return pairing_code(self.row.number)


def pairing_code(number: int) -> str:
    """The code of the pairing with this number.

    >>> pairing_code(3)
    'P-3'
    """
    return f"P-{number}"


async def show_pairing(desk: Desk, request: Request, text: str) -> PairingView:
    """All that the book says of a pairing.

    Raises:
        NoSuchPairing: none has this code.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await pairing_view(desk, book, request, (await pairing_named(book, text)).id)


@dataclass(frozen=True, slots=True)
class PairingLine:
    """A pairing in a list."""

    row: PairingRow
    trait: TraitRow | None
    broods: int


async def list_pairings(desk: Desk, request: Request, *, ended: bool = False) -> tuple[PairingLine, ...]:
    """The pairings of a server, newest first: those that run, or also those that have ended."""
    async with desk.records.read(request.server, request.actor) as book:
        traits = {trait.id: trait for trait in await book.traits()}
        broods = await book.broods()
        rows = [row for row in await book.pairings() if ended or row.ended_at is None]
        return tuple(
            PairingLine(row, traits.get(row.trait_id or 0), sum(b.pairing_id == row.id for b in broods))
            for row in reversed(rows)
        )


async def gravid_seen(desk: Desk, request: Request, text: str, day: str = "") -> PairingView:
    """A dam was seen with a filled pouch.

    Raises:
        NoSuchPairing, NotYours, PairingOver, NotInOrder, DayNotRead, DayAhead, TakenBack: nothing was written.
    """

    async def change(book: WriteBook, row: PairingRow, at: datetime) -> None:
        await book.set_gravid(row.id, at)

    return await _change(desk, request, text, day, "pairing.gravid", change)


async def young_seen(
    desk: Desk, request: Request, text: str, *, day: str = "", temperature: str = "", ask_rest: bool = False
) -> PairingView:
    """The first young were seen; from this follow the dates by which to part them and to take the breeders out.

    Said again it is a correction: of the day if that is typed, else of the temperature. With `ask_rest` the person is asked
    in the evening how many they were.

    Raises:
        NoSuchPairing, NotYours, PairingOver, NotedAlready, NotInOrder, DayNotRead, DayAhead, TemperatureNotRead, TakenBack:
            nothing was written.
    """
    typed = read_temperature(temperature) if temperature.strip() else None

    async def change(book: WriteBook, row: PairingRow, at: datetime) -> None:
        if row.young_at is not None and not day.strip():
            if typed is None:
                raise NotedAlready(what="The first young", code=pairing_code(row.number), at=row.young_at)
            at = row.young_at
        if row.gravid_at is not None and at < row.gravid_at:
            raise NotInOrder(what="Young", first="the filled pouch", at=row.gravid_at)
        celsius = await celsius_of(book, row.bin_id) if typed is None else typed
        await book.set_young(row.id, at, None, None)
        await follow_young(desk, book, request, row.id, celsius)
        if ask_rest:
            about = Subject(PAIRING, row.id)
            await ask_in_the_evening(book, request, CareKind.YOUNG_SEEN, about=about, bin_id=row.bin_id)

    return await _change(desk, request, text, day, "pairing.young", change)


async def taken_out(desk: Desk, request: Request, text: str, day: str = "") -> PairingView:
    """The breeders were taken out; the young stay.

    Raises:
        NoSuchPairing, NotYours, PairingOver, NotedAlready, NotInOrder, DayNotRead, DayAhead, TakenBack: nothing was written.
    """

    async def change(book: WriteBook, row: PairingRow, at: datetime) -> None:
        if row.out_at is not None and not day.strip():
            raise NotedAlready(what="Taking out the breeders", code=pairing_code(row.number), at=row.out_at)
        await book.set_out(row.id, at)
        await breeders_gone(book, row)

    return await _change(desk, request, text, day, "pairing.out", change)


async def end_pairing(desk: Desk, request: Request, text: str, *, reason: str = "", day: str = "") -> PairingView:
    """The pairing is over. That is no failure, and what it has shown stays.

    Raises:
        NoSuchPairing, NotYours, PairingOver, NotInOrder, DayNotRead, DayAhead, TextTooLong, TakenBack: nothing was written.
    """
    why = checked("reason", reason)

    async def change(book: WriteBook, row: PairingRow, at: datetime) -> None:
        await book.end_pairing(row.id, at, why or None)
        await pairing_over(book, row)

    return await _change(desk, request, text, day, "pairing.ended", change)


async def _change(desk: Desk, request: Request, text: str, day: str, kind: str, change: Change) -> PairingView:
    """One thing that happened to a running pairing, on a day not before it was set up."""
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await pairing_named(book, text)
            await require_pairing_keeper(book, request, row)
            if row.ended_at is not None:
                raise PairingOver(code=pairing_code(row.number), ended_at=row.ended_at)
            zone = await zone_of(book, request)
            at = read_day(day, request.now, zone)
            if at.astimezone(zone).date() < row.set_up_at.astimezone(zone).date():
                raise NotInOrder(what="That", first="the day it was set up", at=row.set_up_at)
            await change(book, row, at)
            event = await book.log(kind, Subject(PAIRING, row.id))
        return await pairing_view(desk, book, request, event.subject.id, event.seq)


async def require_pairing_keeper(book: Book, request: Request, row: PairingRow) -> None:
    """Let those pass who may write in the pairing's bin, and whoever set it up.

    Raises:
        NotYours: the person is neither.
    """
    place = await book.bin(row.bin_id)
    if place is not None and request.actor != row.keeper_id:
        require_keeper(request, place)


async def pairing_named(book: Book, text: str) -> PairingRow:
    """The pairing with this code: "P-3", "p3" or "3".

    Raises:
        NoSuchPairing: there is none.
    """
    row = await book.pairing_numbered(row_id(text.strip().casefold().removeprefix("p").strip("- ")))
    if row is None:
        every = await book.pairings()
        raise NoSuchPairing(text=text, last=every[-1].number if every else 0)
    return row


async def pairing_view(
    desk: Desk, book: Book, request: Request, pairing_id: int, event: int | None = None
) -> PairingView:
    """The pairing with this id.

    Raises:
        TakenBack: there is none any more.
    """
    row = await book.pairing(pairing_id)
    if row is None:
        raise TakenBack("pairing")
    traits = {trait.id: trait for trait in await book.traits()}
    paired = await book.paired(row.id)
    breeders = {one.id: one for one in await book.breeders([p.breeders_id for p in paired])}
    broods = []
    for brood in await book.broods_of(row.id):
        looks = await book.scorings_of(brood.id)
        broods.append(BroodSeen(brood, looks[-1] if looks else None))
    return PairingView(
        row=row,
        species=await card_of(desk, book, row.species_key),
        placed=tuple(
            Placed(breeders[p.breeders_id], p.role, p.history, stated_of(breeders[p.breeders_id], traits))
            for p in paired
        ),
        trait=traits.get(row.trait_id) if row.trait_id is not None else None,
        broods=tuple(broods),
        traits=tuple(traits.values()),
        mixed=next(iter(mixed_by([row], request.now)), None),
        asks=await book.dated(Subject(PAIRING, row.id)),
        accidents=since(await book.marks_of([row.bin_id]), row.set_up_at),
        reading=await latest_reading(book, row.bin_id),
        units=await units_of(book, request),
        event=event,
    )


def stated_of(breeders: BreedersRow, traits: dict[int, TraitRow]) -> str | None:
    """What was said of breeders in the notation of a cross; None if nothing was, and they are as their bin holds."""
    if not breeders.described:
        return None
    return write_side(
        side_of([(traits[s.trait_id], s.state, s.chance) for s in breeders.states if s.trait_id in traits])
    )


async def choose_pairing(desk: Desk, request: Request, text: str) -> tuple[PairingRow, ...]:
    """Running pairings whose code or bin holds `text`, the person's own first and the newest first."""
    wanted = text.strip().casefold()
    async with desk.records.read(request.server, request.actor) as book:
        rows = [row for row in await book.pairings() if row.ended_at is None]
    found = [
        row for row in rows if wanted in f"{pairing_code(row.number)} {row.bin_code} {row.bin_name or ''}".casefold()
    ]
    found.sort(key=lambda row: (row.keeper_id != request.actor, -row.number))
    return tuple(found[:MOST_CHOICES])
