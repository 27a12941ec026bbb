"""The tables of what happened to bins and of what a count says of each class of animals."""

from sqlalchemy import BigInteger, Boolean, CheckConstraint, ForeignKeyConstraint, Index, String, UniqueConstraint

from bot.records import kinds
from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Snowflake, UtcDateTime, checked

bin_shelves = _scoped(
    "bin_shelves",
    _needed("bin_id", BigInteger),
    _maybe("name_id", BigInteger),
    _to("bins", "bin_id"),
    _to("texts", "name_id"),
    UniqueConstraint("server_id", "bin_id"),
)
"""Where a bin stands. A shelf is its name, written by its keeper; without one the bin was taken off it."""

closings = _scoped(
    "closings",
    _needed("bin_id", BigInteger),
    _needed("reason", checked(kinds.CloseReason, "reason")),
    _maybe("into_bin_id", BigInteger),
    _maybe("note_id", BigInteger),
    _to("bins", "bin_id"),
    _to("bins", "into_bin_id"),
    _to("texts", "note_id"),
    UniqueConstraint("server_id", "bin_id"),
)
"""Why a bin is closed; when, stands in the bin itself."""

transfers = _scoped(
    "transfers",
    _needed("at", UtcDateTime),
    _needed("keeper_id", Snowflake),
    _needed("moved", checked(kinds.Moved, "moved")),
    _needed("from_bin_id", BigInteger),
    _needed("to_bin_id", BigInteger),
    _maybe("number", BigInteger),
    _maybe("exactness", checked(kinds.Exactness, "exactness")),
    _to("keepers", "keeper_id"),
    _to("bins", "from_bin_id"),
    _to("bins", "to_bin_id"),
    CheckConstraint("from_bin_id <> to_bin_id", name="two_bins"),
    CheckConstraint("number >= 0", name="number"),
    Index(None, "server_id", "from_bin_id"),
    Index(None, "server_id", "to_bin_id"),
)
"""Animals that went from one bin into another; without a number nobody counted them."""

count_parts = _scoped(
    "count_parts",
    _needed("count_id", BigInteger),
    _needed("said", checked(kinds.Seen, "said")),
    _maybe("stage", checked(kinds.Stage, "stage")),
    _maybe("sex", checked(kinds.Sex, "sex")),
    _needed("wild", Boolean),
    _maybe("number", BigInteger),
    _maybe("exactness", checked(kinds.Exactness, "exactness")),
    _maybe("low", BigInteger),
    _maybe("high", BigInteger),
    _to("counts", "count_id"),
    CheckConstraint("number >= 0", name="number"),
    CheckConstraint("low >= 0 AND high >= low", name="bounds"),
    Index(None, "server_id", "count_id"),
)
"""What a count says of one class of animals."""

count_part_traits = _scoped(
    "count_part_traits",
    _needed("part_id", BigInteger),
    _needed("trait_id", BigInteger),
    _to("count_parts", "part_id"),
    _to("traits", "trait_id"),
    UniqueConstraint("server_id", "part_id", "trait_id"),
)
"""The traits that the animals of a class show."""

event_bins = _scoped(
    "event_bins",
    _needed("seq", BigInteger),
    _needed("bin_id", BigInteger),
    ForeignKeyConstraint(["server_id", "seq"], ["events.server_id", "events.seq"]),
    UniqueConstraint("server_id", "seq", "bin_id"),
    Index(None, "server_id", "bin_id", "seq"),
)
"""The bins that an event is about, those it took away included, so that no key refers to them."""

bin_messages = _scoped(
    "bin_messages",
    _needed("bin_id", BigInteger),
    _needed("channel_id", Snowflake),
    _needed("nonce", String(25)),
    _needed("tried_at", UtcDateTime),
    _maybe("message_id", Snowflake),
    _to("bins", "bin_id"),
    UniqueConstraint("server_id", "bin_id"),
    UniqueConstraint("nonce"),
)
"""A bin's own message in the chat: where it was posted at `tried_at` of real time; no id while that is not certain."""
