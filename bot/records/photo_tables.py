"""The tables of photos. What a photo is, and its bytes, stand apart, so that no list of photos ever loads a picture."""

from sqlalchemy import BigInteger, CheckConstraint, Index, Integer, LargeBinary, String, UniqueConstraint

from bot.records import kinds
from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Snowflake, UtcDateTime, checked

photos = _scoped(
    "photos",
    _maybe("bin_id", BigInteger),
    _maybe("find_id", BigInteger),
    _maybe("trait_id", BigInteger),
    _needed("taken_at", UtcDateTime),
    _maybe("alternative_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("added_at", UtcDateTime),
    _maybe("removed_at", UtcDateTime),
    _needed("media", checked(kinds.Media, "media")),
    _needed("width", Integer),
    _needed("height", Integer),
    _needed("size", Integer),
    _needed("sha256", String(64)),
    _to("bins", "bin_id"),
    _to("finds", "find_id"),
    _to("traits", "trait_id"),
    _to("texts", "alternative_id"),
    _to("keepers", "keeper_id"),
    CheckConstraint("bin_id IS NOT NULL OR trait_id IS NOT NULL", name="subject"),
    CheckConstraint("find_id IS NULL OR bin_id IS NOT NULL", name="bin_of_find"),
    CheckConstraint("width >= 1 AND height >= 1 AND size >= 1", name="measures"),
    Index(None, "server_id", "bin_id", "taken_at"),
    Index(None, "server_id", "find_id"),
    Index(None, "server_id", "trait_id", "taken_at"),
    Index(None, "server_id", "keeper_id"),
)
"""Photos of what lives in a bin, of an animal that was found, of a trait, or of several of these at once. `size` is in
bytes. One that was removed keeps its row and its bytes, so that removing can be undone."""

photo_files = _scoped(
    "photo_files",
    _needed("photo_id", BigInteger),
    _needed("body", LargeBinary),
    _to("photos", "photo_id"),
    UniqueConstraint("server_id", "photo_id"),
)
"""The bytes of a photo. No event holds them; where they are gone, the photo is no more to be seen."""
