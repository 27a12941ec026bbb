"""The tables. Every table but `servers` and `applications` has the key `(server_id, id)`, and every reference carries the server with it.

So the database itself refuses a row that points into another server. Ids are counted per server, except those of
keepers, which are the chat service's. Names and free text stand in `texts` (and `keepers.name`) and are referred to by
id, so that erasing a person never touches an event.
"""

from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.schema import SchemaItem

from bot.calendar import Rhythm
from bot.records import kinds
from bot.records.types import Document, Rational, Snowflake, UtcDateTime, checked

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _key(name: str) -> Column[int]:
    """An id column. Nothing is drawn from a sequence: the server row counts."""
    return Column(name, BigInteger, nullable=False, autoincrement=False)


def _server() -> Column[int]:
    return Column("server_id", Snowflake, nullable=False, autoincrement=False)


def _needed(name: str, kind: Any) -> Column[Any]:
    return Column(name, kind, nullable=False)


def _maybe(name: str, kind: Any) -> Column[Any]:
    return Column(name, kind, nullable=True)


def _to(target: str, column: str) -> ForeignKeyConstraint:
    """A reference within the same server."""
    return ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"])


def _scoped(name: str, *items: SchemaItem, key: Column[int] | None = None) -> Table:
    """A table whose rows belong to one server."""
    id_column = _key("id") if key is None else key
    return Table(
        name,
        metadata,
        _server(),
        id_column,
        *items,
        PrimaryKeyConstraint("server_id", id_column.name),
        ForeignKeyConstraint(["server_id"], ["servers.server_id"]),
    )


applications = Table(
    "applications",
    metadata,
    Column("id", Snowflake, nullable=False, autoincrement=False),
    _needed("commands_hash", String(64)),
    _needed("synced_at", UtcDateTime),
    PrimaryKeyConstraint("id"),
)
"""What the chat service was last told by an application of its own. The one table of no server."""

servers = Table(
    "servers",
    metadata,
    _server(),
    _maybe("zone", String(64)),
    _maybe("channel_id", Snowflake),
    _needed("bin_prefix", String(16)),
    _maybe("inbreeding_note", Rational),
    _maybe("inbreeding_warning", Rational),
    _maybe("origin_kinship", Rational),
    _needed("next_id", BigInteger),
    _needed("next_event", BigInteger),
    _needed("next_bin", BigInteger),
    Column("next_pairing", BigInteger, nullable=False, server_default="1"),
    _needed("created_at", UtcDateTime),
    PrimaryKeyConstraint("server_id"),
)

keepers = _scoped(
    "keepers",
    _needed("name", Text),
    _maybe("zone", String(64)),
    _maybe("quiet_from", Integer),
    _maybe("quiet_to", Integer),
    _maybe("units", checked(kinds.Units, "units")),
    _maybe("channel_id", Snowflake),
    _maybe("away_from", UtcDateTime),
    _maybe("away_until", UtcDateTime),
    _needed("created_at", UtcDateTime),
    CheckConstraint("quiet_from BETWEEN 0 AND 1439", name="quiet_from"),
    CheckConstraint("quiet_to BETWEEN 0 AND 1439", name="quiet_to"),
    key=Column("id", Snowflake, nullable=False, autoincrement=False),
)

texts = _scoped(
    "texts",
    _needed("author_id", Snowflake),
    _needed("body", Text),
    _needed("at", UtcDateTime),
    _to("keepers", "author_id"),
    Index(None, "server_id", "author_id"),
)

species_cards = _scoped(
    "species_cards",
    _needed("key", String(64)),
    _needed("sex_system", checked(kinds.SexSystem, "sex_system")),
    _needed("body", Document),
    _maybe("source_id", BigInteger),
    _needed("set_by", Snowflake),
    _needed("set_at", UtcDateTime),
    _to("texts", "source_id"),
    _to("keepers", "set_by"),
    UniqueConstraint("server_id", "key"),
)

traits = _scoped(
    "traits",
    _needed("name_id", BigInteger),
    _needed("symbol", String(16)),
    _needed("dominance", checked(kinds.Dominance, "dominance")),
    _maybe("species_key", String(64)),
    _needed("author_id", Snowflake),
    _needed("created_at", UtcDateTime),
    _maybe("retired_at", UtcDateTime),
    _maybe("model", Document),
    _to("texts", "name_id"),
    _to("keepers", "author_id"),
)
"""`model` is how a trait is inherited and shown beyond its dominance; none where there is no more to say."""

