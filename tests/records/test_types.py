"""Column types on both engines: what goes in comes out, and what must not go in does not."""

from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from typing import Any

import pytest
from pytest_asyncio import fixture as async_fixture
from sqlalchemy import Column, MetaData, String, Table, insert, select, type_coerce
from sqlalchemy.exc import StatementError
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.engines import make_engines
from bot.records.types import Document, Rational, Snowflake, UtcDateTime

probe = Table(
    "probe",
    MetaData(),
    Column("snowflake", Snowflake),
    Column("moment", UtcDateTime),
    Column("rational", Rational),
    Column("document", Document),
)


@async_fixture
async def connection(empty_database_url: str) -> AsyncIterator[AsyncConnection]:
    engines = make_engines(empty_database_url)
    async with engines.writer.connect() as connection:
        await connection.run_sync(probe.create)
        yield connection
    await engines.close()


async def back(connection: AsyncConnection, name: str, value: Any) -> Any:
    await connection.execute(insert(probe), {name: value})
    return (await connection.execute(select(probe.c[name]))).scalar_one()


async def test_a_moment_comes_back_aware_and_in_utc(connection: AsyncConnection) -> None:
    written = datetime(2026, 7, 1, 2, 30, 0, 123456, tzinfo=timezone(timedelta(hours=5, minutes=45)))
    read = await back(connection, "moment", written)
    assert read == written
    assert read.tzinfo is UTC or read.utcoffset() == timedelta()


async def test_a_time_without_a_zone_is_refused(connection: AsyncConnection) -> None:
    with pytest.raises(StatementError, match="without a zone"):
        await back(connection, "moment", datetime(2026, 7, 1))  # noqa: DTZ001 - the very thing refused


async def test_two_thirds_stay_two_thirds(connection: AsyncConnection) -> None:
    assert await back(connection, "rational", Fraction(4, 6)) == Fraction(2, 3)
    stored = await connection.execute(select(type_coerce(probe.c.rational, String)))
    assert stored.scalar_one() == "2/3"


async def test_a_float_is_no_rational(connection: AsyncConnection) -> None:
    with pytest.raises(StatementError, match="Fraction"):
        await back(connection, "rational", 0.66)


@pytest.mark.parametrize("value", [2**63 - 1, 9_007_199_254_740_993, 0])
async def test_a_snowflake_keeps_all_its_64_bits(connection: AsyncConnection, value: int) -> None:
    assert await back(connection, "snowflake", value) == value


async def test_a_document_carries_its_version(connection: AsyncConnection) -> None:
    assert await back(connection, "document", {"v": 1, "a": ["é", 2]}) == {"v": 1, "a": ["é", 2]}


async def test_a_document_without_a_version_is_refused(connection: AsyncConnection) -> None:
    with pytest.raises(StatementError, match="version"):
        await back(connection, "document", {"a": 1})


@pytest.mark.parametrize("name", ["snowflake", "moment", "rational", "document"])
async def test_nothing_stays_nothing(connection: AsyncConnection, name: str) -> None:
    assert await back(connection, name, None) is None
