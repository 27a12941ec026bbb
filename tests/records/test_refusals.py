"""What the database itself refuses, whatever the program does: raw rows on both engines."""

from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Any

import pytest
from pytest_asyncio import fixture as async_fixture
from sqlalchemy import Enum, ForeignKeyConstraint, String, Table, UniqueConstraint, insert, literal, select, update
from sqlalchemy.exc import IntegrityError

from bot.records import Records
from bot.records.bin_tables import count_parts, transfers
from bot.records.engines import Engines, make_engines
from bot.records.tables import applications, bin_parents, counts, founders, metadata, servers
from tests.support.filled import SERVER, Stamps, fill, open_bin

OTHER = SERVER + 1_000_000
FAR = 100_000
"""Where the other server's ids begin, so that none of them is also an id here."""

TABLES = [table for table in metadata.sorted_tables if table not in (servers, applications)]


@async_fixture
async def two_servers(database_url: str) -> AsyncIterator[Engines]:
    """Two servers with a row in every table."""
    records = await Records.open(database_url)
    engines = make_engines(database_url)
    here, there = Stamps(), Stamps(OTHER, OTHER + 10, "Ives")
    await open_bin(records, there)
    async with engines.writer.begin() as connection:
        await connection.execute(
            update(servers).where(servers.c.server_id == OTHER).values(next_id=FAR, next_event=FAR)
        )
    await fill(records, database_url, here)
    await fill(records, database_url, there)
    await records.close()
    yield engines
    await engines.close()


async def _a_row(engines: Engines, table: Table, server: int, filled: str | None = None) -> dict[str, Any]:
    """The newest row of a table; one in which a column is `filled`, if there is one."""
    order = [] if filled is None else [table.c[filled].is_(None)]
    order += [column.desc() for column in table.primary_key]
    newest = select(table).where(table.c.server_id == server).order_by(*order).limit(1)
    async with engines.reader.connect() as connection:
        return dict((await connection.execute(newest)).mappings().one())


def _key(table: Table) -> str:
    """The column that is the key beside the server."""
    return table.primary_key.columns[1].name


def _as_new(table: Table, row: dict[str, Any]) -> dict[str, Any]:
    """The row again, under keys of its own."""
    new = dict(row)
    new[_key(table)] += 1_000
    for name in ("code_key", "nonce", "key"):
        if name in new:
            new[name] = f"{new[name][:8]}-new"
    if "request_id" in new:
        new["request_id"] += 1
    if table.name in ("pairings", "finds", "guides"):
        new["number"] += 1_000
    if "due_at" in new:
        new["due_at"] += timedelta(days=1)
    return new


def _references() -> list[tuple[str, str, str]]:
    return [
        (table.name, constraint.column_keys[-1], constraint.referred_table.name)
        for table in TABLES
        for constraint in table.constraints
        if isinstance(constraint, ForeignKeyConstraint) and constraint.referred_table is not servers
    ]


def test_every_reference_carries_the_server() -> None:
    for table in TABLES:
        for constraint in table.constraints:
            if isinstance(constraint, ForeignKeyConstraint):
                assert constraint.column_keys[0] == "server_id"
                assert constraint.elements[0].column.name == "server_id"
    assert len(_references()) > 20


async def test_no_row_may_point_into_another_server(two_servers: Engines) -> None:
    for name, column, target in _references():
        table, referred = metadata.tables[name], metadata.tables[target]
        row, there = await _a_row(two_servers, table, SERVER, column), await _a_row(two_servers, referred, OTHER)
        own_key, its_key = _key(table), _key(referred)
        change = update(table).where(table.c.server_id == SERVER, table.c[own_key] == row[own_key])
        with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
            async with two_servers.writer.begin() as connection:
                await connection.execute(change.values({column: there[its_key]}))


async def test_no_row_may_stand_in_a_server_that_is_not_there(two_servers: Engines) -> None:
    for table in TABLES:
        row = _as_new(table, await _a_row(two_servers, table, SERVER)) | {"server_id": 5}
        with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
            async with two_servers.writer.begin() as connection:
                await connection.execute(insert(table), row)


async def test_a_row_may_point_within_its_server(two_servers: Engines) -> None:
    """The rows refused above differ from a good one in the reference alone."""
    for table in TABLES:
        renewed = {"nonce", "request_id", "code_key", "key", "due_at", "number"}
        unique = [set(c.columns.keys()) for c in table.constraints if isinstance(c, UniqueConstraint)]
        if table.name != "keepers" and all(names & renewed for names in unique):
            async with two_servers.writer.begin() as connection:
                await connection.execute(insert(table), _as_new(table, await _a_row(two_servers, table, SERVER)))


async def test_a_checked_column_takes_no_other_word(two_servers: Engines) -> None:
    checked = [(table, column) for table in TABLES for column in table.c if isinstance(column.type, Enum)]
    assert checked
    for table, column in checked:
        for word in ("nonsense", ""):
            change = update(table).where(table.c.server_id == SERVER).values({column.name: literal(word, String())})
            with pytest.raises(IntegrityError, match=r"(?i)check"):
                async with two_servers.writer.begin() as connection:
                    await connection.execute(change)


async def test_a_bin_is_not_its_own_parent(two_servers: Engines) -> None:
    row = _as_new(bin_parents, await _a_row(two_servers, bin_parents, SERVER))
    with pytest.raises(IntegrityError, match="two_bins"):
        async with two_servers.writer.begin() as connection:
            await connection.execute(insert(bin_parents), row | {"parent_bin_id": row["bin_id"]})


@pytest.mark.parametrize(
    ("table", "change"),
    [
        (counts, {"total": -1}),
        (counts, {"seen": -1}),
        (counts, {"low": 5, "high": 4}),
        (counts, {"low": -1, "high": 4}),
        (count_parts, {"number": -1}),
        (count_parts, {"low": 5, "high": 4}),
        (transfers, {"number": -1}),
        (founders, {"number": 0}),
    ],
)
async def test_numbers_of_animals_make_sense(two_servers: Engines, table: Table, change: dict[str, int]) -> None:
    row = _as_new(table, await _a_row(two_servers, table, SERVER))
    with pytest.raises(IntegrityError, match=r"(?i)check"):
        async with two_servers.writer.begin() as connection:
            await connection.execute(insert(table), row | change)


async def test_animals_do_not_go_from_a_bin_into_itself(two_servers: Engines) -> None:
    row = _as_new(transfers, await _a_row(two_servers, transfers, SERVER))
    with pytest.raises(IntegrityError, match="two_bins"):
        async with two_servers.writer.begin() as connection:
            await connection.execute(insert(transfers), row | {"to_bin_id": row["from_bin_id"]})


async def test_one_request_leaves_one_event_whatever_the_program_does(two_servers: Engines) -> None:
    events = metadata.tables["events"]
    row = await _a_row(two_servers, events, SERVER)
    with pytest.raises(IntegrityError, match="request_id"):
        async with two_servers.writer.begin() as connection:
            await connection.execute(insert(events), row | {"seq": row["seq"] + 1})


async def test_the_reader_cannot_write(two_servers: Engines) -> None:
    row = _as_new(counts, await _a_row(two_servers, counts, SERVER))
    with pytest.raises(Exception, match=r"(?i)read.?only"):
        async with two_servers.reader.connect() as connection:
            await connection.execute(insert(counts), row)
