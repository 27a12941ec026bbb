"""A server's book, open for reading."""

from collections.abc import Collection, Mapping
from dataclasses import fields, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Row

from bot.discretion import say_private
from bot.records import care_selects, event_selects, selects
from bot.records.bin_messages import MessageReading
from bot.records.care_rows import DatedRow, DeathRow, DeliveryRow, OccurrenceRow, TaskRow
from bot.records.claims import DueItem, read_items
from bot.records.evidence import EvidenceReading
from bot.records.finds import FindReading
from bot.records.guides import GuideReading
from bot.records.kinds import Privacy
from bot.records.lineage import LineageReading, founder_groups
from bot.records.marks import MarkReading
from bot.records.photos import PhotoReading
from bot.records.reading import NOBODY
from bot.records.rows import (
    BinRow,
    CardRow,
    ClosingRow,
    CountPartRow,
    CountRow,
    DraftRow,
    EventRow,
    FounderRow,
    Heredity,
    Holding,
    KeeperRow,
    ParentRow,
    RelationRow,
    ServerRow,
    Subject,
    TraitRow,
    TransferRow,
)


def code_key(code: str) -> str:
    """What the spellings of one bin code have in common: case, hyphens and blanks do not matter ("b4" is "B-4")."""
    return "".join(c for c in code.casefold() if c.isalnum())


def _in_order(places: Mapping[int, int]) -> tuple[int, ...]:
    return tuple(places[place] for place in sorted(places))


