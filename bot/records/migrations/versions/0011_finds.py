"""Odd animals that were found."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0011"
down_revision: str | None = "0010"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Create the table."""
    op.create_table(
        "finds",
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        *(
            sa.Column(name, sa.BigInteger(), nullable=False)
            for name in ("number", "bin_id", "trait_id", "breeders_id", "keeper_id")
        ),
        *(sa.Column(name, sa.DateTime(timezone=True), nullable=False) for name in ("found_at", "logged_at")),
        sa.Column("stage", sa.String(32), _check("stage", "stage IN ('adult', 'juvenile', 'manca')")),
        sa.Column("pouch_filled", sa.Boolean(), nullable=True),
        sa.Column("length_mm", sa.String(64), nullable=True),
        sa.Column("moulted_at", sa.DateTime(timezone=True), nullable=True),
        *(sa.Column(name, sa.BigInteger(), nullable=True) for name in ("such", "looked_at")),
        *(sa.Column(name, sa.Boolean(), nullable=True) for name in ("sheen", "slow")),
        *(sa.Column(name, sa.BigInteger(), nullable=True) for name in ("typed_id", "note_id")),
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f("pk_finds")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f("fk_finds_server_id_servers")),
        *(
            _to(column, target)
            for column, target in (
                ("bin_id", "bins"),
                ("trait_id", "traits"),
                ("breeders_id", "breeders"),
                ("keeper_id", "keepers"),
                ("typed_id", "texts"),
                ("note_id", "texts"),
            )
        ),
        _check("number", "number >= 1"),
        _check("seen", "such >= 1 AND looked_at >= such"),
        sa.UniqueConstraint("server_id", "number", name=op.f("uq_finds_server_id_number")),
    )
    for column in ("bin_id", "trait_id"):
        op.create_index(op.f(f"ix_finds_server_id_{column}"), "finds", ["server_id", column])


def _check(name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_finds_{name}"))


def _to(column: str, target: str) -> Any:
    name = op.f(f"fk_finds_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)
