"""Shelves, reasons for closing and moved animals; counts by class, by share and with corrections; the bins of each event."""

import json
from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0004"
down_revision: str | None = "0003"
branch_labels: None = None
depends_on: None = None

EXACTNESS = "exactness IN ('exact', 'estimate', 'range', 'at least', 'worked out')"


def upgrade() -> None:
    """Make the new tables, widen the counts and the parents, and find the bins of the events that are there."""
    _widen_parents()
    _widen_counts()
    _shelves()
    _closings()
    _transfers()
    _count_parts()
    _count_part_traits()
    _event_bins()
    _find_bins()


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


def _to(table: str, column: str, target: str, key: str = "id") -> sa.ForeignKeyConstraint:
    """A reference that carries the server with it."""
    name = op.f(f"fk_{table}_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.{key}"], name=name)


def _check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def _unique(table: str, *columns: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint(*columns, name=op.f(f"uq_{table}_{'_'.join(columns)}"))


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table, list(columns))


def _widen_parents() -> None:
    # The engine that has to copy the table does not tell its checks by itself.
    before = sa.Table(
        "bin_parents",
        sa.MetaData(),
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("parent_bin_id", sa.BigInteger(), nullable=False),
        sa.Column("role", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("server_id", "id", name="pk_bin_parents"),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name="fk_bin_parents_server_id_servers"),
        _to("bin_parents", "bin_id", "bins"),
        _to("bin_parents", "parent_bin_id", "bins"),
        _check("bin_parents", "two_bins", "bin_id <> parent_bin_id"),
        _unique("bin_parents", "server_id", "bin_id", "parent_bin_id"),
        _check("bin_parents", "role", "role IN ('dam', 'sire', 'both')"),
    )
    with op.batch_alter_table("bin_parents", copy_from=before) as batch:
        batch.drop_constraint(op.f("ck_bin_parents_role"), type_="check")
        batch.create_check_constraint(op.f("ck_bin_parents_role"), "role IN ('dam', 'sire', 'both', 'part')")


def _widen_counts() -> None:
    before = sa.Table(
        "counts",
        sa.MetaData(),
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("exactness", sa.String(32), nullable=False),
        sa.Column("typed_id", sa.BigInteger(), nullable=True),
        sa.Column("note_id", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("server_id", "id", name="pk_counts"),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name="fk_counts_server_id_servers"),
        _to("counts", "bin_id", "bins"),
        _to("counts", "keeper_id", "keepers"),
        _to("counts", "typed_id", "texts"),
        _to("counts", "note_id", "texts"),
        _check("counts", "total", "total >= 0"),
        _check("counts", "exactness", "exactness IN ('exact', 'estimate')"),
        sa.Index("ix_counts_server_id_bin_id_at", "server_id", "bin_id", "at"),
    )
    with op.batch_alter_table("counts", copy_from=before) as batch:
        for name in ("low", "high", "seen", "corrects_id"):
            batch.add_column(sa.Column(name, sa.BigInteger(), nullable=True))
        batch.add_column(sa.Column("share", sa.String(64), nullable=True))
        batch.add_column(sa.Column("thoroughness", sa.String(32), nullable=True))
        batch.drop_constraint(op.f("ck_counts_exactness"), type_="check")
        batch.create_check_constraint(op.f("ck_counts_exactness"), EXACTNESS)
        batch.create_check_constraint(op.f("ck_counts_bounds"), "low >= 0 AND high >= low")
        batch.create_check_constraint(op.f("ck_counts_seen"), "seen >= 0")
        batch.create_check_constraint(op.f("ck_counts_thoroughness"), "thoroughness IN ('look', 'part', 'sorted')")
        batch.create_foreign_key(
            op.f("fk_counts_server_id_corrects_id_counts"),
            "counts",
            ["server_id", "corrects_id"],
            ["server_id", "id"],
        )


def _shelves() -> None:
    _scoped(
        "bin_shelves",
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("name_id", sa.BigInteger(), nullable=True),
        _to("bin_shelves", "bin_id", "bins"),
        _to("bin_shelves", "name_id", "texts"),
        _unique("bin_shelves", "server_id", "bin_id"),
    )


def _closings() -> None:
    _scoped(
        "closings",
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("reason", sa.String(32), nullable=False),
        sa.Column("into_bin_id", sa.BigInteger(), nullable=True),
        sa.Column("note_id", sa.BigInteger(), nullable=True),
        _to("closings", "bin_id", "bins"),
        _to("closings", "into_bin_id", "bins"),
        _to("closings", "note_id", "texts"),
        _unique("closings", "server_id", "bin_id"),
        _check("closings", "reason", "reason IN ('merged', 'moved on', 'empty', 'line ended', 'other')"),
    )


