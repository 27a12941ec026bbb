"""The statements of every read, made once. Each is asked with `server`, and with what its bind parameters name.

A statement is a value, the same for every server and every request, and building it anew costs as much as running it.
"""

from dataclasses import fields
from typing import Any, Final

from sqlalchemy import BindParameter, ColumnElement, FromClause, Select, Text, and_, bindparam, select, type_coerce
from sqlalchemy import exists as there_is

from bot.records import bin_tables, rows, tables
from bot.records.kinds import OccurrenceState
from bot.records.types import Snowflake

UNDO: Final = "undo"
"""Kind of an event that took another back; its subject is that event."""

EVENT: Final = "event"
"""Kind of subject of an undo."""

UNSCOPED: Final = frozenset({"servers"})
"""Names of the reads that may run without a server in their WHERE, beside those of the dispatcher."""

_SERVER: BindParameter[int] = bindparam("server", type_=Snowflake())

_name = tables.texts.alias("name")
_note = tables.texts.alias("note")
_typed = tables.texts.alias("typed")
_origin = tables.texts.alias("origin")
_shelf = tables.texts.alias("shelf")
_into = tables.bins.alias("into")
_from = tables.bins.alias("from")
_correction = tables.counts.alias("correction")
_later_correction = tables.counts.alias("later_correction")
_later = tables.counts.alias("later")
_undoing = tables.events.alias("undoing")
_parent = tables.bins.alias("parent")
_member = tables.trait_relation_members
_relation = tables.trait_relations
_relation_name = tables.texts.alias("relation_name")
_looks = tables.texts.alias("looks")


def _same(source: FromClause, column: str, target: FromClause) -> ColumnElement[bool]:
    """The row of `target` in the same server that `column` refers to."""
    return and_(target.c.server_id == source.c.server_id, target.c.id == source.c[column])


def _within(source: FromClause) -> ColumnElement[bool]:
    return source.c.server_id == _SERVER


def _pick(row: type[Any], *sources: FromClause, **given: ColumnElement[Any]) -> Select[*tuple[Any, ...]]:
    """Select the columns of a row class in the order of its fields, so that `row(*columns)` is right by construction.

    A field not given by name is looked for in `sources` from the left.
    """
    columns: list[ColumnElement[Any]] = []
    for field in fields(row):
        found = given.get(field.name)
        if found is None:
            found = next(source.c[field.name] for source in sources if field.name in source.c)
        columns.append(found)
    return select(*columns)


_named_traits = tables.traits.join(_name, _same(tables.traits, "name_id", _name))
_traits = _pick(
    rows.TraitRow, tables.traits, name=_name.c.body, model=type_coerce(tables.traits.c.model, Text)
).select_from(_named_traits)
TRAITS = _traits.where(_within(tables.traits), tables.traits.c.retired_at.is_(None)).order_by(
    _name.c.body, tables.traits.c.id
)
TRAIT = _traits.where(_within(tables.traits), tables.traits.c.id == bindparam("id"))
HEREDITY = (
    _traits.add_columns(
        _member.c.place,
        _relation.c.id,
        _relation.c.kind,
        _relation_name.c.body,
        _looks.c.body,
        type_coerce(_relation.c.body, Text),
    )
    .select_from(
        _named_traits.outerjoin(
            _member.join(_relation, and_(_same(_member, "relation_id", _relation), _relation.c.ended_at.is_(None))),
            and_(_member.c.server_id == tables.traits.c.server_id, _member.c.trait_id == tables.traits.c.id),
        )
        .outerjoin(_relation_name, _same(_relation, "name_id", _relation_name))
        .outerjoin(_looks, _same(_relation, "looks_id", _looks))
    )
    .where(_within(tables.traits), tables.traits.c.retired_at.is_(None))
    .order_by(_name.c.body, tables.traits.c.id)
)
"""A trait per relation it is in: the columns of `TraitRow`, its place there, and the columns of `RelationRow` but the members."""

