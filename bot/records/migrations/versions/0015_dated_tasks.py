"""Dated tasks: care that nobody set, asked for once on a day that follows from what stands in the book."""

import sqlalchemy as sa
from alembic import op

revision: str = "0015"
down_revision: str | None = "0014"
branch_labels: None = None
depends_on: None = None

_KINDS = (
    *("moisture", "litter", "recount", "protein", "removal", "calcium", "substrate", "pests", "other"),
    *("separate", "parents out", "quarantine end", "moult photo", "sisters"),
    *("young seen", "one dead", "photo due"),
)


def upgrade() -> None:
    """Widen what a task may ask for, and make the table of days."""
    with op.batch_alter_table("care_tasks") as batch:
        batch.drop_constraint(op.f("ck_care_tasks_kind"), type_="check")
        batch.create_check_constraint(op.f("ck_care_tasks_kind"), f"kind IN ({', '.join(map(repr, _KINDS))})")
    op.create_table(
        "dated_tasks",
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("task_id", sa.BigInteger(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("about_kind", sa.String(32), nullable=False),
        sa.Column("about_id", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f("pk_dated_tasks")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f("fk_dated_tasks_server_id_servers")),
        sa.ForeignKeyConstraint(
            ["server_id", "task_id"],
            ["care_tasks.server_id", "care_tasks.id"],
            name=op.f("fk_dated_tasks_server_id_task_id_care_tasks"),
        ),
        sa.UniqueConstraint("server_id", "task_id", name=op.f("uq_dated_tasks_server_id_task_id")),
    )
    columns = ["server_id", "about_kind", "about_id"]
    op.create_index(op.f(f"ix_dated_tasks_{'_'.join(columns)}"), "dated_tasks", columns)
