"""Dumps of filled databases, one per revision: a JSON object a line, one line a row.

A dump is read into the tables as they were at its revision, whatever the code's tables are today. Whole numbers of 64 bits
stand as text, times as ISO text with their zone, bytes in base 64.
"""

import base64
import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import BigInteger, Boolean, Connection, Date, DateTime, LargeBinary, MetaData, Table, insert, select

FOLDER = Path(__file__).parents[1] / "records" / "dumps"

_ALEMBIC = "alembic_version"


def path_of(revision: str) -> Path:
    """Where the dump of a revision stands."""
    return FOLDER / f"{revision}.jsonl"


def dump(connection: Connection, revision: str, server: int) -> Path:
    """Write every row of a server, and of the tables of no server, as the dump of this revision."""
    lines = []
    for table in _tables(connection):
        rows = select(table).order_by(*table.primary_key)
        if "server_id" in table.c:
            rows = rows.where(table.c.server_id == server)
        for row in connection.execute(rows).mappings():
            lines.append(json.dumps({"table": table.name, **{c.name: _written(row[c.name], c) for c in table.c}}))
    path = path_of(revision)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def load(connection: Connection, revision: str) -> None:
    """Put the rows of a revision's dump into an empty database that stands at that revision."""
    tables = {table.name: table for table in _tables(connection)}
    for line in path_of(revision).read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        table = tables[row.pop("table")]
        connection.execute(insert(table), {c.name: _read(row[c.name], c) for c in table.c})


def _tables(connection: Connection) -> Iterator[Table]:
    """The tables as the database has them, each after those it refers to."""
    found = MetaData()
    found.reflect(connection)
    return (table for table in found.sorted_tables if table.name != _ALEMBIC)


def _written(value: Any, column: Any) -> Any:
    if isinstance(value, datetime):
        return (value if value.tzinfo else value.replace(tzinfo=UTC)).isoformat()
    if isinstance(value, bytes):
        return base64.b64encode(value).decode()
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(column.type, BigInteger) and value is not None else value


def _read(value: Any, column: Any) -> Any:
    if value is None:
        return None
    if isinstance(column.type, DateTime):
        moment = datetime.fromisoformat(value)
        return moment if column.type.timezone else moment.replace(tzinfo=None)
    if isinstance(column.type, Date):
        return date.fromisoformat(value)
    if isinstance(column.type, BigInteger):
        return int(value)
    if isinstance(column.type, LargeBinary):
        return base64.b64decode(value)
    return bool(value) if isinstance(column.type, Boolean) else value
