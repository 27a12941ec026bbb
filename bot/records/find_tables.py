"""The table of finds: an odd animal, as it was when somebody found it."""

from sqlalchemy import BigInteger, Boolean, CheckConstraint, Index, UniqueConstraint

from bot.records import kinds
from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Rational, Snowflake, UtcDateTime, checked

finds = _scoped(
    "finds",
    _needed("number", BigInteger),
    _needed("bin_id", BigInteger),
    _needed("trait_id", BigInteger),
    _needed("breeders_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("found_at", UtcDateTime),
    _needed("logged_at", UtcDateTime),
    _maybe("stage", checked(kinds.Stage, "stage")),
    _maybe("pouch_filled", Boolean),
    _maybe("length_mm", Rational),
    _maybe("moulted_at", UtcDateTime),
    _maybe("such", BigInteger),
    _maybe("looked_at", BigInteger),
    _maybe("sheen", Boolean),
    _maybe("slow", Boolean),
    _maybe("typed_id", BigInteger),
    _maybe("note_id", BigInteger),
    _to("bins", "bin_id"),
    _to("traits", "trait_id"),
    _to("breeders", "breeders_id"),
    _to("keepers", "keeper_id"),
    _to("texts", "typed_id"),
    _to("texts", "note_id"),
    CheckConstraint("number >= 1", name="number"),
    CheckConstraint("such >= 1 AND looked_at >= such", name="seen"),
    UniqueConstraint("server_id", "number"),
    Index(None, "server_id", "bin_id"),
    Index(None, "server_id", "trait_id"),
)
"""`breeders_id` is the animal itself: its sex and what it shows stand there, and it can be put into a pairing."""
