"""Whether a count was corrected is asked of every count that a ping looks at, so it is found by an index."""

from alembic import op

revision: str = "0008"
down_revision: str | None = "0007"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Add the index."""
    op.create_index(op.f("ix_counts_server_id_corrects_id"), "counts", ["server_id", "corrects_id"])
