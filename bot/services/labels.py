"""What the labels of bins say: gathered for many bins at once."""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final
from zoneinfo import ZoneInfo

from bot.records import (
    BinMessageRow,
    BinRow,
    Book,
    BreederRole,
    CountPartRow,
    DamHistory,
    FounderRow,
    Moved,
    PairingRow,
    Seen,
    Sex,
    TransferRow,
)
from bot.records.mark_rows import MarkRow
from bot.services.bin_lists import same_shelf
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.founding import Founders, stated_of
from bot.services.generations import generations
from bot.services.rearing import mixed_by
from bot.services.refusals_labels import NothingToLabel, TooManyLabels
from bot.services.request import Request
from bot.services.species import SpeciesCard

MOST_LABELS: Final = 96
"""The most labels of one sheet: four pages."""
_APART = re.compile(r"\s*(?:[,;\n]|\band\b)\s*", re.IGNORECASE)


class Females(StrEnum):
    """What is known of a bin that holds females and no males."""

    UNMATED = "unmated"
    """They were parted from their brothers in time, or their keeper said so of dams from this bin."""
    NO_MALES = "no males"
    """Whether they mated before is not known."""


@dataclass(frozen=True, slots=True)
class LabelledBin:
    """What a label says of a bin.

    Attributes:
        row: the bin.
        species: its species' card.
        founders: the groups it was founded with, each with what is stated of it.
        females: whether only females live in it.
        mixed: whether two generations are in it, because breeders of a pairing stayed too long.
        generation: of which generation its animals are by the book, 1 for F1; None if that is not known.
        separate_by, parents_out_by: the dates of the pairings that run in it, the first of each.
        marks: the holds and quarantines that have not ended.
        message: its own message in the chat, if it was ever posted.
    """

    row: BinRow
    species: SpeciesCard
    founders: tuple[Founders, ...]
    females: Females | None
    mixed: bool
    generation: int | None
    separate_by: datetime | None
    parents_out_by: datetime | None
    marks: tuple[MarkRow, ...]
    message: BinMessageRow | None


@dataclass(frozen=True, slots=True)
class ToLabel:
    """The bins of a sheet in the order they are printed, and where the days of whoever asked begin."""

    bins: tuple[LabelledBin, ...]
    zone: ZoneInfo


async def bins_to_label(
    desk: Desk, request: Request, *, bins_text: str = "", shelf: str = "", since: str = ""
) -> ToLabel:
    """The bins that were typed, or all open ones that the person keeps; on one shelf, or opened since a day, if said.

    Raises:
        NoSuchBin, DayNotRead, DayAhead: a bin or a day was not understood.
        NothingToLabel, TooManyLabels: there is no bin, or more than a sheet has labels.
    """
    place = " ".join(shelf.split())
    async with desk.records.read(request.server, request.actor) as book:
        zone = await zone_of(book, request)
        day = read_day(since, request.now, zone) if since.strip() else None
        rows = await _typed(book, bins_text) if bins_text.strip() else await _kept(book, request, place)
        rows = [
            row
            for row in rows
            if (not place or same_shelf(row.shelf, place))
            and (day is None or row.opened_at.astimezone(zone).date() >= day.astimezone(zone).date())
        ]
        if not rows:
            raise NothingToLabel(shelf=place or None, since=day)
        if len(rows) > MOST_LABELS:
            raise TooManyLabels(number=len(rows), most=MOST_LABELS)
        return ToLabel(await _labelled(desk, book, rows, request.now), zone)


async def _typed(book: Book, text: str) -> list[BinRow]:
    """Bins as typed, "B-1, B-3 and B-7" or with blanks between, each once and in that order."""
    found: dict[int, BinRow] = {}
    for piece in filter(None, _APART.split(text.strip())):
        for row in await _meant(book, piece):
            found.setdefault(row.id, row)
    return list(found.values())


async def _meant(book: Book, piece: str) -> list[BinRow]:
    """The bins of a piece without commas: several codes, or one bin by its code and name, or by its name alone."""
    words = piece.split()
    first, *others = [await book.bin_by_code(word) for word in words]
    named = first is not None and (first.name or "").split() == words[1:]
    if named or (first is None and not any(others)):
        return [await bin_named(book, piece)]
    return [await bin_named(book, word) for word in words]


async def _kept(book: Book, request: Request, shelf: str) -> list[BinRow]:
    """The person's own open bins; of a shelf on which none of theirs stands, everybody's."""
    every = await book.bins()
    mine = [row for row in every if row.keeper_id == request.actor or row.shared]
    return mine if not shelf or any(same_shelf(row.shelf, shelf) for row in mine) else list(every)