_standing = bin_tables.bin_shelves
_bins = _pick(
    rows.BinRow,
    tables.bins,
    name=_name.c.body,
    note=_note.c.body,
    keeper_name=tables.keepers.c.name,
    shelf=_shelf.c.body,
).select_from(
    tables.bins.join(tables.keepers, _same(tables.bins, "keeper_id", tables.keepers))
    .outerjoin(_name, _same(tables.bins, "name_id", _name))
    .outerjoin(_note, _same(tables.bins, "note_id", _note))
    .outerjoin(
        _standing, and_(_standing.c.server_id == tables.bins.c.server_id, _standing.c.bin_id == tables.bins.c.id)
    )
    .outerjoin(_shelf, _same(_standing, "name_id", _shelf))
)
BINS = _bins.where(_within(tables.bins)).order_by(tables.bins.c.id)
OPEN_BINS = BINS.where(tables.bins.c.closed_at.is_(None))
BIN = _bins.where(_within(tables.bins), tables.bins.c.id == bindparam("id"))
BIN_BY_CODE = _bins.where(_within(tables.bins), tables.bins.c.code_key == bindparam("code_key"))

HOLDINGS = (
    _pick(
        rows.Holding,
        tables.bins,
        tables.founders,
        tables.founder_states,
        bin_id=tables.bins.c.id,
        bin_name=_name.c.body,
        species_key=tables.bins.c.species_key,
        founder_id=tables.founders.c.id,
    )
    .select_from(
        tables.bins.outerjoin(_name, _same(tables.bins, "name_id", _name))
        .outerjoin(
            tables.founders,
            and_(tables.founders.c.server_id == tables.bins.c.server_id, tables.founders.c.bin_id == tables.bins.c.id),
        )
        .outerjoin(
            tables.founder_states,
            and_(
                tables.founder_states.c.server_id == tables.founders.c.server_id,
                tables.founder_states.c.founder_id == tables.founders.c.id,
            ),
        )
    )
    .where(_within(tables.bins), tables.bins.c.code_key.in_(bindparam("code_keys", expanding=True)))
    .order_by(tables.bins.c.id, tables.founders.c.id, tables.founder_states.c.trait_id)
)

_state = tables.founder_states
FOUNDERS = (
    select(
        *(tables.founders.c[name] for name in ("id", "bin_id", "number", "sex", "described")),
        _origin.c.body,
        tables.founders.c.length_mm,
        tables.founders.c.added_at,
        tables.founders.c.brood_id,
        _state.c.trait_id,
        _state.c.state,
        _state.c.chance,
    )
    .select_from(
        tables.founders.outerjoin(_origin, _same(tables.founders, "origin_id", _origin)).outerjoin(
            _state,
            and_(_state.c.server_id == tables.founders.c.server_id, _state.c.founder_id == tables.founders.c.id),
        )
    )
    .where(_within(tables.founders), tables.founders.c.bin_id == bindparam("bin_id"))
    .order_by(tables.founders.c.id, _state.c.trait_id)
)
"""A group of founders per stated trait: the columns of `FounderRow` but its states, then those of `FounderState`."""

PARENTS = (
    _pick(rows.ParentRow, tables.bin_parents, code=_parent.c.code)
    .select_from(tables.bin_parents.join(_parent, _same(tables.bin_parents, "parent_bin_id", _parent)))
    .where(_within(tables.bin_parents), tables.bin_parents.c.bin_id == bindparam("bin_id"))
    .order_by(tables.bin_parents.c.id)
)

CLOSING = (
    _pick(rows.ClosingRow, bin_tables.closings, into_code=_into.c.code, note=_note.c.body)
    .select_from(
        bin_tables.closings.outerjoin(_into, _same(bin_tables.closings, "into_bin_id", _into)).outerjoin(
            _note, _same(bin_tables.closings, "note_id", _note)
        )
    )
    .where(_within(bin_tables.closings), bin_tables.closings.c.bin_id == bindparam("bin_id"))
)

