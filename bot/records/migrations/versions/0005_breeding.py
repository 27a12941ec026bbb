"""Pairings with their breeders, and the broods seen of them with how they were scored."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0005"
down_revision: str | None = "0004"
branch_labels: None = None
depends_on: None = None

_SEXES = "sex IN ('female', 'male', 'unknown')"
_STATES = "state IN ('wild', 'visual', 'het', 'possible het', 'homozygous')"


def upgrade() -> None:
    """Add the tables of breeding, the counter of pairings, and from which brood a group of founders was kept back."""
    with op.batch_alter_table("servers") as batch:
        batch.add_column(sa.Column("next_pairing", sa.BigInteger(), nullable=False, server_default="1"))
    _breeders()
    _pairings()
    _broods()
    _scorings()
    with op.batch_alter_table("founders") as batch:
        batch.add_column(sa.Column("brood_id", sa.BigInteger(), nullable=True))
        batch.create_foreign_key(
            op.f("fk_founders_server_id_brood_id_broods"), "broods", ["server_id", "brood_id"], ["server_id", "id"]
        )


def _breeders() -> None:
    _table(
        "breeders",
        _maybe("name_id", sa.BigInteger()),
        _needed("sex", sa.String(32)),
        _needed("number", sa.BigInteger()),
        _maybe("from_bin_id", sa.BigInteger()),
        _needed("described", sa.Boolean()),
        _needed("added_at", sa.DateTime(timezone=True)),
        _check("breeders", "sex", _SEXES),
        _check("breeders", "number", "number >= 1"),
        _to("breeders", "name_id", "texts"),
        _to("breeders", "from_bin_id", "bins"),
    )
    _table(
        "breeder_states",
        _needed("breeders_id", sa.BigInteger()),
        _needed("trait_id", sa.BigInteger()),
        _needed("state", sa.String(32)),
        _maybe("chance", sa.String(64)),
        _check("breeder_states", "state", _STATES),
        _to("breeder_states", "breeders_id", "breeders"),
        _to("breeder_states", "trait_id", "traits"),
        _once("breeder_states", "breeders_id", "trait_id"),
    )


def _pairings() -> None:
    moments = ("gravid_at", "young_at", "separate_by", "parents_out_by", "out_at", "ended_at")
    _table(
        "pairings",
        _needed("number", sa.BigInteger()),
        _needed("bin_id", sa.BigInteger()),
        _maybe("trait_id", sa.BigInteger()),
        _needed("keeper_id", sa.BigInteger()),
        _maybe("note_id", sa.BigInteger()),
        _needed("set_up_at", sa.DateTime(timezone=True)),
        *(_maybe(name, sa.DateTime(timezone=True)) for name in moments),
        _maybe("reason_id", sa.BigInteger()),
        _to("pairings", "bin_id", "bins"),
        _to("pairings", "trait_id", "traits"),
        _to("pairings", "keeper_id", "keepers"),
        _to("pairings", "note_id", "texts"),
        _to("pairings", "reason_id", "texts"),
        _once("pairings", "number"),
    )
    _index("pairings", "bin_id")
    _table(
        "pairing_breeders",
        _needed("pairing_id", sa.BigInteger()),
        _needed("breeders_id", sa.BigInteger()),
        _needed("role", sa.String(32)),
        _maybe("history", sa.String(32)),
        _check("pairing_breeders", "role", "role IN ('dam', 'sire')"),
        _check("pairing_breeders", "history", "history IN ('unmated', 'had males', 'unknown')"),
        _check("pairing_breeders", "history_of_dams", "(role = 'dam') = (history IS NOT NULL)"),
        _to("pairing_breeders", "pairing_id", "pairings"),
        _to("pairing_breeders", "breeders_id", "breeders"),
        _once("pairing_breeders", "pairing_id", "breeders_id", "role"),
    )


def _broods() -> None:
    _table(
        "broods",
        _needed("number", sa.BigInteger()),
        _needed("bin_id", sa.BigInteger()),
        _maybe("pairing_id", sa.BigInteger()),
        _needed("why", sa.String(32)),
        _needed("seen_on", sa.DateTime(timezone=True)),
        _maybe("born", sa.BigInteger()),
        _maybe("dead", sa.BigInteger()),
        _maybe("mothers", sa.Integer()),
        _needed("keeper_id", sa.BigInteger()),
        _maybe("note_id", sa.BigInteger()),
        _needed("logged_at", sa.DateTime(timezone=True)),
        _check("broods", "why", "why IN ('planned', 'found')"),
        _check("broods", "born", "born >= 0"),
        _check("broods", "dead", "dead >= 0"),
        _check("broods", "mothers", "mothers >= 1"),
        _to("broods", "bin_id", "bins"),
        _to("broods", "pairing_id", "pairings"),
        _to("broods", "keeper_id", "keepers"),
        _to("broods", "note_id", "texts"),
    )
    _index("broods", "bin_id")
    _index("broods", "pairing_id")


def _scorings() -> None:
    _table(
        "scorings",
        _needed("brood_id", sa.BigInteger()),
        _needed("at", sa.DateTime(timezone=True)),
        _needed("keeper_id", sa.BigInteger()),
        _maybe("age_days", sa.BigInteger()),
        _maybe("length_mm", sa.String(64)),
        _needed("unsure", sa.BigInteger()),
        _needed("unscored", sa.BigInteger()),
        _maybe("typed_id", sa.BigInteger()),
        _check("scorings", "numbers", "unsure >= 0 AND unscored >= 0"),
        _check("scorings", "age", "age_days >= 0"),
        _to("scorings", "brood_id", "broods"),
        _to("scorings", "keeper_id", "keepers"),
        _to("scorings", "typed_id", "texts"),
    )
    _index("scorings", "brood_id", "at")
    _table(
        "scores",
        _needed("scoring_id", sa.BigInteger()),
        _needed("sex", sa.String(32)),
        _needed("number", sa.BigInteger()),
        _check("scores", "sex", _SEXES),
        _check("scores", "number", "number >= 0"),
        _to("scores", "scoring_id", "scorings"),
    )
    _index("scores", "scoring_id")
    _table(
        "score_traits",
        _needed("score_id", sa.BigInteger()),
        _needed("trait_id", sa.BigInteger()),
        _needed("look", sa.String(32)),
        _check("score_traits", "appearance", "look IN ('wild', 'partial', 'full')"),
        _to("score_traits", "score_id", "scores"),
        _to("score_traits", "trait_id", "traits"),
        _once("score_traits", "score_id", "trait_id"),
    )


def _needed(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False)


def _maybe(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=True)


def _check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def _once(table: str, *columns: str) -> sa.UniqueConstraint:
    """These columns together stand once in a server."""
    return sa.UniqueConstraint("server_id", *columns, name=op.f(f"uq_{table}_server_id_{'_'.join(columns)}"))


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """A reference within the same server."""
    return sa.ForeignKeyConstraint(
        ["server_id", column],
        [f"{target}.server_id", f"{target}.id"],
        name=op.f(f"fk_{table}_server_id_{column}_{target}"),
    )


def _table(name: str, *items: Any) -> None:
    op.create_table(
        name,
        sa.Column("server_id", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("id", sa.BigInteger(), autoincrement=False, nullable=False),
        *items,
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f(f"pk_{name}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{name}_server_id_servers")),
    )


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_server_id_{'_'.join(columns)}"), table, ["server_id", *columns])
