"""The tables of what the broods were found to say: verdicts as they were reached, and how a trait is to be weighed."""

from sqlalchemy import BigInteger, CheckConstraint, ForeignKeyConstraint, Index, String, UniqueConstraint

from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Document, Rational, Snowflake, UtcDateTime

verdicts = _scoped(
    "verdicts",
    _needed("trait_id", BigInteger),
    _needed("seq", BigInteger),
    _needed("at", UtcDateTime),
    _needed("word", String(32)),
    _needed("leader", String(64)),
    _needed("posterior", Rational),
    _needed("sceptic", Rational),
    _needed("broods", BigInteger),
    _needed("young", BigInteger),
    _needed("body", Document),
    ForeignKeyConstraint(["server_id", "seq"], ["events.server_id", "events.seq"]),
    CheckConstraint("broods >= 0 AND young >= 0", name="numbers"),
    Index(None, "server_id", "trait_id", "id"),
)
"""What everybody could know of a trait once the event `seq` stood in the book. Rows are added and never changed.

They outlive the trait, should its definition be taken back, so that no key refers to it.
"""

evidence_settings = _scoped(
    "evidence_settings",
    _needed("trait_id", BigInteger),
    _maybe("body", Document),
    _needed("set_by", Snowflake),
    _needed("set_at", UtcDateTime),
    _to("traits", "trait_id"),
    _to("keepers", "set_by"),
    UniqueConstraint("server_id", "trait_id"),
)
"""What a steward set for the weighing of a trait. `body` are priors and grids that are not the defaults."""

followed_traits = _scoped(
    "followed_traits",
    _needed("trait_id", BigInteger),
    _needed("room_id", Snowflake),
    _needed("keeper_id", Snowflake),
    _needed("since", UtcDateTime),
    _to("traits", "trait_id"),
    _to("keepers", "keeper_id"),
    UniqueConstraint("server_id", "trait_id"),
)
"""In which room it is told when the word of a trait's verdict changes, and who wished so."""

verdict_news = _scoped(
    "verdict_news",
    _needed("verdict_id", BigInteger),
    _needed("delivery_id", BigInteger),
    _to("verdicts", "verdict_id"),
    _to("deliveries", "delivery_id"),
    UniqueConstraint("server_id", "verdict_id"),
    UniqueConstraint("server_id", "delivery_id"),
)
"""The verdicts that are told in a room, each by a delivery of its own."""
