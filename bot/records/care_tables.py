"""The tables of dated tasks, which ask once on a day that follows from what stands in the book, and of animals found dead."""

from sqlalchemy import BigInteger, CheckConstraint, Date, Index, String, UniqueConstraint

from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Snowflake, UtcDateTime

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

deaths = _scoped(
    "deaths",
    _needed("bin_id", BigInteger),
    _needed("at", UtcDateTime),
    _needed("keeper_id", Snowflake),
    _needed("number", BigInteger),
    _maybe("note_id", BigInteger),
    _to("bins", "bin_id"),
    _to("keepers", "keeper_id"),
    _to("texts", "note_id"),
    CheckConstraint("number >= 1", name="number"),
    Index(None, "server_id", "bin_id", "at"),
)
"""Animals that were found dead in a bin, noted at once; how many, and of what, may be told later."""
