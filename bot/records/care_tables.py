"""The table of dated tasks: care that nobody set, asked for once on a day that follows from what stands in the book."""

from sqlalchemy import BigInteger, Date, Index, String, UniqueConstraint

from bot.records.tables import _needed, _scoped, _to

dated_tasks = _scoped(
    "dated_tasks",
    _needed("task_id", BigInteger),
    _needed("day", Date),
    _needed("about_kind", String(32)),
    _needed("about_id", BigInteger),
    _to("care_tasks", "task_id"),
    UniqueConstraint("server_id", "task_id"),
    Index(None, "server_id", "about_kind", "about_id"),
)
"""What makes a care task a dated one: its day by its keeper's wall clock, and the thing of the book that it is about.

Its due date in `occurrences` follows from here and is no part of an event, so that a change and its undo find it as the clock
left it.
"""
