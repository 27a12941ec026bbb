"""What a read costs on SQLite: the trips to the connection's thread."""

import sqlite3
import time
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import IntegrityError, OperationalError

from bot.records import Exactness, Records, Subject
from bot.records.one_trip import OneTripConnection, connect
from tests.support.filled import SERVER, Stamps, open_bin


async def test_a_read_of_one_statement_is_three_trips(sqlite_records: Records, monkeypatch: pytest.MonkeyPatch) -> None:
    """BEGIN, the statement with its rows, ROLLBACK."""
    await open_bin(sqlite_records, Stamps())
    trips: list[Any] = []
    through = OneTripConnection._execute

    async def counted(self: OneTripConnection, *work: Any) -> Any:
        trips.append(work)
        return await through(self, *work)

    async with sqlite_records.read(SERVER) as book:
        await book.bins()
    monkeypatch.setattr(OneTripConnection, "_execute", counted)
    async with sqlite_records.read(SERVER) as book:
        assert len(await book.bins()) == 1
    assert len(trips) == 3


async def test_errors_come_as_those_of_the_database(sqlite_records: Records) -> None:
    with pytest.raises(IntegrityError, match="FOREIGN KEY"):
        async with sqlite_records.write(Stamps().next()) as book:
            await book.add_count(77, total=1, exactness=Exactness.EXACT)


async def test_a_number_beyond_64_bits_is_refused_not_cut(sqlite_records: Records) -> None:
    opened = await open_bin(sqlite_records, stamps := Stamps())
    async with sqlite_records.write(stamps.next()) as book:
        with pytest.raises((OverflowError, OperationalError)):
            await book.add_count(opened.id, total=2**63, exactness=Exactness.EXACT)
        await book.log("count.log", Subject("bin", opened.id))
    async with sqlite_records.read(SERVER) as book:
        assert await book.counts(opened.id, limit=1) == ()


async def test_a_book_that_is_made_alone_is_whole_and_safe_on_the_disk_once_it_is_closed(tmp_path: Path) -> None:
    """Nothing is left beside the file: what was written without waiting for the disk has been put into it."""
    file = tmp_path / "made.db"
    records = await Records.open(f"sqlite+aiosqlite:///{file}", alone=True)
    opened = await open_bin(records, Stamps())
    await records.close()
    assert not file.with_name("made.db-wal").exists() or file.with_name("made.db-wal").stat().st_size == 0
    with sqlite3.connect(file) as raw:
        assert raw.execute("SELECT code FROM bins").fetchall() == [(opened.code,)]
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    again = await Records.open(f"sqlite+aiosqlite:///{file}")
    async with again.read(SERVER) as book:
        assert await book.bins() == (opened,)
    await again.close()


async def test_a_database_that_cannot_be_opened_leaves_no_thread_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A thread that reports to a loop that was closed meanwhile prints a traceback over what the person is told."""
    opened: list[OneTripConnection] = []
    ended = OneTripConnection.stop

    def stop_slowly(connection: OneTripConnection) -> object:
        opened.append(connection)
        connection._tx.put_nowait((None, lambda: time.sleep(0.2)))
        return ended(connection)

    monkeypatch.setattr(OneTripConnection, "stop", stop_slowly)
    with pytest.raises(sqlite3.OperationalError):
        await connect(str(tmp_path / "no" / "such" / "folder.db"), {})
    (connection,) = opened
    assert not connection._thread.is_alive()
