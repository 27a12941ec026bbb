"""Scoring guides in versions, and sets of photos that keepers score without knowing of each other."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0017"
down_revision: str | None = "0016"
branch_labels: None = None
depends_on: None = None

CALL = "call IN ('shows', 'does not', 'not sure')"


def upgrade() -> None:
    """Make the tables."""
    _guides()
    _blind()


def _guides() -> None:
    _scoped(
        "guides",
        _number("trait_id"),
        sa.Column("number", sa.Integer(), nullable=False),
        _number("keeper_id"),
        _moment("made_at"),
        _to("guides", "trait_id", "traits"),
        _to("guides", "keeper_id", "keepers"),
        _unique("guides", "trait_id", "number"),
        _check("guides", "number", "number >= 1"),
    )
    _scoped(
        "guide_photos",
        _number("guide_id"),
        _number("photo_id"),
        sa.Column("place", sa.Integer(), nullable=False),
        _word("call", nullable=False),
        sa.Column("extent", sa.Integer(), nullable=True),
        _word("stage", nullable=True),
        _word("sex", nullable=True),
        sa.Column("moulted", sa.Boolean(), nullable=False),
        _number("caption_id", nullable=True),
        _to("guide_photos", "guide_id", "guides"),
        _to("guide_photos", "photo_id", "photos"),
        _to("guide_photos", "caption_id", "texts"),
        _unique("guide_photos", "guide_id", "place"),
        _check("guide_photos", "call", CALL),
        _check("guide_photos", "stage", "stage IN ('adult', 'juvenile', 'manca')"),
        _check("guide_photos", "sex", "sex IN ('female', 'male', 'unknown')"),
        _check("guide_photos", "place", "place BETWEEN 1 AND 6"),
        _check("guide_photos", "extent", "extent BETWEEN 0 AND 5"),
    )
    _index("guide_photos", "photo_id")


def _blind() -> None:
    _scoped(
        "blind_sets",
        _number("trait_id"),
        _number("guide_id", nullable=True),
        _number("keeper_id"),
        _moment("opened_at"),
        _to("blind_sets", "trait_id", "traits"),
        _to("blind_sets", "guide_id", "guides"),
        _to("blind_sets", "keeper_id", "keepers"),
    )
    _index("blind_sets", "trait_id")
    _scoped(
        "blind_photos",
        _number("set_id"),
        _number("photo_id"),
        sa.Column("place", sa.Integer(), nullable=False),
        _to("blind_photos", "set_id", "blind_sets"),
        _to("blind_photos", "photo_id", "photos"),
        _unique("blind_photos", "set_id", "place"),
        _unique("blind_photos", "set_id", "photo_id"),
    )
    _index("blind_photos", "photo_id")
    _scoped(
        "blind_answers",
        _number("set_id"),
        _number("blind_photo_id"),
        _number("keeper_id"),
        _word("call", nullable=False),
        sa.Column("final", sa.Boolean(), nullable=False),
        _moment("at"),
        _to("blind_answers", "set_id", "blind_sets"),
        _to("blind_answers", "blind_photo_id", "blind_photos"),
        _to("blind_answers", "keeper_id", "keepers"),
        _unique("blind_answers", "blind_photo_id", "keeper_id"),
        _check("blind_answers", "call", CALL),
    )
    _index("blind_answers", "set_id")


def _scoped(name: str, *items: Any) -> None:
    """Create a table whose rows belong to one server."""
    op.create_table(
        name,
        _number("server_id"),
        _number("id"),
        *items,
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f(f"pk_{name}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{name}_server_id_servers")),
    )


def _number(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger(), nullable=nullable, autoincrement=False)


def _moment(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=False)


def _word(name: str, *, nullable: bool) -> sa.Column[str]:
    return sa.Column(name, sa.String(32), nullable=nullable)


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """A reference that carries the server with it."""
    name = op.f(f"fk_{table}_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)


def _unique(table: str, *columns: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint("server_id", *columns, name=op.f(f"uq_{table}_server_id_{'_'.join(columns)}"))


def _check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def _index(table: str, column: str) -> None:
    op.create_index(op.f(f"ix_{table}_server_id_{column}"), table, ["server_id", column])
