"""Traits whose verdicts are told in a room, and what was told there."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0018"
down_revision: str | None = "0017"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Add the two tables."""
    op.create_table(
        "followed_traits",
        *_key(),
        sa.Column("trait_id", sa.BigInteger(), nullable=False),
        sa.Column("room_id", sa.BigInteger(), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        *_ends("followed_traits"),
        sa.UniqueConstraint("server_id", "trait_id", name=op.f("uq_followed_traits_server_id_trait_id")),
        _to("followed_traits", "trait_id", "traits"),
        _to("followed_traits", "keeper_id", "keepers"),
    )
    op.create_table(
        "verdict_news",
        *_key(),
        sa.Column("verdict_id", sa.BigInteger(), nullable=False),
        sa.Column("delivery_id", sa.BigInteger(), nullable=False),
        *_ends("verdict_news"),
        sa.UniqueConstraint("server_id", "verdict_id", name=op.f("uq_verdict_news_server_id_verdict_id")),
        sa.UniqueConstraint("server_id", "delivery_id", name=op.f("uq_verdict_news_server_id_delivery_id")),
        _to("verdict_news", "verdict_id", "verdicts"),
        _to("verdict_news", "delivery_id", "deliveries"),
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
