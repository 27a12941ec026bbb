"""The statements of every read of breeding records, made once. Each is asked with `server`, and with what its bind parameters name."""

from sqlalchemy import (
    BigInteger,
    Boolean,
    ColumnElement,
    FromClause,
    Integer,
    String,
    and_,
    bindparam,
    case,
    cast,
    exists,
    func,
    literal,
    null,
    or_,
    select,
)

from bot.records import breeding_rows as rows
from bot.records import breeding_tables as breeding
from bot.records import tables
from bot.records.scoping import READER, code_of, pick, reads, same, unless_private, within

_name = tables.texts.alias("name")
_note = tables.texts.alias("note")
_reason = tables.texts.alias("reason")
_typed = tables.texts.alias("typed")


def _has(one: FromClause, column: str, many: FromClause) -> ColumnElement[bool]:
    """The rows of `many` in the same server whose `column` refers to the row of `one`."""
    return and_(many.c.server_id == one.c.server_id, many.c[column] == one.c.id)


_breeders = (
    select(
        breeding.breeders.c.id,
        _name.c.body,
        breeding.breeders.c.sex,
        breeding.breeders.c.number,
        breeding.breeders.c.from_bin_id,
        case((tables.bins.c.id.is_not(None), code_of(tables.bins)), else_=null()),
        breeding.breeders.c.described,
        breeding.breeders.c.added_at,
        breeding.breeder_states.c.trait_id,
        breeding.breeder_states.c.state,
        breeding.breeder_states.c.chance,
    )
    .select_from(
        breeding.breeders.outerjoin(_name, same(breeding.breeders, "name_id", _name))
        .outerjoin(tables.bins, same(breeding.breeders, "from_bin_id", tables.bins))
        .outerjoin(breeding.breeder_states, _has(breeding.breeders, "breeders_id", breeding.breeder_states))
    )
    .where(within(breeding.breeders))
    .order_by(breeding.breeders.c.id, breeding.breeder_states.c.trait_id)
)
BREEDERS = _breeders.where(breeding.breeders.c.id.in_(bindparam("ids", expanding=True)))
"""Breeders per stated trait: the columns of `BreedersRow` but its states, then those of `FounderState`."""
ALL_BREEDERS = _breeders

_paired = pick(rows.PairedRow, breeding.pairing_breeders).where(within(breeding.pairing_breeders))
_PAIRED_ORDER = (breeding.pairing_breeders.c.pairing_id, breeding.pairing_breeders.c.id)
PAIRED = _paired.where(breeding.pairing_breeders.c.pairing_id == bindparam("pairing_id")).order_by(*_PAIRED_ORDER)
ALL_PAIRED = _paired.order_by(*_PAIRED_ORDER)

_pairings = (
    pick(
        rows.PairingRow,
        breeding.pairings,
        bin_code=tables.bins.c.code,
        bin_name=_name.c.body,
        species_key=tables.bins.c.species_key,
        keeper_name=tables.keepers.c.name,
        note=unless_private(_note.c.body, tables.bins),
        reason=unless_private(_reason.c.body, tables.bins),
    )
    .select_from(
        breeding.pairings.join(tables.bins, same(breeding.pairings, "bin_id", tables.bins))
        .join(tables.keepers, same(breeding.pairings, "keeper_id", tables.keepers))
        .outerjoin(_name, same(tables.bins, "name_id", _name))
        .outerjoin(_note, same(breeding.pairings, "note_id", _note))
        .outerjoin(_reason, same(breeding.pairings, "reason_id", _reason))
    )
    .where(within(breeding.pairings), reads(tables.bins))
)
PAIRINGS = _pairings.order_by(breeding.pairings.c.number)
PAIRING = _pairings.where(breeding.pairings.c.id == bindparam("id"))
PAIRING_BY_NUMBER = _pairings.where(breeding.pairings.c.number == bindparam("number"))
_breeder = breeding.pairing_breeders.alias("breeder")
PAIRINGS_WITH = PAIRINGS.where(
    exists().where(
        _breeder.c.server_id == breeding.pairings.c.server_id,
        _breeder.c.pairing_id == breeding.pairings.c.id,
        _breeder.c.breeders_id.in_(bindparam("breeder_ids", expanding=True)),
    ),
)
RUNNING_WITH = PAIRINGS_WITH.where(breeding.pairings.c.ended_at.is_(None), breeding.pairings.c.out_at.is_(None))
PAIRINGS_IN = PAIRINGS.where(breeding.pairings.c.bin_id == bindparam("bin_id"))

