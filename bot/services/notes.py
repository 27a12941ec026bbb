"""What is noted in a hurry, beside an open bin: that young were seen, that one is dead, that a photo is wanted.

One press keeps the bin, the time and who. The rest is asked for in the evening, by a ping that `dated_tasks` makes; until it is
told or answered, it stands among what the day wants.
"""

from dataclasses import dataclass
from datetime import datetime

from bot.calendar import instant
from bot.records import BinRow, Book, CareKind, DatedRow, DeathRow, PairingRow, Subject, WriteBook
from bot.services.access import require_keeper
from bot.services.dated_tasks import EVENING, ask_in_the_evening, settle
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.pairings import PairingView, pairing_code, young_seen
from bot.services.rearing_tasks import BIN, PAIRING
from bot.services.refusals import BinLabel, NotYours, Outlived, TakenBack
from bot.services.request import Request
from bot.services.tally import read_tally
from bot.services.texts import checked
from bot.services.zones import zone_of

NOTED, TOLD = "bin.noted", "bin.death_told"
KINDS = (CareKind.YOUNG_SEEN, CareKind.ONE_DEAD, CareKind.PHOTO_DUE)
"""What can be noted in a hurry."""


@dataclass(frozen=True, slots=True)
class Noted:
    """Something noted of a bin: when, when the rest is asked for, and the event; no event where it was noted before."""

    kind: CareKind
    label: BinLabel
    at: datetime
    asks_at: datetime
    event: int | None


@dataclass(frozen=True, slots=True)
class Rest:
    """What is still to be told of a note: of which pairing or bin, by its code, and the day of the note as it is typed."""

    kind: CareKind
    of: str
    day: str


@dataclass(frozen=True, slots=True)
class DeathTold:
    """Animals found dead, told in full, and the event."""

    label: BinLabel
    death: DeathRow
    event: int


async def note(desk: Desk, request: Request, kind: CareKind, bin_text: str) -> Noted | PairingView:
    """Keep that something happened in a bin, now, and ask the person for the rest in the evening.

    Young in a bin with one running pairing that has none yet are that pairing's: its days follow at once. What the person
    noted already and has not told yet is not noted twice.

    Raises:
        NoSuchBin, NotYours, PairingOver, NotedAlready, TakenBack: nothing was written.
        Outlived: the kind is none that can be noted so.
    """
    if kind not in KINDS:
        raise Outlived("button")
    if kind is CareKind.YOUNG_SEEN:
        async with desk.records.read(request.server, request.actor) as reading:
            waiting = await _pairing_of(reading, request, bin_text)
        if waiting is not None:
            return await young_seen(desk, request, pairing_code(waiting.number), ask_rest=True)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        place = await bin_named(book, bin_text)
        if event is None:
            require_keeper(request, place)
            earlier = await _open(book, request, kind, place)
            if earlier is not None:
                at = await _noted_at(book, earlier)
                return Noted(kind, _label(place), at, await _asks_at(book, request, earlier), None)
            if kind is CareKind.ONE_DEAD:
                await book.add_death(place.id)
            await ask_in_the_evening(book, request, kind, about=Subject(BIN, place.id), bin_id=place.id)
            event = await book.log(NOTED, Subject(BIN, place.id))
        asked = await _open(book, request, kind, place)
        if asked is None:
            raise TakenBack("note")
        return Noted(kind, _label(place), event.at, await _asks_at(book, request, asked), event.seq)


async def rest_of(desk: Desk, request: Request, occurrence: int) -> Rest:
    """What is still to be told of what a ping, or the day, asks for.

    Raises:
        Outlived: it was told, or taken back, or there is no such thing.
        NotYours: it is another keeper's.
    """
    async with desk.records.read(request.server, request.actor) as book:
        item = await book.occurrence(occurrence)
        task = await book.task(item.task_id) if item is not None else None
        dated = await book.dated_task(task.id) if task is not None else None
        if item is None or task is None or dated is None or task.kind not in KINDS or task.ended_at is not None:
            raise Outlived("note")
        if task.keeper_id != request.actor:
            keeper = await book.keeper(task.keeper_id)
            raise NotYours(what="note", keeper_name=keeper.name if keeper else "")
        pairing = await book.pairing(dated.about_id) if dated.about_kind != BIN else None
        of = pairing_code(pairing.number) if pairing is not None else item.bin_code
        day = task.created_at.astimezone(await zone_of(book, request.actor)).date()
        return Rest(task.kind, of, day.isoformat())


async def tell_death(desk: Desk, request: Request, *, bin_text: str, number: str, said: str = "") -> DeathTold:
    """Say how many were found dead, and what was seen: of what was noted last and is not told yet, or else now.

    Raises:
        NoSuchBin, NotYours, CountNotRead, TextTooLong, TakenBack: nothing was written.
    """
    words = checked("note", said)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        place = await bin_named(book, bin_text)
        if event is None:
            require_keeper(request, place)
            many = max(1, read_tally(number).total) if number.strip() else 1
            noted = await _untold(book, request, place)
            if noted is None:
                await book.add_death(place.id, many, words or None)
            else:
                await book.tell_death(noted.id, many, words or None)
            await settle(book, Subject(BIN, place.id), CareKind.ONE_DEAD, done=True)
            event = await book.log(TOLD, Subject(BIN, place.id))
        written = {row["id"] for row in event.after["rows"] if row["table"] == "deaths"}
        death = next((row for row in await book.deaths(place.id, limit=99) if row.id in written), None)
        if death is None:
            raise TakenBack("note")
        return DeathTold(_label(place), death, event.seq)


async def _untold(book: WriteBook, request: Request, place: BinRow) -> DeathRow | None:
    """The dead that the actor noted in a hurry and has not told of."""
    noted = await _open(book, request, CareKind.ONE_DEAD, place)
    if noted is None:
        return None
    at = await _noted_at(book, noted)
    found = [row for row in await book.deaths(place.id, limit=99) if row.at == at and row.keeper_id == request.actor]
    return found[0] if found else None


async def _open(book: WriteBook, request: Request, kind: CareKind, place: BinRow) -> DatedRow | None:
    rows = await book.dated(Subject(BIN, place.id))
    return next((row for row in rows if row.kind is kind and row.keeper_id == request.actor), None)


async def _asks_at(book: WriteBook, request: Request, row: DatedRow) -> datetime:
    return instant(row.day, EVENING, await zone_of(book, request.actor))


async def _noted_at(book: WriteBook, row: DatedRow) -> datetime:
    task = await book.task(row.task_id)
    if task is None:
        raise LookupError(f"dated task {row.id} has no task")
    return task.created_at


async def _pairing_of(book: Book, request: Request, bin_text: str) -> PairingRow | None:
    """The one pairing that runs in a bin, if no young of it were seen before this very request."""
    known = await book.event_of_request(request.request_id)
    if known is not None:
        return await book.pairing(known.subject.id) if known.subject.kind == PAIRING else None
    place = await bin_named(book, bin_text)
    running = [row for row in await book.pairings_in(place.id) if row.ended_at is None and row.out_at is None]
    return running[0] if len(running) == 1 and running[0].young_at is None else None


def _label(row: BinRow) -> BinLabel:
    return BinLabel(row.code, row.name)
