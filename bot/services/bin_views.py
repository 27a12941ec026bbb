"""All that the book says of a bin, gathered for its card."""

from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from bot.records import (
    BackupRow,
    BatchRow,
    BinRow,
    Book,
    ClosingRow,
    CountRow,
    DeathRow,
    FindRow,
    LitterRow,
    ParentRow,
    TaskRow,
    TemperatureRow,
    TransferRow,
    Units,
)
from bot.services.bin_state import BinState, bin_state
from bot.services.count_items import Item
from bot.services.counts import classes_of
from bot.services.days import zone_of
from bot.services.desk import Desk
from bot.services.disturbance import Rest, rest_of
from bot.services.founding import Founders, stated_of
from bot.services.keepers import units_of
from bot.services.rearing import Mixed, mixed_by
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.temperature_log import latest_reading

CHARTED = 60
"""The most counts of a bin that are looked at and drawn at once."""

SHOWN_DEATHS = 3
"""How many notes of dead animals are shown of a bin."""
SHOWN_FINDS = 3
"""How many of the odd animals that were found in a bin are shown of it."""


@dataclass(frozen=True, slots=True)
class BinView:
    """All that the book says of a bin.

    Attributes:
        row: the bin.
        species: its species' card.
        founders: the groups it was founded with.
        parents: the bins its animals come from.
        counts: its counts, newest first, those that were corrected aside.
        classes: what each count says of each class, by the count's id.
        tasks: its care tasks.
        transfers: what came into it from another bin, and went from it.
        closing: why it is closed.
        rest: what last disturbed it, and whether to leave it alone.
        state: whether it is on hold or in quarantine, and what happened to it.
        backups: of which bin it is the backup, and which are its own.
        reading: the last temperature that was read in it.
        litter, batch: the last litter it got, and its batch.
        keepers: the names of its co-keepers.
        mixed: the pairings in it by which its generations are mixed.
        deaths: the latest notes of animals found dead in it.
        finds: the latest odd animals that were found in it.
        photos: how many photos of it are filed.
        zone: where the days of the person who asks begin.
        event: the event that opened it, where this view answers that.
    """

    row: BinRow
    species: SpeciesCard
    founders: tuple[Founders, ...]
    parents: tuple[ParentRow, ...]
    counts: tuple[CountRow, ...]
    classes: dict[int, tuple[Item, ...]]
    tasks: tuple[TaskRow, ...]
    transfers: tuple[TransferRow, ...]
    closing: ClosingRow | None
    rest: Rest
    keepers: tuple[str, ...]
    zone: ZoneInfo
    mixed: tuple[Mixed, ...] = ()
    deaths: tuple[DeathRow, ...] = ()
    finds: tuple[FindRow, ...] = ()
    photos: int = 0
    event: int | None = None
    units: Units | None = None
    state: BinState = field(default_factory=BinState)
    backups: tuple[BackupRow, ...] = ()
    reading: TemperatureRow | None = None
    litter: LitterRow | None = None
    batch: BatchRow | None = None


async def view_of(desk: Desk, book: Book, request: Request, row: BinRow, event: int | None = None) -> BinView:
    """What the book says of a bin to the person who asks."""
    traits = {trait.id: trait for trait in await book.traits()}
    counts = await book.counts(row.id, limit=CHARTED)
    parts = await book.count_parts([count.id for count in counts])
    transfers = await book.transfers(row.id)
    litter = next(iter(await book.litters_of(row.id, limit=1)), None)
    batches = await book.batches() if litter is not None else ()
    return BinView(
        row=row,
        species=await card_of(desk, book, row.species_key),
        founders=tuple(Founders(f, stated_of(f, traits)) for f in await book.founders(row.id)),
        parents=await book.parents(row.id),
        counts=counts,
        classes=classes_of(parts, {trait.id: trait.name for trait in traits.values()}),
        tasks=await book.care_of(row.id),
        transfers=transfers,
        closing=await book.closing(row.id) if row.closed_at is not None else None,
        rest=rest_of(counts, parts, transfers, request.now, await book.handled(row.id)),
        state=await bin_state(book, row.id, request.now),
        backups=await book.backups(row.id),
        reading=await latest_reading(book, row.id),
        litter=litter,
        batch=next((batch for batch in batches if litter is not None and batch.id == litter.batch_id), None),
        keepers=tuple(keeper.name for keeper in await book.co_keepers(row.id)),
        zone=await zone_of(book, request),
        deaths=await book.deaths(row.id, limit=SHOWN_DEATHS),
        photos=len(await book.photos_of_bin(row.id)),
        finds=await book.finds_in(row.id, limit=SHOWN_FINDS),
        mixed=mixed_by(await book.pairings_in(row.id), request.now),
        event=event,
        units=await units_of(book, request),
    )