_moves = bin_tables.transfers
TRANSFERS = (
    _pick(rows.TransferRow, _moves, from_code=_from.c.code, to_code=_into.c.code)
    .select_from(_moves.join(_from, _same(_moves, "from_bin_id", _from)).join(_into, _same(_moves, "to_bin_id", _into)))
    .where(
        _within(_moves),
        (_moves.c.from_bin_id == bindparam("bin_id")) | (_moves.c.to_bin_id == bindparam("bin_id")),
    )
    .order_by(_moves.c.at, _moves.c.id)
)

_counts = _pick(
    rows.CountRow, tables.counts, typed=_typed.c.body, note=_note.c.body, keeper_name=tables.keepers.c.name
).select_from(
    tables.counts.join(tables.keepers, _same(tables.counts, "keeper_id", tables.keepers))
    .outerjoin(_typed, _same(tables.counts, "typed_id", _typed))
    .outerjoin(_note, _same(tables.counts, "note_id", _note))
)
_not_corrected = ~there_is().where(
    _correction.c.server_id == tables.counts.c.server_id, _correction.c.corrects_id == tables.counts.c.id
)
COUNTS = (
    _counts.where(_within(tables.counts), tables.counts.c.bin_id == bindparam("bin_id"), _not_corrected)
    .order_by(tables.counts.c.at.desc(), tables.counts.c.id.desc())
    .limit(bindparam("limit"))
)
COUNT = _counts.where(_within(tables.counts), tables.counts.c.id == bindparam("id"))
CORRECTION = _counts.where(_within(tables.counts), tables.counts.c.corrects_id == bindparam("id"))
LATEST_COUNTS = _counts.where(
    _within(tables.counts),
    _not_corrected,
    ~there_is().where(
        _later.c.server_id == tables.counts.c.server_id,
        _later.c.bin_id == tables.counts.c.bin_id,
        (_later.c.at > tables.counts.c.at) | ((_later.c.at == tables.counts.c.at) & (_later.c.id > tables.counts.c.id)),
        ~there_is().where(
            _later_correction.c.server_id == _later.c.server_id, _later_correction.c.corrects_id == _later.c.id
        ),
    ),
).order_by(tables.counts.c.bin_id)

_part = bin_tables.count_parts
_shown = bin_tables.count_part_traits
COUNT_PARTS = (
    select(*(_part.c[field.name] for field in fields(rows.CountPartRow) if field.name != "traits"), _shown.c.trait_id)
    .select_from(_part.outerjoin(_shown, and_(_shown.c.server_id == _part.c.server_id, _shown.c.part_id == _part.c.id)))
    .where(_within(_part), _part.c.count_id.in_(bindparam("count_ids", expanding=True)))
    .order_by(_part.c.id, _shown.c.trait_id)
)
"""A class of a count per trait that it shows: the columns of `CountPartRow` but its traits, then one trait."""

SERVER = _pick(rows.ServerRow, tables.servers, id=tables.servers.c.server_id).where(_within(tables.servers))
SERVERS = select(tables.servers.c.server_id).order_by(tables.servers.c.server_id).execution_options(unscoped="servers")
"""The servers themselves: the one read that is not asked with `server`."""

SYNCED_HASH = select(tables.applications.c.commands_hash).where(tables.applications.c.id == bindparam("id"))

KEEPERS = _pick(rows.KeeperRow, tables.keepers).where(_within(tables.keepers)).order_by(tables.keepers.c.id)
KEEPER = _pick(rows.KeeperRow, tables.keepers).where(_within(tables.keepers), tables.keepers.c.id == bindparam("id"))

