"""The tables of scoring guides, and of photos that several keepers score without knowing of each other."""

from sqlalchemy import BigInteger, Boolean, CheckConstraint, Index, Integer, UniqueConstraint

from bot.records import kinds
from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Snowflake, UtcDateTime, checked

guides = _scoped(
    "guides",
    _needed("trait_id", BigInteger),
    _needed("number", Integer),
    _needed("keeper_id", Snowflake),
    _needed("made_at", UtcDateTime),
    _to("traits", "trait_id"),
    _to("keepers", "keeper_id"),
    UniqueConstraint("server_id", "trait_id", "number"),
    CheckConstraint("number >= 1", name="number"),
)
"""How a trait is to be scored, one row for each version; the highest `number` holds. A version is never changed."""

guide_photos = _scoped(
    "guide_photos",
    _needed("guide_id", BigInteger),
    _needed("photo_id", BigInteger),
    _needed("place", Integer),
    _needed("call", checked(kinds.Call, "call")),
    _maybe("extent", Integer),
    _maybe("stage", checked(kinds.Stage, "stage")),
    _maybe("sex", checked(kinds.Sex, "sex")),
    _needed("moulted", Boolean),
    _maybe("caption_id", BigInteger),
    _to("guides", "guide_id"),
    _to("photos", "photo_id"),
    _to("texts", "caption_id"),
    UniqueConstraint("server_id", "guide_id", "place"),
    CheckConstraint("place BETWEEN 1 AND 6", name="place"),
    CheckConstraint("extent BETWEEN 0 AND 5", name="extent"),
    Index(None, "server_id", "photo_id"),
)
"""The photos of a version, with how the animal on each is to be scored. `moulted`: it moulted just before."""

blind_sets = _scoped(
    "blind_sets",
    _needed("trait_id", BigInteger),
    _maybe("guide_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("opened_at", UtcDateTime),
    _to("traits", "trait_id"),
    _to("guides", "guide_id"),
    _to("keepers", "keeper_id"),
    Index(None, "server_id", "trait_id"),
)
"""Photos that keepers score for one trait, with the guide that held when they were put together."""

blind_photos = _scoped(
    "blind_photos",
    _needed("set_id", BigInteger),
    _needed("photo_id", BigInteger),
    _needed("place", Integer),
    _to("blind_sets", "set_id"),
    _to("photos", "photo_id"),
    UniqueConstraint("server_id", "set_id", "place"),
    UniqueConstraint("server_id", "set_id", "photo_id"),
    Index(None, "server_id", "photo_id"),
)

blind_answers = _scoped(
    "blind_answers",
    _needed("set_id", BigInteger),
    _needed("blind_photo_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _needed("call", checked(kinds.Call, "call")),
    _needed("final", Boolean),
    _needed("at", UtcDateTime),
    _to("blind_sets", "set_id"),
    _to("blind_photos", "blind_photo_id"),
    _to("keepers", "keeper_id"),
    UniqueConstraint("server_id", "blind_photo_id", "keeper_id"),
    Index(None, "server_id", "set_id"),
)
"""What a keeper says of one photo of a set. It is `final` from when they said that they are through."""