trait_relations = _scoped(
    "trait_relations",
    _needed("kind", checked(kinds.RelationKind, "kind")),
    _maybe("name_id", BigInteger),
    _maybe("looks_id", BigInteger),
    _needed("body", Document),
    _needed("author_id", Snowflake),
    _needed("created_at", UtcDateTime),
    _maybe("ended_at", UtcDateTime),
    _to("texts", "name_id"),
    _to("texts", "looks_id"),
    _to("keepers", "author_id"),
)
"""What several traits are to each other. The names of looks are one text, a line each; members stand in their own table."""

trait_relation_members = _scoped(
    "trait_relation_members",
    _needed("relation_id", BigInteger),
    _needed("trait_id", BigInteger),
    _needed("place", Integer),
    _to("trait_relations", "relation_id"),
    _to("traits", "trait_id"),
    CheckConstraint("place >= 0", name="place"),
    UniqueConstraint("server_id", "relation_id", "trait_id"),
    Index(None, "server_id", "trait_id"),
)

bins = _scoped(
    "bins",
    _needed("code", String(32)),
    _needed("code_key", String(32)),
    _needed("species_key", String(64)),
    _maybe("name_id", BigInteger),
    _maybe("note_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("privacy", checked(kinds.Privacy, "privacy")),
    _needed("opened_at", UtcDateTime),
    _maybe("closed_at", UtcDateTime),
    _to("texts", "name_id"),
    _to("texts", "note_id"),
    _to("keepers", "keeper_id"),
    UniqueConstraint("server_id", "code_key"),
)

bin_keepers = _scoped(
    "bin_keepers",
    _needed("bin_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("added_at", UtcDateTime),
    _to("bins", "bin_id"),
    _to("keepers", "keeper_id"),
    UniqueConstraint("server_id", "bin_id", "keeper_id"),
)
"""Who keeps a bin beside its owner."""

founders = _scoped(
    "founders",
    _needed("bin_id", BigInteger),
    _maybe("number", BigInteger),
    _needed("sex", checked(kinds.Sex, "sex")),
    _needed("described", Boolean),
    _maybe("origin_id", BigInteger),
    _maybe("length_mm", Rational),
    _needed("added_at", UtcDateTime),
    _maybe("brood_id", BigInteger),
    _to("bins", "bin_id"),
    _to("texts", "origin_id"),
    _to("broods", "brood_id"),
    CheckConstraint("number >= 1", name="number"),
    Index(None, "server_id", "bin_id"),
)

founder_states = _scoped(
    "founder_states",
    _needed("founder_id", BigInteger),
    _needed("trait_id", BigInteger),
    _needed("state", checked(kinds.State, "state")),
    _maybe("chance", Rational),
    _to("founders", "founder_id"),
    _to("traits", "trait_id"),
    UniqueConstraint("server_id", "founder_id", "trait_id"),
)

bin_parents = _scoped(
    "bin_parents",
    _needed("bin_id", BigInteger),
    _needed("parent_bin_id", BigInteger),
    _needed("role", checked(kinds.ParentRole, "role")),
    _to("bins", "bin_id"),
    _to("bins", "parent_bin_id"),
    CheckConstraint("bin_id <> parent_bin_id", name="two_bins"),
    UniqueConstraint("server_id", "bin_id", "parent_bin_id"),
)

counts = _scoped(
    "counts",
    _needed("bin_id", BigInteger),
    _needed("at", UtcDateTime),
    _needed("keeper_id", Snowflake),
    _needed("total", BigInteger),
    _needed("exactness", checked(kinds.Exactness, "exactness")),
    _maybe("low", BigInteger),
    _maybe("high", BigInteger),
    _maybe("seen", BigInteger),
    _maybe("share", Rational),
    _maybe("thoroughness", checked(kinds.Thoroughness, "thoroughness")),
    _maybe("corrects_id", BigInteger),
    _maybe("typed_id", BigInteger),
    _maybe("note_id", BigInteger),
    _to("bins", "bin_id"),
    _to("keepers", "keeper_id"),
    _to("counts", "corrects_id"),
    _to("texts", "typed_id"),
    _to("texts", "note_id"),
    CheckConstraint("total >= 0", name="total"),
    CheckConstraint("low >= 0 AND high >= low", name="bounds"),
    CheckConstraint("seen >= 0", name="seen"),
    Index(None, "server_id", "bin_id", "at"),
    Index(None, "server_id", "corrects_id"),
)
"""Counts of whole bins. Of one from a part of the bin, `seen` are the animals in that `share`, and `total` is worked out."""

care_tasks = _scoped(
    "care_tasks",
    _needed("scope", checked(kinds.CareScope, "scope")),
    _maybe("bin_id", BigInteger),
    _maybe("shelf_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("kind", checked(kinds.CareKind, "kind")),
    _maybe("text_id", BigInteger),
    _needed("rhythm", checked(Rhythm, "rhythm")),
    _needed("days", BigInteger),
    _needed("minute_of_day", Integer),
    _needed("channel_id", Snowflake),
    _needed("created_at", UtcDateTime),
    _maybe("ended_at", UtcDateTime),
    _maybe("paused_at", UtcDateTime),
    _maybe("paused_until", UtcDateTime),
    _to("bins", "bin_id"),
    _to("texts", "shelf_id"),
    _to("keepers", "keeper_id"),
    _to("texts", "text_id"),
    CheckConstraint("(bin_id IS NULL) = (scope <> 'bin')", name="one_bin"),
    CheckConstraint("(shelf_id IS NULL) = (scope <> 'shelf')", name="one_shelf"),
    CheckConstraint("(text_id IS NULL) = (kind <> 'other')", name="own_words"),
    CheckConstraint("days >= 0", name="days"),
    CheckConstraint("minute_of_day BETWEEN 0 AND 1439", name="minute_of_day"),
    Index(None, "server_id", "bin_id"),
    Index(None, "server_id", "keeper_id"),
)
"""What a keeper asked to be reminded of; a shelf is meant by its name. `days` is the number of a `Cadence`."""

deliveries = _scoped(
    "deliveries",
    _needed("home_id", Snowflake),
    _needed("channel_id", Snowflake),
    _needed("direct", Boolean),
    _needed("keeper_id", Snowflake),
    _needed("nonce", String(25)),
    _needed("state", checked(kinds.DeliveryState, "state")),
    _maybe("holder", String(64)),
    _maybe("lease_until", UtcDateTime),
    _maybe("first_tried_at", UtcDateTime),
    _needed("tries", Integer),
    _maybe("message_id", Snowflake),
    _needed("maybe_repeat", Boolean),
    _needed("created_at", UtcDateTime),
    _maybe("sent_at", UtcDateTime),
    _to("keepers", "keeper_id"),
    UniqueConstraint("nonce"),
    Index(None, "state", "lease_until"),
    Index(None, "channel_id", "message_id"),
)
"""Pings. `home_id` is the room it was asked for in, `channel_id` where it goes: another if `direct`, the keeper's own."""

refusing_rooms = _scoped(
    "refusing_rooms",
    _needed("since", UtcDateTime),
    _maybe("told_at", UtcDateTime),
    key=Column("id", Snowflake, nullable=False, autoincrement=False),
)
"""Rooms that took no ping the last time one was due there, and when the server was told."""

occurrences = _scoped(
    "occurrences",
    _needed("task_id", BigInteger),
    _needed("bin_id", BigInteger),
    _needed("due_at", UtcDateTime),
    _maybe("zone", String(64)),
    _maybe("held_until", UtcDateTime),
    _needed("state", checked(kinds.OccurrenceState, "state")),
    _maybe("delivery_id", BigInteger),
    _maybe("asked_at", UtcDateTime),
    _maybe("done_at", UtcDateTime),
    _maybe("done_by", Snowflake),
    _to("care_tasks", "task_id"),
    _to("bins", "bin_id"),
    _to("deliveries", "delivery_id"),
    _to("keepers", "done_by"),
    UniqueConstraint("server_id", "task_id", "bin_id", "due_at"),
    Index(None, "state", "due_at"),
    Index(None, "server_id", "delivery_id"),
    Index(None, "server_id", "bin_id"),
)
"""Due dates. `zone` is the one whose wall clock made `due_at`, None if it stands whatever the zone; `held_until` is the
end of the quiet hours in which it fell."""

drafts = _scoped(
    "drafts",
    _needed("keeper_id", Snowflake),
    _needed("kind", String(32)),
    _needed("fields", Document),
    _needed("expires_at", UtcDateTime),
    _to("keepers", "keeper_id"),
    Index(None, "server_id", "expires_at"),
)

events = _scoped(
    "events",
    _needed("at", UtcDateTime),
    _needed("actor_id", Snowflake),
    _needed("request_id", Snowflake),
    _needed("kind", String(64)),
    _needed("subject_kind", String(32)),
    _needed("subject_id", BigInteger),
    _needed("before", Document),
    _needed("after", Document),
    _needed("version", Integer),
    _to("keepers", "actor_id"),
    UniqueConstraint("request_id"),
    Index(None, "server_id", "actor_id"),
    Index(None, "server_id", "subject_kind", "subject_id"),
    key=_key("seq"),
)
