"""The event of a scoring is about the bin of its brood, so that what is private there is told to its keepers alone."""

import json
from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0009"
down_revision: str | None = "0008"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Find the bins of the events that are there and name a scoring, or took one back."""
    connection = op.get_bind()
    servers, broods = _table("servers", "next_id"), _table("broods", "id", "bin_id")
    found = _table("event_bins", "id", "seq", "bin_id")
    every = sa.select(servers.c.server_id, servers.c.next_id).execution_options(unscoped="servers")
    for server, free in connection.execute(every).all():
        asked = sa.select(broods.c.id, broods.c.bin_id).where(broods.c.server_id == server)
        bins: dict[int, int] = dict(connection.execute(asked).all())
        known = sa.select(found.c.seq, found.c.bin_id).where(found.c.server_id == server)
        pairs = sorted(_scored(connection, server, bins) - {(row.seq, row.bin_id) for row in connection.execute(known)})
        for number, (seq, bin_id) in enumerate(pairs, start=free):
            connection.execute(sa.insert(found).values(server_id=server, id=number, seq=seq, bin_id=bin_id))
        taken = sa.update(servers).where(servers.c.server_id == server).values(next_id=free + len(pairs))
        connection.execute(taken)


def _scored(connection: sa.Connection, server: int, bins: dict[int, int]) -> set[tuple[int, int]]:
    """The events of a server with the bins of the broods of which they name a scoring."""
    events = _table("events", "seq", "before", "after")
    happened = sa.select(events.c.seq, events.c.before, events.c.after).where(events.c.server_id == server)
    return {
        (seq, bins[image["brood_id"]])
        for seq, *documents in connection.execute(happened)
        for text in documents
        for image in json.loads(text)["rows"]
        if image["table"] == "scorings" and image["brood_id"] in bins
    }


def _table(name: str, *columns: str) -> Any:
    """A table with as many of its columns as are needed here."""
    texts = {"before", "after"}
    typed = [sa.column(column, sa.Text() if column in texts else sa.BigInteger()) for column in columns]
    return sa.table(name, sa.column("server_id", sa.BigInteger()), *typed)
