"""What every statement of a read says: whose server, for which reader, in the order of a row's fields."""

from dataclasses import fields
from typing import Any

from sqlalchemy import BindParameter, ColumnElement, FromClause, Select, and_, bindparam, case, null, or_, select
from sqlalchemy import exists as there_is

from bot.records import tables
from bot.records.kinds import Privacy
from bot.records.types import Snowflake

SERVER: BindParameter[int] = bindparam("server", type_=Snowflake())
READER: BindParameter[int] = bindparam("reader", type_=Snowflake())


def same(source: FromClause, column: str, target: FromClause) -> ColumnElement[bool]:
    """The row of `target` in the same server that `column` refers to."""
    return and_(target.c.server_id == source.c.server_id, target.c.id == source.c[column])


def within(source: FromClause) -> ColumnElement[bool]:
    """The rows of the server that is asked about."""
    return source.c.server_id == SERVER


def co_keeps(bin_: FromClause) -> ColumnElement[bool]:
    """The reader is one of a bin's co-keepers."""
    return there_is().where(
        tables.bin_keepers.c.server_id == bin_.c.server_id,
        tables.bin_keepers.c.bin_id == bin_.c.id,
        tables.bin_keepers.c.keeper_id == READER,
    )


def reads(bin_: FromClause, hidden: tuple[Privacy, ...] = (Privacy.BIN,)) -> ColumnElement[bool]:
    """The reader may read a bin: it is none of the `hidden` kinds, or theirs, or shared with them.

    Every statement that says something of a bin says this as well, so that no service can forget to.
    """
    return or_(bin_.c.privacy.not_in(hidden), bin_.c.keeper_id == READER, co_keeps(bin_))


def code_of(bin_: FromClause) -> ColumnElement[str]:
    """The code of a bin that something else names: empty where the reader may not read that bin."""
    return case((reads(bin_), bin_.c.code), else_="")


def unless_private(text: ColumnElement[Any], bin_: FromClause) -> ColumnElement[Any]:
    """A text of a bin whose notes the reader may read, or nothing."""
    return case((reads(bin_, (Privacy.NOTES, Privacy.BIN)), text), else_=null())


def pick(row: type[Any], *sources: FromClause, **given: ColumnElement[Any]) -> Select[*tuple[Any, ...]]:
    """Select the columns of a row class in the order of its fields, so that `row(*columns)` is right by construction.

    A field not given by name is looked for in `sources` from the left.
    """
    columns: list[ColumnElement[Any]] = []
    for field in fields(row):
        found = given.get(field.name)
        if found is None:
            found = next(source.c[field.name] for source in sources if field.name in source.c)
        columns.append(found)
    return select(*columns)
