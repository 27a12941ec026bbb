"""The tables of how bins live: holds, quarantines and accidents, looks, backups, temperatures, and batches of litter."""

from sqlalchemy import BigInteger, Boolean, CheckConstraint, Index

from bot.records import kinds
from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Rational, Snowflake, UtcDateTime, checked

bin_marks = _scoped(
    "bin_marks",
    _needed("bin_id", BigInteger),
    _needed("kind", checked(kinds.MarkKind, "kind")),
    _maybe("cause", checked(kinds.HoldCause, "cause")),
    _needed("at", UtcDateTime),
    _maybe("until", UtcDateTime),
    _needed("keeper_id", Snowflake),
    _maybe("note_id", BigInteger),
    _maybe("ended_at", UtcDateTime),
    _maybe("ended_by", Snowflake),
    _to("bins", "bin_id"),
    _to("keepers", "keeper_id"),
    _to("keepers", "ended_by"),
    _to("texts", "note_id"),
    CheckConstraint("(cause IS NOT NULL) = (kind = 'hold')", name="cause_of_holds"),
    CheckConstraint("(until IS NOT NULL) = (kind = 'quarantine')", name="until_of_quarantines"),
    CheckConstraint("ended_at IS NULL OR kind IN ('hold', 'quarantine')", name="ends"),
    CheckConstraint("(ended_at IS NULL) = (ended_by IS NULL)", name="ended"),
    Index(None, "server_id", "bin_id", "at"),
)
"""What a bin is marked with from `at` on. Holds and quarantines end; a stray or an open lid stays true."""

bin_looks = _scoped(
    "bin_looks",
    _needed("bin_id", BigInteger),
    _needed("at", UtcDateTime),
    _needed("clean", Boolean),
    _needed("keeper_id", Snowflake),
    _maybe("note_id", BigInteger),
    _to("bins", "bin_id"),
    _to("keepers", "keeper_id"),
    _to("texts", "note_id"),
    Index(None, "server_id", "bin_id", "at"),
)
"""Looks at a bin for signs of disease, mites and nematodes; `clean` if nothing was seen."""

bin_backups = _scoped(
    "bin_backups",
    _needed("bin_id", BigInteger),
    _needed("of_bin_id", BigInteger),
    _needed("since", UtcDateTime),
    _maybe("ended_at", UtcDateTime),
    _to("bins", "bin_id"),
    _to("bins", "of_bin_id"),
    CheckConstraint("bin_id <> of_bin_id", name="two_bins"),
    Index(None, "server_id", "bin_id"),
    Index(None, "server_id", "of_bin_id"),
)
"""Which bin stands in for which if that is lost."""

bin_temperatures = _scoped(
    "bin_temperatures",
    _needed("bin_id", BigInteger),
    _needed("at", UtcDateTime),
    _needed("celsius", Rational),
    _needed("keeper_id", Snowflake),
    _to("bins", "bin_id"),
    _to("keepers", "keeper_id"),
    Index(None, "server_id", "bin_id", "at"),
)

litter_batches = _scoped(
    "litter_batches",
    _needed("name_id", BigInteger),
    _maybe("source_id", BigInteger),
    _maybe("treatment_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("added_at", UtcDateTime),
    _to("texts", "name_id"),
    _to("texts", "source_id"),
    _to("texts", "treatment_id"),
    _to("keepers", "keeper_id"),
    Index(None, "server_id", "keeper_id"),
)
"""Litter that was gathered or bought at one time, under its keeper's name for it."""

bin_litters = _scoped(
    "bin_litters",
    _needed("bin_id", BigInteger),
    _needed("batch_id", BigInteger),
    _needed("at", UtcDateTime),
    _needed("keeper_id", Snowflake),
    _to("bins", "bin_id"),
    _to("litter_batches", "batch_id"),
    _to("keepers", "keeper_id"),
    Index(None, "server_id", "bin_id", "at"),
    Index(None, "server_id", "batch_id"),
)
"""When a bin got litter of a batch."""
