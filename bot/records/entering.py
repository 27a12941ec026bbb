"""The two statements a write begins with: the server's row taken (or made), the actor's row made (or renamed).

"Insert, or update what is there" is said through each engine's own dialect.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from sqlalchemy import Executable, bindparam
from sqlalchemy.dialects import postgresql, sqlite

from bot.records import tables

BIN_PREFIX: Final = "B-"
"""What bin codes begin with until a server chooses otherwise."""


@dataclass(frozen=True, slots=True)
class Enter:
    """The statements of one engine.

    Attributes:
        server: asked with `server_id` and `created_at`; locks the row and gives the fields of `Counters`.
        keeper: asked with `server_id`, `id`, `name` and `created_at`.
    """

    server: Executable
    keeper: Executable


def _enter(server: postgresql.Insert | sqlite.Insert, keeper: postgresql.Insert | sqlite.Insert) -> Enter:
    row = tables.servers.c
    made = server.values(
        server_id=bindparam("server_id"),
        zone=None,
        bin_prefix=BIN_PREFIX,
        next_id=1,
        next_event=1,
        next_bin=1,
        next_pairing=1,
        created_at=bindparam("created_at"),
    )
    # An update that changes nothing, for an update takes the row's lock where "do nothing" does not.
    taken = made.on_conflict_do_update(index_elements=[row.server_id], set_={"next_id": row.next_id})
    named = keeper.values(
        server_id=bindparam("server_id"),
        id=bindparam("id"),
        name=bindparam("name"),
        zone=None,
        created_at=bindparam("created_at"),
    )
    person = tables.keepers.c
    return Enter(
        server=taken.returning(row.next_id, row.next_event, row.next_bin, row.next_pairing, row.bin_prefix),
        keeper=named.on_conflict_do_update(
            index_elements=[person.server_id, person.id],
            set_={"name": named.excluded.name},
            where=person.name != named.excluded.name,
        ),
    )


ENTER: Mapping[str, Enter] = MappingProxyType(
    {
        "sqlite": _enter(sqlite.insert(tables.servers), sqlite.insert(tables.keepers)),
        "postgresql": _enter(postgresql.insert(tables.servers), postgresql.insert(tables.keepers)),
    }
)
"""The statements by the engine's name."""
