"""What every reader of a server's book needs: its connection, and statements asked with the server."""

from typing import Any

from sqlalchemy import Row, Select
from sqlalchemy.ext.asyncio import AsyncConnection

Read = Select[*tuple[Any, ...]]


class Reading:
    """A server's book as something to ask.

    Attributes:
        server: the server's snowflake.
    """

    def __init__(self, server: int, connection: AsyncConnection) -> None:
        self.server = server
        self._connection = connection

    async def _all(self, statement: Read, **asked: Any) -> list[Row[*tuple[Any, ...]]]:
        result = await self._connection.execute(statement, {"server": self.server, **asked})
        return list(result.all())

    async def _one(self, statement: Read, **asked: Any) -> Row[*tuple[Any, ...]] | None:
        result = await self._connection.execute(statement, {"server": self.server, **asked})
        return result.first()