_broods = (
    pick(
        rows.BroodRow,
        breeding.broods,
        bin_code=tables.bins.c.code,
        pairing_number=breeding.pairings.c.number,
        keeper_name=tables.keepers.c.name,
        note=unless_private(_note.c.body, tables.bins),
        number=breeding.broods.c.number,
    )
    .select_from(
        breeding.broods.join(tables.bins, same(breeding.broods, "bin_id", tables.bins))
        .join(tables.keepers, same(breeding.broods, "keeper_id", tables.keepers))
        .outerjoin(breeding.pairings, same(breeding.broods, "pairing_id", breeding.pairings))
        .outerjoin(_note, same(breeding.broods, "note_id", _note))
    )
    .where(within(breeding.broods), reads(tables.bins))
)
BROODS = _broods.order_by(breeding.broods.c.seen_on, breeding.broods.c.id)
BROOD = _broods.where(breeding.broods.c.id == bindparam("id"))
BROODS_OF = BROODS.where(breeding.broods.c.pairing_id == bindparam("pairing_id"))
FOUND_IN = BROODS.where(breeding.broods.c.bin_id == bindparam("bin_id"), breeding.broods.c.pairing_id.is_(None))

_EVERY = bindparam("every", type_=Boolean())
_meant = or_(
    _EVERY,
    breeding.broods.c.pairing_id == bindparam("pairing_id", type_=BigInteger()),
    breeding.broods.c.bin_id == bindparam("bin_id", type_=BigInteger()),
)
_NEWEST = (breeding.broods.c.seen_on.desc(), breeding.broods.c.id.desc())
BROOD_PAGE = (
    _broods.where(_meant)
    .order_by(*_NEWEST)
    .limit(bindparam("limit", type_=Integer()))
    .offset(bindparam("offset", type_=Integer()))
)
"""Some of all broods, or of those of one pairing, or of one bin: the newest first."""
BROOD_COUNT = (
    select(func.count())
    .select_from(breeding.broods.join(tables.bins, same(breeding.broods, "bin_id", tables.bins)))
    .where(within(breeding.broods), reads(tables.bins), _meant)
)
_code = case(
    (breeding.pairings.c.id.is_not(None), literal("p-") + cast(breeding.pairings.c.number, String)),
    else_=func.lower(tables.bins.c.code),
)
BROODS_LIKE = (
    _broods.where((_code + "." + cast(breeding.broods.c.number, String)).like(bindparam("pattern"), escape="\\"))
    .order_by(case((breeding.broods.c.keeper_id == READER, 0), else_=1), *_NEWEST)
    .limit(bindparam("limit", type_=Integer()))
)
"""Broods by their codes, the reader's own first and then the newest."""

_last = select(func.max(breeding.broods.c.number)).where(within(breeding.broods))
LAST_BROOD_OF = _last.where(breeding.broods.c.pairing_id == bindparam("pairing_id"))
LAST_FOUND_IN = _last.where(breeding.broods.c.bin_id == bindparam("bin_id"), breeding.broods.c.pairing_id.is_(None))

_scorings = (
    select(
        *(breeding.scorings.c[name] for name in ("id", "brood_id", "at", "keeper_id")),
        tables.keepers.c.name,
        *(breeding.scorings.c[name] for name in ("age_days", "length_mm", "unsure", "unscored")),
        _typed.c.body,
        breeding.scores.c.id,
        breeding.scores.c.sex,
        breeding.scores.c.number,
        breeding.score_traits.c.trait_id,
        breeding.score_traits.c.look,
    )
    .select_from(
        breeding.scorings.join(breeding.broods, same(breeding.scorings, "brood_id", breeding.broods))
        .join(tables.bins, same(breeding.broods, "bin_id", tables.bins))
        .join(tables.keepers, same(breeding.scorings, "keeper_id", tables.keepers))
        .outerjoin(_typed, same(breeding.scorings, "typed_id", _typed))
        .outerjoin(breeding.scores, _has(breeding.scorings, "scoring_id", breeding.scores))
        .outerjoin(breeding.score_traits, _has(breeding.scores, "score_id", breeding.score_traits))
    )
    .where(within(breeding.scorings), reads(tables.bins))
    .order_by(breeding.scorings.c.at, breeding.scorings.c.id, breeding.scores.c.id, breeding.score_traits.c.trait_id)
)

SCORINGS = _scorings
SCORING = _scorings.where(breeding.scorings.c.id == bindparam("id"))
SCORINGS_OF_BROODS = _scorings.where(breeding.scorings.c.brood_id.in_(bindparam("brood_ids", expanding=True)))
SCORINGS_OF = _scorings.where(breeding.scorings.c.brood_id == bindparam("brood_id"))
"""Scorings per score and shown trait: the columns of `ScoringRow` but its scores, those of `ScoreRow`, those of `Shown`."""
