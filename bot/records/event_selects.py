"""The statements that read events: what was done in a server, as far as the reader may know."""

from typing import Final

from sqlalchemy import bindparam, or_, select
from sqlalchemy import exists as there_is

from bot.records import bin_tables, tables
from bot.records.scoping import reads, within
from bot.records.types import Snowflake

UNDO: Final = "undo"
"""Kind of an event that took another back; its subject is that event."""

EVENT: Final = "event"
"""Kind of subject of what took another event back: an undo, or the end of a task that was asked for before its undo."""

_undoing = tables.events.alias("undoing")
_about = bin_tables.event_bins
_touched = bin_tables.event_bins.alias("touched")

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
_anybodys = select(*(tables.events.c[name] for name in _EVENT_COLUMNS)).where(within(tables.events))
_events = _anybodys.where(
    ~there_is().where(
        _touched.c.server_id == tables.events.c.server_id,
        _touched.c.seq == tables.events.c.seq,
        tables.bins.c.server_id == _touched.c.server_id,
        tables.bins.c.id == _touched.c.bin_id,
        ~reads(tables.bins),
    )
)
"""Those that changed nothing of a bin which the reader may not read."""
EVENT_BY_SEQ = _events.where(tables.events.c.seq == bindparam("seq"))
AUDIT = (
    _events.where(
        tables.events.c.seq < bindparam("before"),
        or_(bindparam("actor_id", type_=Snowflake()) == 0, tables.events.c.actor_id == bindparam("actor_id")),
    )
    .order_by(tables.events.c.seq.desc())
    .limit(bindparam("limit"))
)
AUDIT_OF_BIN = AUDIT.where(
    there_is().where(
        _about.c.server_id == tables.events.c.server_id,
        _about.c.seq == tables.events.c.seq,
        _about.c.bin_id == bindparam("bin_id"),
    )
)
BINS_OF_EVENTS = (
    select(_about.c.seq, _about.c.bin_id)
    .where(within(_about), _about.c.seq.in_(bindparam("seqs", expanding=True)))
    .order_by(_about.c.seq, _about.c.bin_id)
)
UNDONE = select(tables.events.c.subject_id).where(
    within(tables.events),
    tables.events.c.subject_kind == EVENT,
    tables.events.c.subject_id.in_(bindparam("seqs", expanding=True)),
)
EVENT_BY_REQUEST = _anybodys.where(tables.events.c.request_id == bindparam("request_id"))
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
        tables.events.c.subject_kind != EVENT,
        ~there_is().where(
            _undoing.c.server_id == tables.events.c.server_id,
            _undoing.c.subject_kind == EVENT,
            _undoing.c.subject_id == tables.events.c.seq,
        ),
    )
    .order_by(tables.events.c.seq.desc())
    .limit(1)
)
