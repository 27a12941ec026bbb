"""The watch over every statement of the test run.

A SELECT, UPDATE or DELETE must say, for each table of the book it reads from or changes, which server is meant: by a
value for `server_id`, or by a join on `server_id` with a table that has one. Exempt are the statements named in
`UNSCOPED` of `bot.records.dispatch` and `bot.records.selects`. SQL written as text cannot be understood here, so it is
refused, but for a short list.
"""

import operator
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import (
    BindParameter,
    Column,
    CompoundSelect,
    Connection,
    Delete,
    FromClause,
    Insert,
    Join,
    Select,
    Subquery,
    Table,
    TextClause,
    Update,
    event,
)
from sqlalchemy.engine import Engine, ExecutionContext
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.elements import BinaryExpression, BooleanClauseList, ColumnClause, Grouping
from sqlalchemy.sql.selectable import CTE, AliasedReturnsRows, FromGrouping, SelectBase
from sqlalchemy.sql.visitors import ExternallyTraversible

from bot.records import dispatch, selects
from bot.records.tables import metadata

UNSCOPED = dispatch.UNSCOPED | selects.UNSCOPED
"""The names under which a statement may look across servers."""

SCOPED = frozenset(table.name for table in metadata.tables.values() if "server_id" in table.c)

_ALLOWED_TEXT = tuple(
    re.compile(pattern)
    for pattern in (
        r"BEGIN( IMMEDIATE)?",
        r"PRAGMA [^;]*",
        # Reflection of SQLite's own schema, when a test compares it with the tables.
        r"SELECT (sql|name) FROM .*sqlite_(temp_)?master\b[^;]*",
    )
)


class StatementRefused(AssertionError):
    """A statement that does not say which server it is for."""


@dataclass
class Watch:
    """Listens to every engine. What it refuses it also keeps, for code under test may catch the exception."""

    refused: list[str] = field(default_factory=list)
    _records: list[list[str]] = field(default_factory=list)
    _verdicts: "WeakKeyDictionary[Any, str | None]" = field(default_factory=WeakKeyDictionary)

    @contextmanager
    def installed(self) -> Iterator["Watch"]:
        """Listen for the length of the block."""
        event.listen(Engine, "before_cursor_execute", self._see)
        try:
            yield self
        finally:
            event.remove(Engine, "before_cursor_execute", self._see)

    @contextmanager
    def record(self) -> Iterator[list[str]]:
        """The SQL executed within the block, without BEGIN: what a request costs in statements."""
        seen: list[str] = []
        self._records.append(seen)
        try:
            yield seen
        finally:
            # By identity: two records may hold the same statements.
            self._records[:] = [record for record in self._records if record is not seen]

    def _see(
        self,
        _connection: Connection,
        _cursor: object,
        statement: str,
        _parameters: object,
        context: ExecutionContext,
        _many: bool,
    ) -> None:
        if not re.match(r"BEGIN\b|PRAGMA\b", statement):
            for record in self._records:
                record.append(statement)
        complaint = self._judge(statement, context)
        if complaint is not None:
            self.refused.append(complaint)
            raise StatementRefused(complaint)

    def _judge(self, statement: str, context: ExecutionContext) -> str | None:
        compiled = context.compiled
        if compiled is None or isinstance(compiled.statement, TextClause):
            allowed = any(pattern.fullmatch(statement.strip()) for pattern in _ALLOWED_TEXT)
            return None if allowed else f"SQL as text: {statement}"
        if statement.startswith("INSERT INTO _alembic_tmp_"):
            # A revision makes a table of SQLite anew and copies it, whole, in one statement of Alembic's.
            return None
        name = context.execution_options.get("unscoped")
        if name is not None:
            return None if name in UNSCOPED else f"{name!r} is not among the names of UNSCOPED: {statement}"
        if compiled not in self._verdicts:
            tables = unscoped_tables(compiled.statement)
            complaint = f"no server_id for {', '.join(sorted(tables))}: {statement}" if tables else None
            self._verdicts[compiled] = complaint
        return self._verdicts[compiled]


def unscoped_tables(statement: Any) -> set[str]:
    """Names of the book's tables that a statement reads or changes without saying the server."""
    if isinstance(statement, Select):
        return _of_select(statement, frozenset())
    if isinstance(statement, CompoundSelect):
        return set[str]().union(*(unscoped_tables(part) for part in statement.selects))
    if isinstance(statement, Update | Delete):
        return _of_change(statement)
    if isinstance(statement, Insert) and statement.select is not None:
        if isinstance(statement.table, Table) and statement.table.name.startswith("_alembic_tmp_"):
            # SQLite cannot change a constraint in place: a migration copies the table, every server's rows alike.
            return set()
        return unscoped_tables(statement.select)
    return set()


