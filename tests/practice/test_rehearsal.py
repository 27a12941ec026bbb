"""The practice room on a book: made whole or not at all, and only a book made for practice is pinged about."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.calendar import weekly
from bot.clocks import MovableClocks
from bot.records import CareKind, NotOpened, Records, Stamp, Subject
from bot.rehearsal import NoSuchServerError, ask, practice_room
from bot.services.society import shipped_society
from tests.conftest import sqlite_address
from tests.support.chat import ELSEWHERE, HOLLOW_LOG, STRANGER, fill_with_society

WEEK = timedelta(weeks=1)


def names_in(folder: Path) -> list[str]:
    return sorted(file.name for file in folder.iterdir())


async def servers_of(book: Path) -> tuple[int, ...]:
    records = await Records.open(sqlite_address(book))
    try:
        return await records.servers()
    finally:
        await records.close()


async def add_overdue_care(book: Path) -> None:
    """A stranger's bin in another server, with care that fell due an hour ago."""
    records = await Records.open(sqlite_address(book))
    now = datetime.now(UTC)
    async with records.write(Stamp(ELSEWHERE.id, STRANGER.id, STRANGER.name, 1 << 60, now)) as writing:
        opened = await writing.add_bin(species_key="armadillidium-vulgare")
        task = await writing.add_task(
            bin_id=opened.id, kind=CareKind.MOISTURE, cadence=weekly(0, 0), channel_id=ELSEWHERE.rooms[0].id
        )
        await writing.add_occurrence(task, opened.id, now - timedelta(hours=1), None)
        await writing.log("care.added", Subject("care task", task))
    await records.close()


async def deliveries_in(book: Path, server: int) -> int:
    records = await Records.open(sqlite_address(book))
    async with records.read(server) as reading:
        found = [await reading.delivery(number) for number in range(1, 99)]
    await records.close()
    return sum(each is not None for each in found)


async def test_a_book_that_is_not_there_is_made_whole_and_nothing_beside_it(tmp_path: Path) -> None:
    book = tmp_path / "our book.db"
    async with practice_room(book, None, pings=True) as room:
        assert room.pings
        assert room.place.id == shipped_society().server
        assert book.exists()
    assert names_in(tmp_path) == ["our book.db"]
    assert await servers_of(book) == (HOLLOW_LOG.id,)


async def test_a_book_is_not_there_until_it_is_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def broken(*_: object) -> None:
        assert not (tmp_path / "book.db").exists()
        raise RuntimeError("broken for the test")

    monkeypatch.setattr("bot.rehearsal.found_society", broken)
    with pytest.raises(RuntimeError, match="for the test"):
        async with practice_room(tmp_path / "book.db", None, pings=True):
            pass
    assert names_in(tmp_path) == []


async def test_what_a_killed_process_left_of_a_book_is_no_hindrance(tmp_path: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        (tmp_path / f"book.db.unfinished{ending}").write_bytes(b"half a book" * 999)
    async with practice_room(tmp_path / "book.db", None, pings=True):
        pass
    assert names_in(tmp_path) == ["book.db"]


async def test_no_book_is_made_where_none_can_be_or_for_a_server_that_is_not_in_it(tmp_path: Path) -> None:
    with pytest.raises(NotOpened):
        async with practice_room(tmp_path / "nowhere" / "book.db", None, pings=True):
            pass
    with pytest.raises(NoSuchServerError):
        async with practice_room(tmp_path / "book.db", 5, pings=True):
            pass
    assert names_in(tmp_path) == []


async def test_the_pings_of_a_book_that_was_not_made_for_practice_are_left_alone(tmp_path: Path) -> None:
    book = tmp_path / "real.db"
    await add_overdue_care(book)
    async with practice_room(book, None, pings=True) as room:
        assert not room.pings
        await room.move(WEEK)
        assert [m for each in room.place.rooms for m in room.service.messages(each)] == []
    assert await deliveries_in(book, ELSEWHERE.id) == 0


async def test_pings_come_in_a_book_that_was_made_for_practice_unless_they_are_unwanted(tmp_path: Path) -> None:
    book = tmp_path / "demo.db"
    await fill_with_society(sqlite_address(book), MovableClocks())
    async with practice_room(book, None, pings=False) as room:
        assert not room.pings
        await room.move(WEEK)
        assert [m for each in room.place.rooms for m in room.service.messages(each)] == []
    assert await deliveries_in(book, HOLLOW_LOG.id) == 0
    async with practice_room(book, None, pings=True) as room:
        await room.move(WEEK)
        assert [m for each in room.place.rooms for m in room.service.messages(each)] != []
    assert await deliveries_in(book, HOLLOW_LOG.id) > 0


async def test_ask_makes_no_book(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "book.db"
    assert await ask("/odds cross:het ember x wild", book, None, None, tmp_path) == 2
    shown = capsys.readouterr()
    assert (shown.out, shown.err) == (
        "",
        f"There is no book {book}. `mancabook practice --book {book}` makes one.\n",
    )
    assert names_in(tmp_path) == []
