"""What a server's stewards set about kinship: from which F on to remark and to warn, and how related founders of one origin are."""

import sqlalchemy as sa
from alembic import op

revision: str = "0002"
down_revision: str | None = "0001"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Add three fractions, written p/q; none is set."""
    with op.batch_alter_table("servers") as batch:
        for name in ("inbreeding_note", "inbreeding_warning", "origin_kinship"):
            batch.add_column(sa.Column(name, sa.String(64), nullable=True))
