"""Where a bin's own message stands in the chat."""

import sqlalchemy as sa
from alembic import op

revision: str = "0012"
down_revision: str | None = "0011"
branch_labels: None = None
depends_on: None = None

_NAME = "bin_messages"


def upgrade() -> None:
    """Make the table: at most one message of a bin."""
    op.create_table(
        _NAME,
        sa.Column("server_id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("id", sa.BigInteger(), nullable=False, autoincrement=False),
        sa.Column("bin_id", sa.BigInteger(), nullable=False),
        sa.Column("channel_id", sa.BigInteger(), nullable=False),
        sa.Column("nonce", sa.String(25), nullable=False),
        sa.Column("tried_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("server_id", "id", name=op.f(f"pk_{_NAME}")),
        sa.ForeignKeyConstraint(["server_id"], ["servers.server_id"], name=op.f(f"fk_{_NAME}_server_id_servers")),
        sa.ForeignKeyConstraint(
            ["server_id", "bin_id"], ["bins.server_id", "bins.id"], name=op.f(f"fk_{_NAME}_server_id_bin_id_bins")
        ),
        sa.UniqueConstraint("server_id", "bin_id", name=op.f(f"uq_{_NAME}_server_id_bin_id")),
        sa.UniqueConstraint("nonce", name=op.f(f"uq_{_NAME}_nonce")),
    )