async def _labelled(desk: Desk, book: Book, rows: Sequence[BinRow], now: datetime) -> tuple[LabelledBin, ...]:
    """Everything by a few statements, however many bins there are."""
    ids = {row.id for row in rows}
    traits = {trait.id: trait for trait in await book.traits()}
    founders = _by_bin(await book.all_founders(), ids)
    moves = await book.all_transfers()
    pairings = await book.pairings()
    mixed = {pairing.bin_id for pairing in pairings if mixed_by([pairing], now)}
    number_of = generations(await book.all_parents(), moves, mixed)
    running = [pairing for pairing in pairings if pairing.ended_at is None and pairing.bin_id in ids]
    females = await _females(book, founders, running, moves)
    marks = [mark for mark in await book.holding() if mark.bin_id in ids]
    messages = {message.bin_id: message for message in await book.messages_of(ids)}
    return tuple(
        LabelledBin(
            row=row,
            species=desk.species.of(row.species_key),
            founders=tuple(Founders(group, stated_of(group, traits)) for group in founders[row.id]),
            females=females.get(row.id),
            mixed=row.id in mixed,
            generation=number_of.get(row.id),
            separate_by=_first(each.separate_by for each in running if each.bin_id == row.id),
            parents_out_by=_first(
                each.parents_out_by for each in running if each.bin_id == row.id and each.out_at is None
            ),
            marks=tuple(mark for mark in marks if mark.bin_id == row.id),
            message=messages.get(row.id),
        )
        for row in rows
    )


def _by_bin(groups: Iterable[FounderRow], ids: Collection[int]) -> dict[int, list[FounderRow]]:
    found: dict[int, list[FounderRow]] = {bin_id: [] for bin_id in ids}
    for group in groups:
        if group.bin_id in found:
            found[group.bin_id].append(group)
    return found


def _first(dates: Iterable[datetime | None]) -> datetime | None:
    return min((date for date in dates if date is not None), default=None)


async def _females(
    book: Book,
    founders: Mapping[int, Sequence[FounderRow]],
    running: Iterable[PairingRow],
    moves: Iterable[TransferRow],
) -> dict[int, Females]:
    """Of each bin in which females alone live, by what was put into it or by its last count, what is known of them."""
    latest = {count.id: count for count in await book.latest_counts() if count.bin_id in founders}
    parts: dict[int, list[CountPartRow]] = {}
    for part in await book.count_parts(list(latest)):
        parts.setdefault(latest[part.count_id].bin_id, []).append(part)
    merged = {move.to_bin_id for move in moves if move.moved is Moved.MERGE}
    put_in = {b for b, groups in founders.items() if groups and all(g.sex is Sex.FEMALE for g in groups)} - merged
    counted = {
        count.bin_id
        for count in latest.values()
        if count.total and _females_in(parts.get(count.bin_id, ())) == count.total
    }
    with_males = {bin_id for bin_id, classes in parts.items() if any(map(_are_males, classes))}
    with_males |= {pairing.bin_id for pairing in running if pairing.out_at is None}
    alone = (put_in | counted) - with_males
    if not alone:
        return {}
    unmated = await _said_unmated(book) | await _parted_in_time(book, {b: founders[b] for b in alone & put_in})
    return {bin_id: Females.UNMATED if bin_id in unmated else Females.NO_MALES for bin_id in alone}


def _females_in(classes: Iterable[CountPartRow]) -> int:
    """How many females were counted, in a count of nothing else."""
    numbers = [part.number if part.sex is Sex.FEMALE else None for part in classes]
    return sum(number for number in numbers if number is not None) if None not in numbers else 0


def _are_males(part: CountPartRow) -> bool:
    return part.sex is Sex.MALE and (part.said is Seen.SOME or bool(part.number))


async def _parted_in_time(book: Book, founders: Mapping[int, Sequence[FounderRow]]) -> set[int]:
    """The bins into which young females were put before the day by which their brood was to be parted by sex."""
    broods = {brood.id: brood.pairing_id for brood in await book.broods()}
    parted_by = {pairing.id: pairing.separate_by for pairing in await book.pairings()}

    def in_time(group: FounderRow) -> bool:
        pairing = broods.get(group.brood_id or 0)
        by = None if pairing is None else parted_by.get(pairing)
        return by is not None and group.added_at <= by

    return {bin_id for bin_id, groups in founders.items() if all(map(in_time, groups))}


async def _said_unmated(book: Book) -> set[int]:
    """The bins from which dams were taken of whom their keepers said that they were unmated, and of none otherwise."""
    source = {breeders.id: breeders.from_bin_id for breeders in await book.all_breeders()}
    told: dict[int, set[DamHistory | None]] = {}
    for paired in await book.all_paired():
        bin_id = source.get(paired.breeders_id)
        if paired.role is BreederRole.DAM and bin_id is not None:
            told.setdefault(bin_id, set()).add(paired.history)
    return {bin_id for bin_id, histories in told.items() if histories == {DamHistory.UNMATED}}
