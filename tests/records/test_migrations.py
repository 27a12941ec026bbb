"""Migrations: the tables of the code are those of the database, old data survives, and nobody comes in between."""

import asyncio
import logging
import sqlite3
import sys
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import CheckConstraint, Connection, Enum, column, inspect, table

from bot.records import NotOpened, Records
from bot.records.engines import make_engines
from bot.records.migrations import HERE, migrate
from bot.records.tables import metadata
from tests.support import dumps
from tests.support.filled import KEEPER, SERVER, Stamps, open_bin
from tests.support.make_dump import make, newest_revision

REVISIONS = [script.revision for script in ScriptDirectory(str(HERE)).walk_revisions()]

ROOT = Path(__file__).parents[2]

OPEN = """
import asyncio, sys
from bot.records import Records

async def main() -> None:
    await (await Records.open(sys.argv[1])).close()

asyncio.run(main())
"""


async def test_the_tables_of_the_code_are_those_of_the_database(database_url: str) -> None:
    def differences(connection: Connection) -> object:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        return compare_metadata(context, metadata)

    engines = make_engines(database_url)
    async with engines.writer.connect() as connection:
        assert await connection.run_sync(differences) == []
    await engines.close()


async def test_the_checks_of_the_code_are_those_of_the_database(database_url: str) -> None:
    """Alembic's comparison does not look at checks."""

    def found(connection: Connection) -> dict[str, set[str | None]]:
        inspector = inspect(connection)
        return {name: {check["name"] for check in inspector.get_check_constraints(name)} for name in metadata.tables}

    wanted = {
        name: {
            str(constraint.name) if str(constraint.name).startswith("ck_") else f"ck_{name}_{constraint.name}"
            for constraint in table.constraints
            if isinstance(constraint, CheckConstraint)
        }
        for name, table in metadata.tables.items()
    }
    engines = make_engines(database_url)
    async with engines.writer.connect() as connection:
        assert await connection.run_sync(found) == wanted
    await engines.close()
    words = [c.type for table in metadata.tables.values() for c in table.c if isinstance(c.type, Enum)]
    assert words
    assert all(word.create_constraint for word in words)


def test_each_revision_has_its_dump() -> None:
    assert sorted(path.stem for path in dumps.FOLDER.iterdir()) == sorted(REVISIONS)


@pytest.mark.parametrize("revision", REVISIONS)
async def test_a_dump_survives_the_way_to_the_newest_revision(empty_database_url: str, revision: str) -> None:
    engines = make_engines(empty_database_url)
    await migrate(engines.writer, revision)
    async with engines.writer.begin() as connection:
        await connection.run_sync(dumps.load, revision)
    await engines.close()
    records = await Records.open(empty_database_url)
    async with records.read(SERVER) as book:
        first, second = await book.bins()
        assert [first.code, first.name, first.note, second.name] == [
            "HL-1",
            "ember line",
            "back shelf, left",
            "ember F2",
        ]
        assert [trait.name for trait in await book.traits()][:2] == ["ember", "frost"]
        assert [founder.number for founder in await book.founders(first.id)] == [3, 1, None]
        assert [parent.code for parent in await book.parents(second.id)] == ["HL-1"]
        latest = "about 40" if revision < "0004" else "15-25 in half, some ember"
        assert [(counted.total, counted.typed) for counted in await book.latest_counts()] == [(40, latest)]
        about = {each.kind for each in await book.audit(before=10**9, limit=99, bin_id=first.id)}
        assert {"bin.open", "count.log", "care.add", "care.done"} <= about
        assert "server.set" not in about
        scored = [each.seq for each in await book.audit(before=10**9, limit=99) if each.kind == "brood.scored"]
        assert bool(scored) is (revision >= "0005")
        assert all((await book.bins_of_events(scored)).values())
        opened = len(await book.bins(open_only=False))
        task = (await book.tasks(first.id))[0]
        waiting = await book.open_occurrence(task.id)
        assert waiting is not None
        event = await book.last_event_of(KEEPER)
        assert event is not None
        assert event.kind == "care.done"
        settings = await book.event(1)
        assert settings is not None
        assert settings.kind == "server.set"
    stamps = Stamps(requests=iter(range(1, 9)))
    assert (await open_bin(records, stamps)).code == f"HL-{opened + 1}"
    async with records.write(stamps.next()) as writing:
        await writing.undo(event)
    # Its images may be older than some columns of the table; those stay as they are.
    async with records.write(stamps.next()) as writing:
        await writing.undo(settings)
    async with records.read(SERVER) as book:
        server = await book.server_row()
        assert server is not None
        assert (server.zone, server.bin_prefix) == (None, "B-")
    await records.close()


