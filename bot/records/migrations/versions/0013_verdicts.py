"""Verdicts as they were reached, and how a trait is to be weighed."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0013"
down_revision: str | None = "0012"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Add the two tables."""
    op.create_table(
        "verdicts",
        *_key(),
        sa.Column("trait_id", sa.BigInteger(), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("word", sa.String(32), nullable=False),
        sa.Column("leader", sa.String(64), nullable=False),
        sa.Column("posterior", sa.String(64), nullable=False),
        sa.Column("sceptic", sa.String(64), nullable=False),
        sa.Column("broods", sa.BigInteger(), nullable=False),
        sa.Column("young", sa.BigInteger(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        *_ends("verdicts"),
        sa.ForeignKeyConstraint(
            ["server_id", "seq"], ["events.server_id", "events.seq"], name=op.f("fk_verdicts_server_id_seq_events")
        ),
        sa.CheckConstraint("broods >= 0 AND young >= 0", name=op.f("ck_verdicts_numbers")),
    )
    op.create_index(op.f("ix_verdicts_server_id_trait_id_id"), "verdicts", ["server_id", "trait_id", "id"])
    op.create_table(
        "evidence_settings",
        *_key(),
        sa.Column("trait_id", sa.BigInteger(), nullable=False),
        sa.Column("body", sa.Text(), nullable=True),
        sa.Column("set_by", sa.BigInteger(), nullable=False),
        sa.Column("set_at", sa.DateTime(timezone=True), nullable=False),
        *_ends("evidence_settings"),
        sa.UniqueConstraint("server_id", "trait_id", name=op.f("uq_evidence_settings_server_id_trait_id")),
        _to("evidence_settings", "trait_id", "traits"),
        _to("evidence_settings", "set_by", "keepers"),
    )


def _key() -> tuple[sa.Column[Any], sa.Column[Any]]:
    return (
        sa.Column("server_id", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("id", sa.BigInteger(), autoincrement=False, nullable=False),
    )


def _ends(table: str) -> tuple[Any, ...]:
    """The key, and the reference to the server."""
    return (
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f(f"pk_{table}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{table}_server_id_servers")),
    )


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """A reference within the same server."""
    return sa.ForeignKeyConstraint(
        ["server_id", column],
        [f"{target}.server_id", f"{target}.id"],
        name=op.f(f"fk_{table}_server_id_{column}_{target}"),
    )
