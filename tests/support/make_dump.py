"""Write the dump of the newest revision: `python -m tests.support.make_dump`, once, when a revision lands.

The dump is committed with the revision. From then on the tests load it at its revision, upgrade it to the newest, and read
it, on both engines.
"""

import asyncio
import sys
import tempfile
from pathlib import Path

from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from bot.records import Records
from bot.records.engines import make_engines
from bot.records.migrations import HERE
from tests.support import dumps
from tests.support.filled import SERVER, Stamps, fill


def newest_revision() -> str:
    """The revision that `Records.open` brings a database to."""
    head = ScriptDirectory(str(HERE)).get_current_head()
    if head is None:
        raise LookupError("there is no revision")
    return head


async def make(file: Path) -> Path:
    """Fill a fresh database at `file` and dump it."""
    address = f"sqlite+aiosqlite:///{file}"
    records = await Records.open(address)
    await fill(records, address, Stamps())
    await records.close()
    engines = make_engines(address)

    def write(connection: Connection) -> Path:
        return dumps.dump(connection, newest_revision(), SERVER)

    async with engines.reader.connect() as connection:
        written = await connection.run_sync(write)
    await engines.close()
    return written


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        sys.stdout.write(f"{asyncio.run(make(Path(folder) / 'filled.db'))}\n")
