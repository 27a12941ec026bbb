"""Co-keepers, private bins, keepers' own settings, and the sources of a server's own species cards."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0006"
down_revision: str | None = "0005"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Add the columns and the table.

    A column is added in place: SQLite would make the table anew for a batch, and others refer to these.
    """
    _add("servers", sa.Column("channel_id", sa.BigInteger(), nullable=True))
    for name in ("quiet_from", "quiet_to"):
        _add("keepers", sa.Column(name, sa.Integer(), _check("keepers", name, f"{name} BETWEEN 0 AND 1439")))
    _add("keepers", sa.Column("units", sa.String(32), _check("keepers", "units", "units IN ('metric', 'imperial')")))
    _add("keepers", sa.Column("channel_id", sa.BigInteger(), nullable=True))
    rule = _check("bins", "privacy", "privacy IN ('open', 'notes', 'bin')")
    _add("bins", sa.Column("privacy", sa.String(32), rule, nullable=False, server_default="open"))
    with op.batch_alter_table("species_cards") as batch:
        batch.add_column(sa.Column("source_id", sa.BigInteger(), nullable=True))
        batch.create_foreign_key(
            op.f("fk_species_cards_server_id_source_id_texts"), "texts", ["server_id", "source_id"], ["server_id", "id"]
        )
    _bin_keepers()


def _add(table: str, column: sa.Column[Any]) -> None:
    with op.batch_alter_table(table, recreate="never") as batch:
        batch.add_column(column)


def _check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def _scoped(name: str, *items: Any) -> None:
    op.create_table(
        name,
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        *items,
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f(f"pk_{name}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{name}_server_id_servers")),
    )


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)


def _bin_keepers() -> None:
    _scoped(
        "bin_keepers",
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        _to("bin_keepers", "bin_id", "bins"),
        _to("bin_keepers", "keeper_id", "keepers"),
        sa.UniqueConstraint("server_id", "bin_id", "keeper_id", name=op.f("uq_bin_keepers_server_id_bin_id_keeper_id")),
    )
