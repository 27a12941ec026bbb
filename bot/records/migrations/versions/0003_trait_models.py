"""How traits are inherited beyond their dominance, and what several traits are to each other."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0003"
down_revision: str | None = "0002"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Add the model of a trait, and the relations with their members."""
    with op.batch_alter_table("traits") as batch:
        batch.add_column(sa.Column("model", sa.Text(), nullable=True))
    kinds = "kind IN ('series', 'linked', 'together')"
    op.create_table(
        "trait_relations",
        *_key(),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("name_id", sa.BigInteger(), nullable=True),
        sa.Column("looks_id", sa.BigInteger(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("author_id", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        *_ends("trait_relations"),
        sa.CheckConstraint(kinds, name=op.f("ck_trait_relations_kind")),
        _to("trait_relations", "name_id", "texts"),
        _to("trait_relations", "looks_id", "texts"),
        _to("trait_relations", "author_id", "keepers"),
    )
    op.create_table(
        "trait_relation_members",
        *_key(),
        sa.Column("relation_id", sa.BigInteger(), nullable=False),
        sa.Column("trait_id", sa.BigInteger(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        *_ends("trait_relation_members"),
        sa.CheckConstraint("place >= 0", name=op.f("ck_trait_relation_members_place")),
        sa.UniqueConstraint(
            "server_id",
            "relation_id",
            "trait_id",
            name=op.f("uq_trait_relation_members_server_id_relation_id_trait_id"),
        ),
        _to("trait_relation_members", "relation_id", "trait_relations"),
        _to("trait_relation_members", "trait_id", "traits"),
    )
    op.create_index(
        op.f("ix_trait_relation_members_server_id_trait_id"), "trait_relation_members", ["server_id", "trait_id"]
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
