"""Photos of bins, finds and traits, and their bytes."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0014"
down_revision: str | None = "0013"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "photos",
        _number("server_id"),
        _number("id"),
        _number("bin_id", nullable=True),
        _number("find_id", nullable=True),
        _number("trait_id", nullable=True),
        _moment("taken_at"),
        _number("alternative_id", nullable=True),
        _number("keeper_id"),
        _moment("added_at"),
        _moment("removed_at", nullable=True),
        sa.Column("media", sa.String(32), nullable=False),
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("width", "height", "size")),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f("pk_photos")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f("fk_photos_server_id_servers")),
        _to("bin_id", "bins"),
        _to("find_id", "finds"),
        _to("trait_id", "traits"),
        _to("alternative_id", "texts"),
        _to("keeper_id", "keepers"),
        _check("media", "media IN ('jpeg', 'png')"),
        _check("subject", "bin_id IS NOT NULL OR trait_id IS NOT NULL"),
        _check("bin_of_find", "find_id IS NULL OR bin_id IS NOT NULL"),
        _check("measures", "width >= 1 AND height >= 1 AND size >= 1"),
    )
    for columns in (("bin_id", "taken_at"), ("find_id",), ("trait_id", "taken_at"), ("keeper_id",)):
        op.create_index(op.f(f"ix_photos_server_id_{'_'.join(columns)}"), "photos", ["server_id", *columns])
    op.create_table(
        "photo_files",
        _number("server_id"),
        _number("id"),
        _number("photo_id"),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f("pk_photo_files")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f("fk_photo_files_server_id_servers")),
        sa.ForeignKeyConstraint(
            ["server_id", "photo_id"],
            ["photos.server_id", "photos.id"],
            name=op.f("fk_photo_files_server_id_photo_id_photos"),
        ),
        sa.UniqueConstraint("server_id", "photo_id", name=op.f("uq_photo_files_server_id_photo_id")),
    )


def _number(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger(), nullable=nullable, autoincrement=False)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=nullable)


def _to(column: str, target: str) -> sa.ForeignKeyConstraint:
    """A reference that carries the server with it."""
    name = op.f(f"fk_photos_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)


def _check(name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_photos_{name}"))
