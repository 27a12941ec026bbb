"""The first tables: servers, keepers, species, traits, bins, counts, care, pings, drafts and events.

Types are the plain ones of the database, so that this revision stays what it was when the code's types change.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0001"
down_revision: str | None = None
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Create every table, each after those it refers to."""
    _applications()
    _servers()
    _keepers()
    _deliveries()
    _drafts()
    _events()
    _species_cards()
    _texts()
    _bins()
    _traits()
    _bin_parents()
    _care_tasks()
    _counts()
    _founders()
    _founder_states()
    _occurrences()


def _scoped(name: str, *items: Any, key: str = "id") -> None:
    """Create a table whose rows belong to one server."""
    op.create_table(
        name,
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column(key, sa.BigInteger(), nullable=False, autoincrement=False),
        *items,
        sa.PrimaryKeyConstraint("server_id", key, name=op.f(f"pk_{name}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{name}_server_id_servers")),
    )


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """A reference that carries the server with it."""
    name = op.f(f"fk_{table}_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)


def _check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def _unique(table: str, *columns: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint(*columns, name=op.f(f"uq_{table}_{'_'.join(columns)}"))


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table, list(columns))


def _applications() -> None:
    op.create_table(
        "applications",
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("commands_hash", sa.String(64), nullable=False),
        sa.Column("synced_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_applications")),
    )


