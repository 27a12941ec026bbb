"""What every reader of a server's book needs: its connection, and statements asked with the server and the reader."""

from typing import Any, Final

from sqlalchemy import Row, Select
from sqlalchemy.ext.asyncio import AsyncConnection

Read = Select[*tuple[Any, ...]]

NOBODY: Final = 0
"""The reader of a book who keeps no bin: no snowflake is 0."""


class Reading:
    """A server's book as something to ask.

    Attributes:
        server: the server's snowflake.
        reader: the keeper for whom it is open; `NOBODY` reads what everybody may.
    """

    def __init__(self, server: int, connection: AsyncConnection, reader: int) -> None:
        self.server = server
        self.reader = reader
        self._connection = connection

    async def _all(self, statement: Read, **asked: Any) -> list[Row[*tuple[Any, ...]]]:
        result = await self._connection.execute(statement, {"server": self.server, "reader": self.reader, **asked})
        return list(result.all())

    async def _one(self, statement: Read, **asked: Any) -> Row[*tuple[Any, ...]] | None:
        result = await self._connection.execute(statement, {"server": self.server, "reader": self.reader, **asked})
        return result.first()
