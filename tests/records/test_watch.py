"""The watch over statements sees what it must see: planted violations, and good statements beside them."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import pytest
from sqlalchemy import Executable, and_, delete, exists, func, insert, literal_column, select, text, true, update

from bot.records.engines import make_engines
from bot.records.migrations import migrate
from bot.records.tables import bins, counts, founders, servers, texts
from tests.support.statements import StatementRefused, Watch

HERE = bins.c.server_id == 1
TIED = and_(counts.c.server_id == bins.c.server_id, counts.c.bin_id == bins.c.id)
LOOSE = counts.c.bin_id == bins.c.id
TYPED = and_(texts.c.server_id == counts.c.server_id, texts.c.id == counts.c.typed_id)

REFUSED: dict[str, Any] = {
    "select": select(bins),
    "select by id": select(bins).where(bins.c.id == 1),
    "count": select(func.count()).select_from(bins),
    "alias": select(bins.alias("b")),
    "either": select(bins).where(HERE | (bins.c.id == 1)),
    "not": select(bins).where(~HERE),
    "unequal": select(bins).where(bins.c.server_id > 1),
    "itself": select(bins).where(bins.c.server_id == bins.c.server_id),
    "join": select(bins.c.id).join(counts, LOOSE).where(HERE),
    "comma": select(bins.c.id, counts.c.id).where(HERE, LOOSE),
    "outer join": select(bins.c.id).outerjoin(counts, LOOSE).where(HERE),
    "outer join of a join": select(bins.c.id)
    .outerjoin(counts.join(texts, texts.c.id == counts.c.typed_id), TIED)
    .where(HERE),
    "outer join of a join that is loose": select(bins.c.id).outerjoin(counts.join(texts, TYPED), LOOSE).where(HERE),
    "outer join that gives the left its server": select(bins.c.id).outerjoin(counts, and_(TIED, HERE)),
    "full join": select(bins.c.id).join(counts, and_(TIED, HERE), full=True),
    "exists": select(bins.c.id).where(HERE, exists().where(LOOSE)),
    "scalar": select(bins.c.id, select(func.max(texts.c.id)).scalar_subquery()).where(HERE),
    "in": select(bins.c.id).where(HERE, bins.c.id.in_(select(counts.c.bin_id))),
    "from subquery": select(select(bins).subquery()),
    "from cte": select(select(bins).cte()),
    "union": select(bins.c.id).where(HERE).union(select(counts.c.id)),
    "order": select(bins.c.id).where(HERE).order_by(select(func.max(texts.c.id)).scalar_subquery()),
    "update": update(bins).values(species_key="x"),
    "update by id": update(bins).where(bins.c.id == 1).values(species_key="x"),
    "update to what is elsewhere": update(bins)
    .where(HERE)
    .values(name_id=select(func.max(texts.c.id)).scalar_subquery()),
    "update beside another": update(bins).where(HERE, LOOSE).values(species_key="x"),
    "update servers": update(servers).values(next_id=1),
    "delete": delete(bins),
    "delete where exists": delete(bins).where(HERE, exists().where(LOOSE)),
    "insert from select": insert(counts).from_select(["id"], select(bins.c.id)),
    "words": text("SELECT * FROM bins WHERE server_id = 1"),
    "words inside": select(literal_column("1")).where(text("EXISTS (SELECT 1 FROM bins)")),
    "words for a table": select(text("* FROM bins")),
    "harmless words": text("SELECT 1"),
    "unknown name": select(bins).execution_options(unscoped="no such name"),
}

GOOD: dict[str, Any] = {
    "select": select(bins).where(HERE),
    "alias": select(b := bins.alias("b")).where(b.c.server_id == 1),
    "and": select(bins).where(and_(bins.c.id == 1, and_(HERE, bins.c.species_key == "x"))),
    "join": select(bins.c.id).join(counts, TIED).where(HERE),
    "join through": select(bins.c.id).join(counts, TIED).where(counts.c.server_id == 1),
    "chain": select(bins.c.id).join(counts, TIED).join(texts, TYPED).where(HERE),
    "comma": select(bins.c.id, counts.c.id).where(HERE, TIED),
    "outer join": select(bins.c.id).outerjoin(counts, TIED).where(HERE),
    "outer join of a join": select(bins.c.id).outerjoin(counts.join(texts, TYPED), TIED).where(HERE),
    "exists": select(bins.c.id).where(HERE, exists().where(TIED)),
    "not exists": select(bins.c.id).where(HERE, ~exists().where(TIED)),
    "subquery": select(select(bins).where(HERE).subquery()),
    "union": select(bins.c.id).where(HERE).union(select(founders.c.id).where(founders.c.server_id == 1)),
    "update": update(bins).where(HERE).values(species_key="x"),
    "delete": delete(counts).where(counts.c.server_id == 1, exists().where(HERE, LOOSE)),
    "no table": select(func.current_timestamp()).where(true()),
    "named": select(bins).execution_options(unscoped="claim_due"),
}


async def _execute(url: str, statement: Executable) -> None:
    engines = make_engines(url)
    try:
        async with engines.writer.connect() as connection:
            await connection.execute(statement)
    finally:
        await engines.close()


@pytest.mark.parametrize("what", REFUSED)
async def test_a_statement_without_a_server_is_refused(sqlite_url: str, watch: Watch, what: str) -> None:
    with pytest.raises(StatementRefused):
        await _execute(sqlite_url, REFUSED[what])
    assert len(watch.refused) == 1
    watch.refused.clear()


@pytest.mark.parametrize("what", GOOD)
async def test_a_statement_with_its_server_passes(sqlite_url: str, what: str) -> None:
    await _execute(sqlite_url, GOOD[what])


async def test_words_given_to_the_driver_are_refused(sqlite_url: str, watch: Watch) -> None:
    engines = make_engines(sqlite_url)
    async with engines.writer.connect() as connection:
        with pytest.raises(StatementRefused):
            await connection.exec_driver_sql("DELETE FROM bins")
    await engines.close()
    watch.refused.clear()


async def test_migrations_pass(empty_database_url: str) -> None:
    engines = make_engines(empty_database_url)
    await migrate(engines.writer)
    await engines.close()


async def test_statements_are_counted_without_begin(
    sqlite_url: str, statements: Callable[[], AbstractContextManager[list[str]]]
) -> None:
    with statements() as outer:
        await _execute(sqlite_url, GOOD["select"])
        with statements() as inner:
            await _execute(sqlite_url, GOOD["join"])
    assert len([sql for sql in outer if sql.startswith("SELECT")]) == 2
    assert len(inner) == 1
