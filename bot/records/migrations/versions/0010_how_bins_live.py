"""Holds, quarantines, strays and open lids; looks; backups; temperatures; batches of litter."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0010"
down_revision: str | None = "0009"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Make the tables."""
    _scoped(
        "bin_marks",
        _number("bin_id"),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("cause", sa.String(32), nullable=True),
        _moment("at"),
        _moment("until", nullable=True),
        _number("keeper_id"),
        _number("note_id", nullable=True),
        _moment("ended_at", nullable=True),
        _number("ended_by", nullable=True),
        _to("bin_marks", "bin_id", "bins"),
        _to("bin_marks", "keeper_id", "keepers"),
        _to("bin_marks", "ended_by", "keepers"),
        _to("bin_marks", "note_id", "texts"),
        _check("bin_marks", "kind", "kind IN ('hold', 'quarantine', 'stray', 'lid off')"),
        _check("bin_marks", "cause", "cause IN ('blue sheen', 'disease', 'other')"),
        _check("bin_marks", "cause_of_holds", "(cause IS NOT NULL) = (kind = 'hold')"),
        _check("bin_marks", "until_of_quarantines", "(until IS NOT NULL) = (kind = 'quarantine')"),
        _check("bin_marks", "ends", "ended_at IS NULL OR kind IN ('hold', 'quarantine')"),
        _check("bin_marks", "ended", "(ended_at IS NULL) = (ended_by IS NULL)"),
    )
    _index("bin_marks", "server_id", "bin_id", "at")
    _looks_and_temperatures()
    _backups()
    _litter()


def _scoped(name: str, *items: Any) -> None:
    """Create a table whose rows belong to one server."""
    op.create_table(
        name,
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        *items,
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f(f"pk_{name}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{name}_server_id_servers")),
    )


def _number(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger(), nullable=nullable)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=nullable)


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """A reference that carries the server with it."""
    name = op.f(f"fk_{table}_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)


def _check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table, list(columns))


def _looks_and_temperatures() -> None:
    _scoped(
        "bin_looks",
        _number("bin_id"),
        _moment("at"),
        sa.Column("clean", sa.Boolean(), nullable=False),
        _number("keeper_id"),
        _number("note_id", nullable=True),
        _to("bin_looks", "bin_id", "bins"),
        _to("bin_looks", "keeper_id", "keepers"),
        _to("bin_looks", "note_id", "texts"),
    )
    _index("bin_looks", "server_id", "bin_id", "at")
    _scoped(
        "bin_temperatures",
        _number("bin_id"),
        _moment("at"),
        sa.Column("celsius", sa.String(64), nullable=False),
        _number("keeper_id"),
        _to("bin_temperatures", "bin_id", "bins"),
        _to("bin_temperatures", "keeper_id", "keepers"),
    )
    _index("bin_temperatures", "server_id", "bin_id", "at")


def _backups() -> None:
    _scoped(
        "bin_backups",
        _number("bin_id"),
        _number("of_bin_id"),
        _moment("since"),
        _moment("ended_at", nullable=True),
        _to("bin_backups", "bin_id", "bins"),
        _to("bin_backups", "of_bin_id", "bins"),
        _check("bin_backups", "two_bins", "bin_id <> of_bin_id"),
    )
    _index("bin_backups", "server_id", "bin_id")
    _index("bin_backups", "server_id", "of_bin_id")


def _litter() -> None:
    _scoped(
        "litter_batches",
        _number("name_id"),
        _number("source_id", nullable=True),
        _number("treatment_id", nullable=True),
        _number("keeper_id"),
        _moment("added_at"),
        _to("litter_batches", "name_id", "texts"),
        _to("litter_batches", "source_id", "texts"),
        _to("litter_batches", "treatment_id", "texts"),
        _to("litter_batches", "keeper_id", "keepers"),
    )
    _index("litter_batches", "server_id", "keeper_id")
    _scoped(
        "bin_litters",
        _number("bin_id"),
        _number("batch_id"),
        _moment("at"),
        _number("keeper_id"),
        _to("bin_litters", "bin_id", "bins"),
        _to("bin_litters", "batch_id", "litter_batches"),
        _to("bin_litters", "keeper_id", "keepers"),
    )
    _index("bin_litters", "server_id", "bin_id", "at")
    _index("bin_litters", "server_id", "batch_id")
