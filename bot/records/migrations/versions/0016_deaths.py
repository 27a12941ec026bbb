"""Animals that were found dead."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0016"
down_revision: str | None = "0015"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "deaths",
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("keeper_id", sa.BigInteger(), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.Column("note_id", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f("pk_deaths")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f("fk_deaths_server_id_servers")),
        *(
            _to(column, target)
            for column, target in (("bin_id", "bins"), ("keeper_id", "keepers"), ("note_id", "texts"))
        ),
        sa.CheckConstraint("number >= 1", name=op.f("ck_deaths_number")),
    )
    op.create_index(op.f("ix_deaths_server_id_bin_id_at"), "deaths", ["server_id", "bin_id", "at"])


def _to(column: str, target: str) -> Any:
    """A reference that carries the server with it."""
    name = op.f(f"fk_deaths_server_id_{column}_{target}")
    return sa.ForeignKeyConstraint(["server_id", column], [f"{target}.server_id", f"{target}.id"], name=name)
