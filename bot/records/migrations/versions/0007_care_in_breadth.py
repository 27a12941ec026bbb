"""Care in breadth: more kinds and rhythms, shelves and whole collections, pauses, absences, and pings that go to the keeper.

Three tables refer to each other, and SQLite changes no check in place: their rows are read, the tables are made anew in an
order in which nothing refers to what is not there, and the rows are put back.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0007"
down_revision: str | None = "0006"
branch_labels: None = None
depends_on: None = None

_TIME = sa.DateTime(timezone=True)
_KINDS = ("moisture", "litter", "recount", "protein", "removal", "calcium", "substrate", "pests", "other")
_servers = sa.table("servers", sa.column("server_id"))
_BEFORE = {
    "occurrences": "server_id id task_id due_at state delivery_id asked_at done_at done_by",
    "care_tasks": "server_id id bin_id keeper_id kind weekday minute_of_day channel_id created_at ended_at",
    "deliveries": "server_id id channel_id keeper_id nonce state holder lease_until first_tried_at tries message_id "
    "maybe_repeat created_at sent_at",
}


def upgrade() -> None:
    """Keep what there is: weekly tasks of one bin each, and pings to the room they were asked for in."""
    for name in ("away_from", "away_until"):
        with op.batch_alter_table("keepers", recreate="never") as batch:
            batch.add_column(sa.Column(name, _TIME, nullable=True))
    dates, tasks, pings = (_rows_of(table) for table in ("occurrences", "care_tasks", "deliveries"))
    for table in _BEFORE:
        op.drop_table(table)
    bins = {(task["server_id"], task["id"]): task["bin_id"] for task in tasks}
    # A week's days are a bit each.
    for task in tasks:
        task |= {"scope": "bin", "rhythm": "week", "days": 1 << task.pop("weekday")}
    for ping in pings:
        ping |= {"home_id": ping["channel_id"], "direct": False}
    for at in dates:
        at["bin_id"] = bins[at["server_id"], at["task_id"]]
    op.bulk_insert(_care_tasks(), tasks)
    op.bulk_insert(_deliveries(), pings)
    op.bulk_insert(_occurrences(), dates)
    _scoped("refusing_rooms", _needed("since", _TIME), _maybe("told_at", _TIME))


def _rows_of(name: str) -> list[dict[str, Any]]:
    """Every row, a server at a time."""
    connection = op.get_bind()
    columns = [_before(column) for column in _BEFORE[name].split()]
    table = sa.table(name, *columns)
    known = sa.select(_servers.c.server_id).execution_options(unscoped="servers")
    wanted = [sa.select(table).where(table.c.server_id == each) for each in connection.execute(known).scalars().all()]
    return [dict(row) for each in wanted for row in connection.execute(each).mappings()]


def _before(name: str) -> sa.ColumnClause[Any]:
    """A column as it was; the types turn what the driver gives into what it takes."""
    if name == "maybe_repeat":
        return sa.column(name, sa.Boolean())
    return sa.column(name, _TIME) if name.endswith(("_at", "_until")) else sa.column(name)


def _care_tasks() -> sa.Table:
    made = _scoped(
        "care_tasks",
        _needed("scope", sa.String(32)),
        _maybe("bin_id", sa.BigInteger()),
        _maybe("shelf_id", sa.BigInteger()),
        _needed("keeper_id", sa.BigInteger()),
        _needed("kind", sa.String(32)),
        _maybe("text_id", sa.BigInteger()),
        _needed("rhythm", sa.String(32)),
        _needed("days", sa.BigInteger()),
        _needed("minute_of_day", sa.Integer()),
        _needed("channel_id", sa.BigInteger()),
        _needed("created_at", _TIME),
        _maybe("ended_at", _TIME),
        _maybe("paused_at", _TIME),
        _maybe("paused_until", _TIME),
        _to("care_tasks", "bin_id", "bins"),
        _to("care_tasks", "shelf_id", "texts"),
        _to("care_tasks", "keeper_id", "keepers"),
        _to("care_tasks", "text_id", "texts"),
        _check("care_tasks", "one_bin", "(bin_id IS NULL) = (scope <> 'bin')"),
        _check("care_tasks", "one_shelf", "(shelf_id IS NULL) = (scope <> 'shelf')"),
        _check("care_tasks", "own_words", "(text_id IS NULL) = (kind <> 'other')"),
        _check("care_tasks", "days", "days >= 0"),
        _check("care_tasks", "minute_of_day", "minute_of_day BETWEEN 0 AND 1439"),
        _words("care_tasks", "scope", "bin", "shelf", "all"),
        _words("care_tasks", "kind", *_KINDS),
        _words("care_tasks", "rhythm", "week", "month", "step", "once"),
    )
    _index("care_tasks", "server_id", "bin_id")
    _index("care_tasks", "server_id", "keeper_id")
    return made


def _deliveries() -> sa.Table:
    made = _scoped(
        "deliveries",
        _needed("home_id", sa.BigInteger()),
        _needed("channel_id", sa.BigInteger()),
        _needed("direct", sa.Boolean()),
        _needed("keeper_id", sa.BigInteger()),
        _needed("nonce", sa.String(25)),
        _needed("state", sa.String(32)),
        _maybe("holder", sa.String(64)),
        _maybe("lease_until", _TIME),
        _maybe("first_tried_at", _TIME),
        _needed("tries", sa.Integer()),
        _maybe("message_id", sa.BigInteger()),
        _needed("maybe_repeat", sa.Boolean()),
        _needed("created_at", _TIME),
        _maybe("sent_at", _TIME),
        _to("deliveries", "keeper_id", "keepers"),
        sa.UniqueConstraint("nonce", name=op.f("uq_deliveries_nonce")),
        _words("deliveries", "state", "sending", "sent", "blocked", "refused"),
    )
    _index("deliveries", "state", "lease_until")
    _index("deliveries", "channel_id", "message_id")
    return made


def _occurrences() -> sa.Table:
    unique = ("server_id", "task_id", "bin_id", "due_at")
    made = _scoped(
        "occurrences",
        _needed("task_id", sa.BigInteger()),
        _needed("bin_id", sa.BigInteger()),
        _needed("due_at", _TIME),
        _maybe("zone", sa.String(64)),
        _maybe("held_until", _TIME),
        _needed("state", sa.String(32)),
        _maybe("delivery_id", sa.BigInteger()),
        _maybe("asked_at", _TIME),
        _maybe("done_at", _TIME),
        _maybe("done_by", sa.BigInteger()),
        _to("occurrences", "task_id", "care_tasks"),
        _to("occurrences", "bin_id", "bins"),
        _to("occurrences", "delivery_id", "deliveries"),
        _to("occurrences", "done_by", "keepers"),
        sa.UniqueConstraint(*unique, name=op.f(f"uq_occurrences_{'_'.join(unique)}")),
        _words("occurrences", "state", "due", "asked", "done", "dropped"),
    )
    _index("occurrences", "state", "due_at")
    _index("occurrences", "server_id", "delivery_id")
    _index("occurrences", "server_id", "bin_id")
    return made


def _scoped(name: str, *items: Any) -> sa.Table:
    return op.create_table(
        name,
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        *items,
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f(f"pk_{name}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{name}_server_id_servers")),
    )


def _needed(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False)


def _maybe(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=True)


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)


def _check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def _words(table: str, column: str, *words: str) -> sa.CheckConstraint:
    return _check(table, column, f"{column} IN ({', '.join(map(repr, words))})")


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table, list(columns))
