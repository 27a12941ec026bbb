"""The tables of breeding: who was put together, what young were seen of it, and how they were scored."""

from sqlalchemy import BigInteger, Boolean, CheckConstraint, Index, Integer, UniqueConstraint

from bot.records import kinds
from bot.records.tables import _maybe, _needed, _scoped, _to
from bot.records.types import Rational, Snowflake, UtcDateTime, checked

breeders = _scoped(
    "breeders",
    _maybe("name_id", BigInteger),
    _needed("sex", checked(kinds.Sex, "sex")),
    _needed("number", BigInteger),
    _maybe("from_bin_id", BigInteger),
    _needed("described", Boolean),
    _needed("added_at", UtcDateTime),
    _to("texts", "name_id"),
    _to("bins", "from_bin_id"),
    CheckConstraint("number >= 1", name="number"),
)
"""Animals that were chosen to breed: one, or some alike. They keep their identity from one pairing to the next."""

breeder_states = _scoped(
    "breeder_states",
    _needed("breeders_id", BigInteger),
    _needed("trait_id", BigInteger),
    _needed("state", checked(kinds.State, "state")),
    _maybe("chance", Rational),
    _to("breeders", "breeders_id"),
    _to("traits", "trait_id"),
    UniqueConstraint("server_id", "breeders_id", "trait_id"),
)

pairings = _scoped(
    "pairings",
    _needed("number", BigInteger),
    _needed("bin_id", BigInteger),
    _maybe("trait_id", BigInteger),
    _needed("keeper_id", Snowflake),
    _maybe("note_id", BigInteger),
    _needed("set_up_at", UtcDateTime),
    _maybe("gravid_at", UtcDateTime),
    _maybe("young_at", UtcDateTime),
    _maybe("separate_by", UtcDateTime),
    _maybe("parents_out_by", UtcDateTime),
    _maybe("out_at", UtcDateTime),
    _maybe("ended_at", UtcDateTime),
    _maybe("reason_id", BigInteger),
    _to("bins", "bin_id"),
    _to("traits", "trait_id"),
    _to("keepers", "keeper_id"),
    _to("texts", "note_id"),
    _to("texts", "reason_id"),
    UniqueConstraint("server_id", "number"),
    Index(None, "server_id", "bin_id"),
)

pairing_breeders = _scoped(
    "pairing_breeders",
    _needed("pairing_id", BigInteger),
    _needed("breeders_id", BigInteger),
    _needed("role", checked(kinds.BreederRole, "role")),
    _maybe("history", checked(kinds.DamHistory, "history")),
    _to("pairings", "pairing_id"),
    _to("breeders", "breeders_id"),
    CheckConstraint("(role = 'dam') = (history IS NOT NULL)", name="history_of_dams"),
    UniqueConstraint("server_id", "pairing_id", "breeders_id", "role"),
)

broods = _scoped(
    "broods",
    _needed("number", BigInteger),
    _needed("bin_id", BigInteger),
    _maybe("pairing_id", BigInteger),
    _needed("why", checked(kinds.BroodReason, "why")),
    _needed("seen_on", UtcDateTime),
    _maybe("born", BigInteger),
    _maybe("dead", BigInteger),
    _maybe("mothers", Integer),
    _needed("keeper_id", Snowflake),
    _maybe("note_id", BigInteger),
    _needed("logged_at", UtcDateTime),
    _to("bins", "bin_id"),
    _to("pairings", "pairing_id"),
    _to("keepers", "keeper_id"),
    _to("texts", "note_id"),
    CheckConstraint("born >= 0", name="born"),
    CheckConstraint("dead >= 0", name="dead"),
    CheckConstraint("mothers >= 1", name="mothers"),
    Index(None, "server_id", "pairing_id"),
    Index(None, "server_id", "bin_id"),
)
"""Young seen. `number` counts the broods of one pairing, or of a bin those that belong to no pairing."""

scorings = _scoped(
    "scorings",
    _needed("brood_id", BigInteger),
    _needed("at", UtcDateTime),
    _needed("keeper_id", Snowflake),
    _maybe("age_days", BigInteger),
    _maybe("length_mm", Rational),
    _needed("unsure", BigInteger),
    _needed("unscored", BigInteger),
    _maybe("typed_id", BigInteger),
    _to("broods", "brood_id"),
    _to("keepers", "keeper_id"),
    _to("texts", "typed_id"),
    CheckConstraint("unsure >= 0 AND unscored >= 0", name="numbers"),
    CheckConstraint("age_days >= 0", name="age"),
    Index(None, "server_id", "brood_id", "at"),
)
"""One look at a brood; the latest is what counts, the earlier ones stay."""

scores = _scoped(
    "scores",
    _needed("scoring_id", BigInteger),
    _needed("sex", checked(kinds.Sex, "sex")),
    _needed("number", BigInteger),
    _to("scorings", "scoring_id"),
    CheckConstraint("number >= 0", name="number"),
    Index(None, "server_id", "scoring_id"),
)
"""So many young that look alike; a score without a trait of its own is of wild-looking young."""

score_traits = _scoped(
    "score_traits",
    _needed("score_id", BigInteger),
    _needed("trait_id", BigInteger),
    _needed("look", checked(kinds.Appearance, "appearance")),
    _to("scores", "score_id"),
    _to("traits", "trait_id"),
    UniqueConstraint("server_id", "score_id", "trait_id"),
)