def _of_select(select: Select[Any], outside: frozenset[FromClause]) -> set[str]:
    found: set[str] = set()
    scope = _Scope(outside)
    for source in select.get_final_froms():
        found |= scope.enter(source)
    if select.whereclause is not None:
        scope.narrow(select.whereclause)
    anchored = scope.anchored()
    found |= scope.loose(anchored)
    # Text among the columns is no column, so it is asked for apart.
    words = [part for part in select._raw_columns if isinstance(part, TextClause)]
    parts = [*select.selected_columns, *words, *scope.conditions, *select._order_by_clauses]
    parts += [*select._group_by_clauses, *select._having_criteria]
    return found | _inside(parts, outside | anchored)


def _of_change(change: Update | Delete) -> set[str]:
    scope = _Scope(frozenset())
    table = change.table
    found = scope.enter(table)
    values: list[Any] = []
    if isinstance(change, Update):
        values = [value for value in (change._values or {}).values() if isinstance(value, ClauseElement)]
    if change.whereclause is not None:
        # Another table named in the condition is read too, as a FROM that nobody wrote.
        for column in _columns_in(change.whereclause):
            if isinstance(column.table, FromClause) and column.table not in scope.sources:
                found |= scope.enter(column.table)
        scope.narrow(change.whereclause)
    anchored = scope.anchored()
    return found | scope.loose(anchored) | _inside([*values, *scope.conditions], anchored)


class _Scope:
    """The tables of one FROM, and which of them are tied to a server by a value or through one another."""

    def __init__(self, outside: frozenset[FromClause]) -> None:
        self.sources: set[FromClause] = set()
        self.conditions: list[Any] = []
        self._outside = outside
        self._ties: list[tuple[FromClause, FromClause]] = []
        self._given: set[FromClause] = set()

    def enter(self, source: Any) -> set[str]:
        """Add a member of the FROM; returns what is loose inside of it."""
        if isinstance(source, FromGrouping):
            return self.enter(source.element)
        if isinstance(source, Join):
            left = self.enter(source.left)
            before = set(self.sources)
            right = self.enter(source.right)
            # An outer join's condition chooses rows of its right side only; a full one's chooses none.
            tied = set() if source.full else self.sources - before if source.isouter else None
            self.narrow(source.onclause, only=tied)
            return left | right
        self.sources.add(source)
        if isinstance(source, Subquery | CTE):
            return unscoped_tables(source.element)
        return set()

    def narrow(self, condition: Any, only: set[FromClause] | None = None) -> None:
        """Learn from a condition that must hold; with `only`, about those members alone."""
        self.conditions.append(condition)
        for part in _conjuncts(condition):
            if not isinstance(part, BinaryExpression) or part.operator is not operator.eq:
                continue
            for here, there in ((part.left, part.right), (part.right, part.left)):
                source = _server_column_of(here)
                if source is None or (only is not None and source not in only):
                    continue
                other = _server_column_of(there)
                if other is not None:
                    self._ties.append((source, other))
                elif isinstance(there, BindParameter):
                    self._given.add(source)

    def anchored(self) -> frozenset[FromClause]:
        """The members that are tied to a server."""
        # A subquery was judged by what is inside.
        known = set(self._outside) | self._given | {s for s in self.sources if isinstance(s, Subquery | CTE)}
        grown = True
        while grown:
            more = {source for source, other in self._ties if other in known} - known
            known |= more
            grown = bool(more)
        return frozenset(known)

    def loose(self, anchored: frozenset[FromClause]) -> set[str]:
        """Names of the book's tables among the members that are tied to no server."""
        return {name for source in self.sources - anchored if (name := _table_name(source)) in SCOPED}


def _table_name(source: FromClause) -> str | None:
    element: Any = source
    while isinstance(element, AliasedReturnsRows):
        element = element.element
    return element.name if isinstance(element, Table) else None


def _server_column_of(expression: Any) -> FromClause | None:
    if isinstance(expression, Column | ColumnClause) and expression.name == "server_id":
        table: FromClause | None = expression.table
        return table
    return None


def _conjuncts(condition: Any) -> Iterator[Any]:
    if isinstance(condition, BooleanClauseList) and condition.operator is operator.and_:
        for clause in condition.clauses:
            yield from _conjuncts(clause)
    elif isinstance(condition, Grouping):
        yield from _conjuncts(condition.element)
    else:
        yield condition


def _columns_in(clause: Any) -> Iterator[ColumnClause[Any]]:
    """Columns of a condition, without those of statements inside of it."""
    if isinstance(clause, SelectBase):
        return
    if isinstance(clause, ColumnClause) and clause.table is not None:
        yield clause
    for child in clause.get_children():
        yield from _columns_in(child)


def _inside(parts: list[Any], outside: frozenset[FromClause]) -> set[str]:
    """What is loose in the statements, and in the text, that stand inside of expressions."""
    found: set[str] = set()
    waiting = list(parts)
    while waiting:
        part = waiting.pop()
        if isinstance(part, Select):
            found |= _of_select(part, outside)
        elif isinstance(part, CompoundSelect):
            waiting += part.selects
        elif isinstance(part, TextClause):
            found |= {name for name in SCOPED if re.search(rf"\b{name}\b", part.text)}
        elif isinstance(part, ExternallyTraversible):
            waiting += part.get_children()
    return found
