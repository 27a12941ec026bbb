"""Row images: what a change did to each row, in a form that events keep and that undo can apply backwards.

An image is one row as a JSON object: its table, its id, and its columns. Ids, numbers, checked words and ISO times
only: free text has its own tables and is referred to by id. Ids of the chat service are text, for JSON numbers lose
their last digits. A document of images is `{"v": 1, "rows": [...]}`; a row missing from `before` was made by the event.
"""

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from sqlalchemy import Column, Date, Table

from bot.records import (
    bin_tables,
    breeding_tables,
    care_tables,
    evidence_tables,
    find_tables,
    guide_tables,
    mark_tables,
    photo_tables,
    tables,
)
from bot.records.types import Rational, Snowflake, UtcDateTime

VERSION = 1
"""Version of the image document and of the event that holds it."""

Image = Mapping[str, Any]
"""One row: `table`, `id` and its journaled columns."""

Values = Mapping[str, Any]
"""Columns of one row by name, as the program holds them."""

JOURNALED: Mapping[str, Table] = {
    table.name: table
    for table in (
        tables.servers,
        tables.keepers,
        tables.species_cards,
        tables.traits,
        tables.trait_relations,
        tables.trait_relation_members,
        breeding_tables.breeders,
        breeding_tables.breeder_states,
        breeding_tables.pairings,
        breeding_tables.pairing_breeders,
        breeding_tables.broods,
        breeding_tables.scorings,
        breeding_tables.scores,
        breeding_tables.score_traits,
        find_tables.finds,
        evidence_tables.evidence_settings,
        evidence_tables.followed_traits,
        photo_tables.photos,
        guide_tables.guides,
        guide_tables.guide_photos,
        guide_tables.blind_sets,
        guide_tables.blind_photos,
        guide_tables.blind_answers,
        tables.bins,
        tables.bin_keepers,
        tables.founders,
        tables.founder_states,
        tables.bin_parents,
        bin_tables.bin_shelves,
        bin_tables.closings,
        bin_tables.transfers,
        tables.counts,
        bin_tables.count_parts,
        bin_tables.count_part_traits,
        mark_tables.bin_marks,
        mark_tables.bin_looks,
        mark_tables.bin_backups,
        mark_tables.bin_temperatures,
        mark_tables.litter_batches,
        mark_tables.bin_litters,
        tables.care_tasks,
        tables.occurrences,
        care_tables.dated_tasks,
        care_tables.deaths,
    )
}
"""The tables whose changes events carry, by name."""

_LEFT_OUT: Mapping[str, frozenset[str]] = {
    "servers": frozenset({"next_id", "next_event", "next_bin", "next_pairing"}),
    "keepers": frozenset({"name"}),
}
"""Columns that no image holds: counters are never turned back, and names must stay erasable."""


def key_of(table: Table) -> Column[int]:
    """The column that tells a row of one server from another: `id`, but for `servers` themselves."""
    return table.c.server_id if table is tables.servers else table.c.id


def columns_of(table: Table) -> tuple[Column[Any], ...]:
    """The columns an image of this table holds, without the server and the id."""
    left_out = _LEFT_OUT.get(table.name, frozenset())
    return tuple(c for c in table.columns if c.name not in {"server_id", "id"} and c.name not in left_out)


def image(table: Table, row_id: int, values: Values) -> dict[str, Any]:
    """The image of a row, of those of its columns that `values` holds; it may hold more than an image does."""
    written = str(row_id) if isinstance(key_of(table).type, Snowflake) else row_id
    return {
        "table": table.name,
        "id": written,
        **{c.name: _to_json(c, values[c.name]) for c in columns_of(table) if c.name in values},
    }


def read_image(row: Image) -> tuple[Table, int, dict[str, Any]]:
    """The table, the id and the column values of an image; the inverse of `image`. A column may be younger than the image."""
    table = JOURNALED[row["table"]]
    return table, int(row["id"]), {c.name: _from_json(c, row[c.name]) for c in columns_of(table) if c.name in row}


def _to_json(column: Column[Any], value: Any) -> Any:
    if value is None:
        return None
    if isinstance(column.type, Snowflake):
        return str(value)
    if isinstance(column.type, UtcDateTime):
        moment: datetime = value
        return moment.isoformat()
    if isinstance(column.type, Date):
        day: date = value
        return day.isoformat()
    if isinstance(column.type, Rational):
        fraction: Fraction = value
        return f"{fraction.numerator}/{fraction.denominator}"
    return value


def _from_json(column: Column[Any], value: Any) -> Any:
    if value is None:
        return None
    if isinstance(column.type, Snowflake):
        return int(value)
    if isinstance(column.type, UtcDateTime):
        return datetime.fromisoformat(value)
    if isinstance(column.type, Date):
        return date.fromisoformat(value)
    if isinstance(column.type, Rational):
        return Fraction(value)
    return value


class Journal:
    """The changes of one unit of work: for each row its first image and its last, in the order of first touch."""

    def __init__(self) -> None:
        self._first: dict[tuple[str, int], dict[str, Any] | None] = {}
        self._last: dict[tuple[str, int], dict[str, Any] | None] = {}

    def note(self, table: Table, row_id: int, before: Values | None, after: Values | None) -> None:
        """Note one change of a row, or of some of its columns. None stands for a row that is not there."""
        key = (table.name, row_id)
        was = None if before is None else image(table, row_id, before)
        now = None if after is None else image(table, row_id, after)
        first, last = self._first.get(key, was), self._last.get(key)
        # A second change may be of columns that the first had nothing to do with.
        self._first[key] = first if first is None or was is None else {**was, **first}
        self._last[key] = now if now is None or last is None else {**last, **now}

    @property
    def tables(self) -> frozenset[str]:
        """Names of the tables touched."""
        return frozenset(name for name, _ in self._first)

    def documents(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """The two documents of the event, before and after. Rows that ended as they began are in neither."""
        changed = [key for key, first in self._first.items() if first != self._last[key]]
        return _document(self._first[key] for key in changed), _document(self._last[key] for key in changed)


def _document(images: Iterator[dict[str, Any] | None]) -> dict[str, Any]:
    return {"v": VERSION, "rows": [row for row in images if row is not None]}


_BIN_COLUMNS = frozenset({"bin_id", "parent_bin_id", "from_bin_id", "to_bin_id", "into_bin_id", "of_bin_id"})


def bins_of(journal: Journal) -> tuple[set[int], set[int], set[int]]:
    """The bins that a unit's changes name, and the care tasks and the scored broods through which they name one."""
    bins: set[int] = set()
    tasks: set[int] = set()
    broods: set[int] = set()
    for document in journal.documents():
        for row in document["rows"]:
            if row["table"] == tables.bins.name:
                bins.add(row["id"])
            bins |= {row[name] for name in _BIN_COLUMNS & row.keys() if row[name] is not None}
            if "task_id" in row:
                tasks.add(row["task_id"])
            if row["table"] == breeding_tables.scorings.name:
                broods.add(row["brood_id"])
    return bins, tasks, broods