_tasks = _pick(rows.TaskRow, tables.care_tasks).where(_within(tables.care_tasks))
TASKS = _tasks.where(
    tables.care_tasks.c.bin_id == bindparam("bin_id"), tables.care_tasks.c.ended_at.is_(None)
).order_by(tables.care_tasks.c.id)
TASK = _tasks.where(tables.care_tasks.c.id == bindparam("id"))

_occurrences = (
    _pick(
        rows.OccurrenceRow,
        tables.occurrences,
        kind=tables.care_tasks.c.kind,
        bin_id=tables.care_tasks.c.bin_id,
        bin_code=tables.bins.c.code,
    )
    .select_from(
        tables.occurrences.join(tables.care_tasks, _same(tables.occurrences, "task_id", tables.care_tasks)).join(
            tables.bins, _same(tables.care_tasks, "bin_id", tables.bins)
        )
    )
    .where(_within(tables.occurrences))
    .order_by(tables.occurrences.c.due_at, tables.occurrences.c.id)
)
OCCURRENCE = _occurrences.where(tables.occurrences.c.id == bindparam("id"))
OPEN_OCCURRENCE = _occurrences.where(
    tables.occurrences.c.task_id == bindparam("task_id"),
    tables.occurrences.c.state.in_((OccurrenceState.DUE, OccurrenceState.ASKED)),
).limit(1)
OCCURRENCES_OF = _occurrences.where(tables.occurrences.c.delivery_id == bindparam("delivery_id"))
DELIVERY = _pick(rows.DeliveryRow, tables.deliveries).where(
    _within(tables.deliveries), tables.deliveries.c.id == bindparam("id")
)

DRAFT = _pick(rows.DraftRow, tables.drafts).where(
    _within(tables.drafts),
    tables.drafts.c.id == bindparam("id"),
    tables.drafts.c.keeper_id == bindparam("keeper_id"),
    tables.drafts.c.expires_at > bindparam("now"),
)

SHARED_DRAFT = _pick(rows.DraftRow, tables.drafts).where(
    _within(tables.drafts),
    tables.drafts.c.id == bindparam("id"),
    tables.drafts.c.kind == bindparam("kind"),
    tables.drafts.c.expires_at > bindparam("now"),
)
"""A draft that everybody in the server may use, because what it holds was said in a room: the cross under a reply."""

_EVENT_COLUMNS = (
    "seq",
    "at",
    "actor_id",
    "request_id",
    "kind",
    "subject_kind",
    "subject_id",
    "before",
    "after",
    "version",
)
_events = select(*(tables.events.c[name] for name in _EVENT_COLUMNS)).where(_within(tables.events))
EVENT_BY_SEQ = _events.where(tables.events.c.seq == bindparam("seq"))
EVENT_BY_REQUEST = _events.where(tables.events.c.request_id == bindparam("request_id"))
_about = bin_tables.event_bins
_of_bin = (
    _events.join(_about, and_(_about.c.server_id == tables.events.c.server_id, _about.c.seq == tables.events.c.seq))
    .where(_about.c.bin_id == bindparam("bin_id"))
    .order_by(tables.events.c.seq.desc())
)
EVENTS_OF_BIN = _of_bin.limit(bindparam("limit"))
EVENTS_ABOUT = (
    _events.where(
        tables.events.c.subject_kind == bindparam("subject_kind"),
        tables.events.c.subject_id == bindparam("subject_id"),
    )
    .order_by(tables.events.c.seq.desc())
    .limit(bindparam("limit"))
)
LAST_EVENT_OF = (
    _events.where(
        tables.events.c.actor_id == bindparam("actor_id"),
        tables.events.c.kind != UNDO,
        ~there_is().where(
            _undoing.c.server_id == tables.events.c.server_id,
            _undoing.c.kind == UNDO,
            _undoing.c.subject_kind == EVENT,
            _undoing.c.subject_id == tables.events.c.seq,
        ),
    )
    .order_by(tables.events.c.seq.desc())
    .limit(1)
)