def _servers() -> None:
    op.create_table(
        "servers",
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("zone", sa.String(64), nullable=True),
        sa.Column("bin_prefix", sa.String(16), nullable=False),
        sa.Column("next_id", sa.BigInteger(), nullable=False),
        sa.Column("next_event", sa.BigInteger(), nullable=False),
        sa.Column("next_bin", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("server_id", name=op.f("pk_servers")),
    )


def _keepers() -> None:
    _scoped(
        "keepers",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("zone", sa.String(64), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
    )


def _deliveries() -> None:
    _scoped(
        "deliveries",
        sa.Column("channel_id", sa.BigInteger(), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("nonce", sa.String(25), nullable=False),
        sa.Column("state", sa.String(32), nullable=False),
        sa.Column("holder", sa.String(64), nullable=True),
        sa.Column("lease_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("first_tried_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("maybe_repeat", sa.Boolean(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=True),
        _to("deliveries", "keeper_id", "keepers"),
        _unique("deliveries", "nonce"),
        _check("deliveries", "state", "state IN ('sending', 'sent', 'blocked')"),
    )
    _index("deliveries", "state", "lease_until")


def _drafts() -> None:
    _scoped(
        "drafts",
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("fields", sa.Text(), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        _to("drafts", "keeper_id", "keepers"),
    )
    _index("drafts", "server_id", "expires_at")


def _events() -> None:
    _scoped(
        "events",
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("actor_id", sa.BigInteger(), nullable=False),
        sa.Column("request_id", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.String(64), nullable=False),
        sa.Column("subject_kind", sa.String(32), nullable=False),
        sa.Column("subject_id", sa.BigInteger(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        _to("events", "actor_id", "keepers"),
        _unique("events", "request_id"),
        key="seq",
    )
    _index("events", "server_id", "actor_id")
    _index("events", "server_id", "subject_kind", "subject_id")


def _species_cards() -> None:
    _scoped(
        "species_cards",
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("sex_system", sa.String(32), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("set_by", sa.BigInteger(), nullable=False),
        sa.Column("set_at", sa.DateTime(timezone=True), nullable=False),
        _to("species_cards", "set_by", "keepers"),
        _unique("species_cards", "server_id", "key"),
        _check(
            "species_cards",
            "sex_system",
            "sex_system IN ('XX/XY', 'ZZ/ZW', 'X0', 'haplodiploid', 'thelytokous', 'unknown')",
        ),
    )


def _texts() -> None:
    _scoped(
        "texts",
        sa.Column("author_id", sa.BigInteger(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        _to("texts", "author_id", "keepers"),
    )
    _index("texts", "server_id", "author_id")


def _bins() -> None:
    _scoped(
        "bins",
        sa.Column("code", sa.String(32), nullable=False),
        sa.Column("code_key", sa.String(32), nullable=False),
        sa.Column("species_key", sa.String(64), nullable=False),
        sa.Column("name_id", sa.BigInteger(), nullable=True),
        sa.Column("note_id", sa.BigInteger(), nullable=True),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        _to("bins", "name_id", "texts"),
        _to("bins", "note_id", "texts"),
        _to("bins", "keeper_id", "keepers"),
        _unique("bins", "server_id", "code_key"),
    )


def _traits() -> None:
    _scoped(
        "traits",
        sa.Column("name_id", sa.BigInteger(), nullable=False),
        sa.Column("symbol", sa.String(16), nullable=False),
        sa.Column("dominance", sa.String(32), nullable=False),
        sa.Column("species_key", sa.String(64), nullable=True),
        sa.Column("author_id", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        _to("traits", "name_id", "texts"),
        _to("traits", "author_id", "keepers"),
        _check("traits", "dominance", "dominance IN ('recessive', 'dominant', 'incompletely dominant')"),
    )


def _bin_parents() -> None:
    _scoped(
        "bin_parents",
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("parent_bin_id", sa.BigInteger(), nullable=False),
        sa.Column("role", sa.String(32), nullable=False),
        _to("bin_parents", "bin_id", "bins"),
        _to("bin_parents", "parent_bin_id", "bins"),
        _check("bin_parents", "two_bins", "bin_id <> parent_bin_id"),
        _unique("bin_parents", "server_id", "bin_id", "parent_bin_id"),
        _check("bin_parents", "role", "role IN ('dam', 'sire', 'both')"),
    )


def _care_tasks() -> None:
    _scoped(
        "care_tasks",
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("minute_of_day", sa.Integer(), nullable=False),
        sa.Column("channel_id", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        _to("care_tasks", "bin_id", "bins"),
        _to("care_tasks", "keeper_id", "keepers"),
        _check("care_tasks", "weekday", "weekday BETWEEN 0 AND 6"),
        _check("care_tasks", "minute_of_day", "minute_of_day BETWEEN 0 AND 1439"),
        _check("care_tasks", "kind", "kind IN ('moisture', 'litter', 'recount')"),
    )
    _index("care_tasks", "server_id", "bin_id")


def _counts() -> None:
    _scoped(
        "counts",
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("exactness", sa.String(32), nullable=False),
        sa.Column("typed_id", sa.BigInteger(), nullable=True),
        sa.Column("note_id", sa.BigInteger(), nullable=True),
        _to("counts", "bin_id", "bins"),
        _to("counts", "keeper_id", "keepers"),
        _to("counts", "typed_id", "texts"),
        _to("counts", "note_id", "texts"),
        _check("counts", "total", "total >= 0"),
        _check("counts", "exactness", "exactness IN ('exact', 'estimate')"),
    )
    _index("counts", "server_id", "bin_id", "at")


def _founders() -> None:
    _scoped(
        "founders",
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=True),
        sa.Column("sex", sa.String(32), nullable=False),
        sa.Column("described", sa.Boolean(), nullable=False),
        sa.Column("origin_id", sa.BigInteger(), nullable=True),
        sa.Column("length_mm", sa.String(64), nullable=True),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        _to("founders", "bin_id", "bins"),
        _to("founders", "origin_id", "texts"),
        _check("founders", "number", "number >= 1"),
        _check("founders", "sex", "sex IN ('female', 'male', 'unknown')"),
    )
    _index("founders", "server_id", "bin_id")


def _founder_states() -> None:
    _scoped(
        "founder_states",
        sa.Column("founder_id", sa.BigInteger(), nullable=False),
        sa.Column("trait_id", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.String(32), nullable=False),
        sa.Column("chance", sa.String(64), nullable=True),
        _to("founder_states", "founder_id", "founders"),
        _to("founder_states", "trait_id", "traits"),
        _unique("founder_states", "server_id", "founder_id", "trait_id"),
        _check("founder_states", "state", "state IN ('wild', 'visual', 'het', 'possible het', 'homozygous')"),
    )


def _occurrences() -> None:
    _scoped(
        "occurrences",
        sa.Column("task_id", sa.BigInteger(), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.String(32), nullable=False),
        sa.Column("delivery_id", sa.BigInteger(), nullable=True),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_by", sa.BigInteger(), nullable=True),
        _to("occurrences", "task_id", "care_tasks"),
        _to("occurrences", "delivery_id", "deliveries"),
        _to("occurrences", "done_by", "keepers"),
        _unique("occurrences", "server_id", "task_id", "due_at"),
        _check("occurrences", "state", "state IN ('due', 'asked', 'done', 'dropped')"),
    )
    _index("occurrences", "server_id", "delivery_id")
    _index("occurrences", "state", "due_at")