def _transfers() -> None:
    _scoped(
        "transfers",
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("moved", sa.String(32), nullable=False),
        sa.Column("from_bin_id", sa.BigInteger(), nullable=False),
        sa.Column("to_bin_id", sa.BigInteger(), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=True),
        sa.Column("exactness", sa.String(32), nullable=True),
        _to("transfers", "keeper_id", "keepers"),
        _to("transfers", "from_bin_id", "bins"),
        _to("transfers", "to_bin_id", "bins"),
        _check("transfers", "two_bins", "from_bin_id <> to_bin_id"),
        _check("transfers", "number", "number >= 0"),
        _check("transfers", "moved", "moved IN ('split', 'merge')"),
        _check("transfers", "exactness", EXACTNESS),
    )
    _index("transfers", "server_id", "from_bin_id")
    _index("transfers", "server_id", "to_bin_id")


def _count_parts() -> None:
    _scoped(
        "count_parts",
        sa.Column("count_id", sa.BigInteger(), nullable=False),
        sa.Column("said", sa.String(32), nullable=False),
        sa.Column("stage", sa.String(32), nullable=True),
        sa.Column("sex", sa.String(32), nullable=True),
        sa.Column("wild", sa.Boolean(), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=True),
        sa.Column("exactness", sa.String(32), nullable=True),
        sa.Column("low", sa.BigInteger(), nullable=True),
        sa.Column("high", sa.BigInteger(), nullable=True),
        _to("count_parts", "count_id", "counts"),
        _check("count_parts", "said", "said IN ('counted', 'some', 'none seen', 'not counted')"),
        _check("count_parts", "stage", "stage IN ('adult', 'juvenile', 'manca')"),
        _check("count_parts", "sex", "sex IN ('female', 'male', 'unknown')"),
        _check("count_parts", "exactness", EXACTNESS),
        _check("count_parts", "number", "number >= 0"),
        _check("count_parts", "bounds", "low >= 0 AND high >= low"),
    )
    _index("count_parts", "server_id", "count_id")


def _count_part_traits() -> None:
    _scoped(
        "count_part_traits",
        sa.Column("part_id", sa.BigInteger(), nullable=False),
        sa.Column("trait_id", sa.BigInteger(), nullable=False),
        _to("count_part_traits", "part_id", "count_parts"),
        _to("count_part_traits", "trait_id", "traits"),
        _unique("count_part_traits", "server_id", "part_id", "trait_id"),
    )


def _event_bins() -> None:
    _scoped(
        "event_bins",
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        _to("event_bins", "seq", "events", "seq"),
        _unique("event_bins", "server_id", "seq", "bin_id"),
    )
    _index("event_bins", "server_id", "bin_id", "seq")


def _find_bins() -> None:
    """Which bins each event was about, from the row images that it holds, and where those name a task, from the task."""
    connection = op.get_bind()
    servers, tasks = _table("servers", "next_id"), _table("care_tasks", "id", "bin_id")
    events, found = _table("events", "seq", "before", "after"), _table("event_bins", "id", "seq", "bin_id")
    every = sa.select(servers.c.server_id, servers.c.next_id).execution_options(unscoped="servers")
    for server, free in connection.execute(every).all():
        asked = sa.select(tasks.c.id, tasks.c.bin_id).where(tasks.c.server_id == server)
        bins: dict[int, int] = dict(connection.execute(asked).all())
        happened = sa.select(events.c.seq, events.c.before, events.c.after).where(events.c.server_id == server)
        pairs = [
            (seq, bin_id)
            for seq, *documents in connection.execute(happened.order_by(events.c.seq))
            for bin_id in sorted(_bins_of([row for text in documents for row in json.loads(text)["rows"]], bins))
        ]
        for number, (seq, bin_id) in enumerate(pairs, start=free):
            connection.execute(sa.insert(found).values(server_id=server, id=number, seq=seq, bin_id=bin_id))
        taken = sa.update(servers).where(servers.c.server_id == server).values(next_id=free + len(pairs))
        connection.execute(taken)


def _table(name: str, *columns: str) -> Any:
    """A table with as many of its columns as are needed here."""
    texts = {"before", "after"}
    typed = [sa.column(column, sa.Text() if column in texts else sa.BigInteger()) for column in columns]
    return sa.table(name, sa.column("server_id", sa.BigInteger()), *typed)


def _bins_of(images: list[dict[str, Any]], tasks: dict[int, int]) -> set[int]:
    bins = {image["id"] for image in images if image["table"] == "bins"}
    bins |= {image[name] for image in images for name in ("bin_id", "parent_bin_id") if name in image}
    return bins | {tasks[image["task_id"]] for image in images if image.get("task_id") in tasks}