async def test_a_book_whose_rows_point_to_nothing_is_not_brought_up_to_date(tmp_path: Path) -> None:
    """SQLite does not watch references while tables are rebuilt, so they are checked before the end."""
    file = tmp_path / "old.db"
    address = f"sqlite+aiosqlite:///{file}"
    engines = make_engines(address)
    await migrate(engines.writer, "0001")
    async with engines.writer.begin() as connection:
        await connection.run_sync(dumps.load, "0001")
    await engines.close()
    with sqlite3.connect(file) as raw:
        raw.execute("UPDATE founders SET bin_id = 4000")
    raw.close()
    with pytest.raises(NotOpened, match="founders to bins"):
        await Records.open(address)
    with sqlite3.connect(file) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
    raw.close()


async def test_the_dump_of_today_is_what_the_script_writes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """But for nonces, which are random: the script still works, and the filled book still fills every table."""
    committed = dumps.path_of(newest_revision()).read_text(encoding="utf-8").splitlines()
    monkeypatch.setattr(dumps, "FOLDER", tmp_path)
    written = (await make(tmp_path / "filled.db")).read_text(encoding="utf-8").splitlines()
    assert [line for line in written if "nonce" not in line] == [line for line in committed if "nonce" not in line]
    assert {table for table in metadata.tables if any(f'"table": "{table}"' in line for line in written)} == set(
        metadata.tables
    )


async def test_processes_that_open_a_fresh_database_at_once_all_succeed(empty_database_url: str) -> None:
    processes = [
        await asyncio.create_subprocess_exec(
            sys.executable, "-W", "error", "-c", OPEN, empty_database_url, cwd=ROOT, stderr=asyncio.subprocess.PIPE
        )
        for _ in range(3)
    ]
    for process in processes:
        _, complaint = await process.communicate()
        assert process.returncode == 0, complaint.decode()


async def test_tasks_that_open_a_fresh_database_at_once_all_succeed(empty_database_url: str) -> None:
    opened = await asyncio.gather(*(Records.open(empty_database_url) for _ in range(4)))
    for number, records in enumerate(opened):
        await open_bin(records, Stamps(requests=iter([number + 1])))
        await records.close()


async def test_opening_again_changes_nothing(records: Records, database_url: str) -> None:
    opened = await open_bin(records, Stamps())
    again = await Records.open(database_url)
    async with again.read(SERVER) as book:
        assert await book.bins() == (opened,)
    await again.close()


async def test_a_book_of_a_newer_version_is_refused_in_words_and_left_as_it_is(database_url: str) -> None:
    version = table("alembic_version", column("version_num"))
    engines = make_engines(database_url)
    async with engines.writer.begin() as connection:
        await connection.execute(version.update().values(version_num="9999"))
    with pytest.raises(NotOpened, match=r"revision.*9999"):
        await Records.open(database_url)
    async with engines.reader.connect() as connection:
        assert (await connection.execute(version.select())).scalars().all() == ["9999"]
    await engines.close()


async def test_nobodys_logging_is_set_up(empty_database_url: str) -> None:
    root = logging.getLogger()
    before = (root.level, list(root.handlers), root.disabled, logging.getLogger("bot").disabled)
    await (await Records.open(empty_database_url)).close()
    assert (root.level, list(root.handlers), root.disabled, logging.getLogger("bot").disabled) == before


async def test_a_failed_revision_leaves_nothing_behind(
    empty_database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_connection: Connection, _revision: str = "head") -> None:
        metadata.tables["servers"].create(_connection)
        raise ZeroDivisionError

    monkeypatch.setattr("bot.records.migrations.upgrade", fail)
    with pytest.raises(ZeroDivisionError):
        await Records.open(empty_database_url)
    monkeypatch.undo()
    await (await Records.open(empty_database_url)).close()