class Book(LineageReading, MarkReading, MessageReading, FindReading, PhotoReading, GuideReading, EvidenceReading):
    """Everything that can be asked of one server's book. Each method is one statement; a foreign row is never found.

    Nor is a bin that is private, with all that hangs on it, unless the reader keeps it.
    """

    async def server_row(self) -> ServerRow | None:
        """The server's settings; None before its first write."""
        row = await self._one(selects.SERVER)
        return None if row is None else ServerRow(*row)

    async def keepers(self) -> tuple[KeeperRow, ...]:
        """Everyone who has written in this server."""
        return tuple(KeeperRow(*row) for row in await self._all(selects.KEEPERS))

    async def keeper(self, keeper_id: int) -> KeeperRow | None:
        """One keeper."""
        row = await self._one(selects.KEEPER, id=keeper_id)
        return None if row is None else KeeperRow(*row)

    async def traits(self) -> tuple[TraitRow, ...]:
        """The traits in use, by name."""
        return tuple(TraitRow(*row) for row in await self._all(selects.TRAITS))

    async def heredity(self) -> Heredity:
        """The traits in use, by name, with what they are to each other."""
        width = len(fields(TraitRow))
        traits: dict[int, TraitRow] = {}
        relations: dict[int, tuple[Any, ...]] = {}
        members: dict[int, dict[int, int]] = {}
        for found in await self._all(selects.HEREDITY):
            trait, place, id_, *told = found[0], *found[width:]
            if trait not in traits:
                traits[trait] = TraitRow(*found[:width])
            if id_ is not None:
                relations[id_] = tuple(told)
                members.setdefault(id_, {})[place] = trait
        return Heredity(
            tuple(traits.values()),
            tuple(
                RelationRow(
                    id_, kind, name, tuple(looks.split("\n")) if looks else (), body, author, _in_order(members[id_])
                )
                for id_, (kind, name, looks, body, author) in sorted(relations.items())
            ),
        )

    async def relation_members(self, relation_id: int) -> tuple[int, ...]:
        """The traits of a relation in its order, whether it has ended or not."""
        return tuple(row[0] for row in await self._all(selects.RELATION_MEMBERS, id=relation_id))

    async def trait(self, trait_id: int) -> TraitRow | None:
        """One trait, in use or retired."""
        row = await self._one(selects.TRAIT, id=trait_id)
        return None if row is None else TraitRow(*row)

    async def bins(self, *, open_only: bool = True) -> tuple[BinRow, ...]:
        """The bins, oldest first."""
        statement = selects.OPEN_BINS if open_only else selects.BINS
        return tuple(self._bin_row(row) for row in await self._all(statement))

    async def bin(self, bin_id: int) -> BinRow | None:
        """One bin, open or closed."""
        row = await self._one(selects.BIN, id=bin_id)
        return None if row is None else self._bin_row(row)

    async def bin_by_code(self, code: str) -> BinRow | None:
        """The bin with this code, in any case of letters."""
        row = await self._one(selects.BIN_BY_CODE, code_key=code_key(code))
        return None if row is None else self._bin_row(row)

    def _bin_row(self, row: Row[*tuple[Any, ...]]) -> BinRow:
        """A bin. What is said to its keepers of one that keeps anything private is for them alone."""
        found = BinRow(*row)
        if found.privacy is not Privacy.OPEN and (found.shared or found.keeper_id == self.reader):
            say_private()
        return found

    async def co_keepers(self, bin_id: int) -> tuple[KeeperRow, ...]:
        """Who keeps a bin beside its owner, in the order they came."""
        return tuple(KeeperRow(*row) for row in await self._all(selects.CO_KEEPERS, bin_id=bin_id))

    async def holdings(self, codes: Collection[str]) -> tuple[Holding, ...]:
        """What is recorded of these bins, one line per bin, group of founders and stated trait.

        Codes that no bin has give no line. Without codes nothing is asked.
        """
        if not codes:
            return ()
        keys = sorted({code_key(code) for code in codes})
        found = tuple(Holding(*row) for row in await self._all(selects.HOLDINGS, code_keys=keys))
        if any(line.privacy is Privacy.BIN for line in found):
            say_private()
        return found

    async def founders(self, bin_id: int) -> tuple[FounderRow, ...]:
        """The groups a bin was founded with, oldest first, with what is stated of each."""
        return founder_groups(await self._all(selects.FOUNDERS, bin_id=bin_id))

    async def parents(self, bin_id: int) -> tuple[ParentRow, ...]:
        """The bins this bin's animals come from."""
        return tuple(ParentRow(*row) for row in await self._all(selects.PARENTS, bin_id=bin_id))

    async def closing(self, bin_id: int) -> ClosingRow | None:
        """Why a bin is closed; None for one that is open."""
        row = await self._one(selects.CLOSING, bin_id=bin_id)
        return None if row is None else ClosingRow(*row)

    async def transfers(self, bin_id: int) -> tuple[TransferRow, ...]:
        """The animals that came into a bin from another, or went from it into another, oldest first."""
        return tuple(TransferRow(*row) for row in await self._all(selects.TRANSFERS, bin_id=bin_id))

    async def counts(self, bin_id: int, limit: int) -> tuple[CountRow, ...]:
        """The latest counts of a bin that nobody corrected, newest first, at most `limit`."""
        return tuple(CountRow(*row) for row in await self._all(selects.COUNTS, bin_id=bin_id, limit=limit))

    async def count(self, count_id: int) -> CountRow | None:
        """One count."""
        row = await self._one(selects.COUNT, id=count_id)
        return None if row is None else CountRow(*row)

    async def correction(self, count_id: int) -> CountRow | None:
        """The count that stands in for this one; None for one that nobody corrected."""
        row = await self._one(selects.CORRECTION, id=count_id)
        return None if row is None else CountRow(*row)

    async def count_parts(self, count_ids: Collection[int]) -> tuple[CountPartRow, ...]:
        """What these counts say of each class. Without counts nothing is asked."""
        if not count_ids:
            return ()
        parts: dict[int, CountPartRow] = {}
        for *columns, trait in await self._all(selects.COUNT_PARTS, count_ids=sorted(count_ids)):
            part = parts.get(columns[0]) or CountPartRow(*columns)
            parts[part.id] = part if trait is None else replace(part, traits=(*part.traits, trait))
        return tuple(parts.values())

    async def latest_counts(self) -> tuple[CountRow, ...]:
        """The newest count of every bin that has one, those that were corrected aside."""
        return tuple(CountRow(*row) for row in await self._all(selects.LATEST_COUNTS))

    async def tasks(self, bin_id: int) -> tuple[TaskRow, ...]:
        """The care tasks that were set for this one bin and have not ended."""
        return tuple(TaskRow(*row) for row in await self._all(care_selects.TASKS_OF, bin_id=bin_id))

    async def care_of(self, bin_id: int) -> tuple[TaskRow, ...]:
        """The care tasks that are for an open bin: set for it, for its shelf, or for all that its keeper keeps."""
        return tuple(TaskRow(*row) for row in await self._all(care_selects.CARE_OF, bin_id=bin_id))

    async def tasks_by(self, keeper_id: int) -> tuple[TaskRow, ...]:
        """The care tasks that a keeper set and that have not ended."""
        return tuple(TaskRow(*row) for row in await self._all(care_selects.TASKS_BY, keeper_id=keeper_id))

    async def task(self, task_id: int) -> TaskRow | None:
        """One care task, ended or not."""
        row = await self._one(care_selects.TASK, id=task_id)
        return None if row is None else TaskRow(*row)

    async def dated(self, about: Subject) -> tuple[DatedRow, ...]:
        """The dated tasks about a thing of the book that have not ended, the earliest first."""
        found = await self._all(care_selects.DATED_ABOUT, about_kind=about.kind, about_id=about.id)
        return tuple(DatedRow(*row) for row in found)

    async def dated_task(self, task_id: int) -> DatedRow | None:
        """What makes a care task a dated one, ended or not; None for one that is none."""
        row = await self._one(care_selects.DATED_TASK, task_id=task_id)
        return None if row is None else DatedRow(*row)

    async def deaths(self, bin_id: int, limit: int) -> tuple[DeathRow, ...]:
        """The animals that were found dead in a bin, the latest first, at most `limit` of these notes."""
        return tuple(DeathRow(*row) for row in await self._all(care_selects.DEATHS, bin_id=bin_id, limit=limit))

    async def bins_of_task(self, task_id: int) -> tuple[int, ...]:
        """The ids of the open bins that a task is for."""
        return tuple(row[0] for row in await self._all(care_selects.BINS_OF_TASK, id=task_id))

    async def occurrence(self, occurrence_id: int) -> OccurrenceRow | None:
        """One due date."""
        row = await self._one(care_selects.OCCURRENCE, id=occurrence_id)
        return None if row is None else OccurrenceRow(*row)

    async def open_occurrences(self, task_id: int) -> tuple[OccurrenceRow, ...]:
        """The due dates of a task that wait or were asked and not answered, the earliest first."""
        found = await self._all(care_selects.OPEN_OCCURRENCES, task_id=task_id)
        return tuple(OccurrenceRow(*row) for row in found)

    async def open_occurrence(self, task_id: int) -> OccurrenceRow | None:
        """The earliest due date of a task that waits or was asked and not answered."""
        return next(iter(await self.open_occurrences(task_id)), None)

    async def open_for(self, keeper_id: int, now: datetime, until: datetime) -> tuple[OccurrenceRow, ...]:
        """What a keeper's tasks that do not rest at `now` want before `until`, the earliest due first."""
        found = await self._all(care_selects.OPEN_FOR, keeper_id=keeper_id, now=now, until=until)
        return tuple(OccurrenceRow(*row) for row in found)

    async def occurrences_of(self, delivery_id: int) -> tuple[OccurrenceRow, ...]:
        """What a ping asks, the earliest due first."""
        found = await self._all(care_selects.OCCURRENCES_OF, delivery_id=delivery_id)
        return tuple(OccurrenceRow(*row) for row in found)

    async def items_of(self, delivery_id: int) -> tuple[DueItem, ...]:
        """What a ping asks, with what it says of each, the earliest due first."""
        return await read_items(self._connection, self.server, delivery_id=delivery_id)

    async def items(self, occurrence_ids: Collection[int]) -> tuple[DueItem, ...]:
        """What a ping says of these due dates, the earliest due first."""
        return await read_items(self._connection, self.server, ids=occurrence_ids)

    async def delivery(self, delivery_id: int) -> DeliveryRow | None:
        """One ping."""
        row = await self._one(care_selects.DELIVERY, id=delivery_id)
        return None if row is None else DeliveryRow(*row)

    async def draft(self, draft_id: int, keeper_id: int, now: datetime) -> DraftRow | None:
        """What this person typed; None when it is another's, or has expired at `now`."""
        return _draft_row(await self._one(selects.DRAFT, id=draft_id, keeper_id=keeper_id, now=now))

    async def shared_draft(self, draft_id: int, kind: str, now: datetime) -> DraftRow | None:
        """What anybody typed, of a kind that is said in a room anyway; None when it is of another, or has expired."""
        return _draft_row(await self._one(selects.SHARED_DRAFT, id=draft_id, kind=kind, now=now))

    async def event(self, seq: int) -> EventRow | None:
        """The event with this number."""
        return event_row(await self._one(event_selects.EVENT_BY_SEQ, seq=seq))

    async def audit(
        self, *, before: int, limit: int, actor: int | None = None, bin_id: int | None = None
    ) -> tuple[EventRow, ...]:
        """What happened in this server, newest first: at most `limit` events numbered below `before`.

        Of one person's, or of one bin's, if asked so.
        """
        asked: dict[str, Any] = {"before": before, "limit": limit, "actor_id": actor or NOBODY}
        if bin_id is None:
            found = await self._all(event_selects.AUDIT, **asked)
        else:
            found = await self._all(event_selects.AUDIT_OF_BIN, bin_id=bin_id, **asked)
        return tuple(event for event in map(event_row, found) if event is not None)

    async def bins_of_events(self, seqs: Collection[int]) -> dict[int, tuple[int, ...]]:
        """The ids of the bins that each of these events changed something of; a bin may be gone since."""
        found: dict[int, list[int]] = {seq: [] for seq in seqs}
        for seq, bin_id in await self._all(event_selects.BINS_OF_EVENTS, seqs=sorted(seqs)):
            found[seq].append(bin_id)
        return {seq: tuple(bins) for seq, bins in found.items()}

    async def undone(self, seqs: Collection[int]) -> frozenset[int]:
        """Those of these events that were taken back."""
        return frozenset(row.subject_id for row in await self._all(event_selects.UNDONE, seqs=sorted(seqs)))

    async def card(self, key: str) -> CardRow | None:
        """The card that this server has set for a species; None where the shipped one holds."""
        row = await self._one(selects.CARD, key=key)
        return None if row is None else CardRow(*row)

    async def cards(self) -> tuple[CardRow, ...]:
        """The species cards that this server has set for itself."""
        return tuple(CardRow(*row) for row in await self._all(selects.CARDS))

    async def event_of_request(self, request_id: int) -> EventRow | None:
        """The event this interaction left behind."""
        return event_row(await self._one(event_selects.EVENT_BY_REQUEST, request_id=request_id))

    async def last_event_of(self, actor: int) -> EventRow | None:
        """This person's latest event that is neither an undo nor undone, nor the end of a task in place of an undo."""
        return event_row(await self._one(event_selects.LAST_EVENT_OF, actor_id=actor))

    async def events(self, subject_kind: str, subject_id: int, limit: int) -> tuple[EventRow, ...]:
        """What happened to a thing, newest first, at most `limit`."""
        found = await self._all(
            event_selects.EVENTS_ABOUT, subject_kind=subject_kind, subject_id=subject_id, limit=limit
        )
        return tuple(event for event in map(event_row, found) if event is not None)


def _draft_row(row: Row[*tuple[Any, ...]] | None) -> DraftRow | None:
    if row is None:
        return None
    id_, owner, kind, document, expires_at = row
    typed: Mapping[str, str] = document["fields"]
    return DraftRow(id_, owner, kind, typed, expires_at)


def event_row(row: Row[*tuple[Any, ...]] | None) -> EventRow | None:
    """An event from the columns of any event statement of `selects`."""
    if row is None:
        return None
    seq, at, actor_id, request_id, kind, subject_kind, subject_id, before, after, version = row
    return EventRow(seq, at, actor_id, request_id, kind, Subject(subject_kind, subject_id), before, after, version)
