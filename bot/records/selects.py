"""The statements of every read, made once. Each is asked with `server`, and with what its bind parameters name.

A statement is a value, the same for every server and every request, and building it anew costs as much as running it.
"""

from dataclasses import fields
from typing import Final

from sqlalchemy import (
    Text,
    and_,
    bindparam,
    case,
    null,
    select,
    type_coerce,
)
from sqlalchemy import exists as there_is

from bot.records import bin_tables, rows, tables
from bot.records.scoping import co_keeps, code_of, pick, reads, same, unless_private, within

UNSCOPED: Final = frozenset({"servers", "delivery_home"})
"""Names of the reads that may run without a server in their WHERE, beside those of the dispatcher."""


_name = tables.texts.alias("name")
_note = tables.texts.alias("note")
_typed = tables.texts.alias("typed")
_origin = tables.texts.alias("origin")
_shelf = tables.texts.alias("shelf")
_into = tables.bins.alias("into")
_from = tables.bins.alias("from")
_correction = tables.counts.alias("correction")
_later_correction = tables.counts.alias("later_correction")
_source = tables.texts.alias("source")
_later = tables.counts.alias("later")
_parent = tables.bins.alias("parent")
_member = tables.trait_relation_members
_relation = tables.trait_relations
_relation_name = tables.texts.alias("relation_name")
_looks = tables.texts.alias("looks")


_named_traits = tables.traits.join(_name, same(tables.traits, "name_id", _name))
_traits = pick(
    rows.TraitRow, tables.traits, name=_name.c.body, model=type_coerce(tables.traits.c.model, Text)
).select_from(_named_traits)
TRAITS = _traits.where(within(tables.traits), tables.traits.c.retired_at.is_(None)).order_by(
    _name.c.body, tables.traits.c.id
)
TRAIT = _traits.where(within(tables.traits), tables.traits.c.id == bindparam("id"))
HEREDITY = (
    _traits.add_columns(
        _member.c.place,
        _relation.c.id,
        _relation.c.kind,
        _relation_name.c.body,
        _looks.c.body,
        type_coerce(_relation.c.body, Text),
        _relation.c.author_id,
    )
    .select_from(
        _named_traits.outerjoin(
            _member.join(_relation, and_(same(_member, "relation_id", _relation), _relation.c.ended_at.is_(None))),
            and_(_member.c.server_id == tables.traits.c.server_id, _member.c.trait_id == tables.traits.c.id),
        )
        .outerjoin(_relation_name, same(_relation, "name_id", _relation_name))
        .outerjoin(_looks, same(_relation, "looks_id", _looks))
    )
    .where(within(tables.traits), tables.traits.c.retired_at.is_(None))
    .order_by(_name.c.body, tables.traits.c.id)
)
"""A trait per relation it is in: the columns of `TraitRow`, its place there, and the columns of `RelationRow` but the members."""

_standing = bin_tables.bin_shelves
RELATION_MEMBERS = (
    select(_member.c.trait_id)
    .where(within(_member), _member.c.relation_id == bindparam("id"))
    .order_by(_member.c.place)
)

_bins = pick(
    rows.BinRow,
    tables.bins,
    name=_name.c.body,
    note=unless_private(_note.c.body, tables.bins),
    keeper_name=tables.keepers.c.name,
    shelf=_shelf.c.body,
    shared=co_keeps(tables.bins),
).select_from(
    tables.bins.join(tables.keepers, same(tables.bins, "keeper_id", tables.keepers))
    .outerjoin(_name, same(tables.bins, "name_id", _name))
    .outerjoin(_note, same(tables.bins, "note_id", _note))
    .outerjoin(
        _standing, and_(_standing.c.server_id == tables.bins.c.server_id, _standing.c.bin_id == tables.bins.c.id)
    )
    .outerjoin(_shelf, same(_standing, "name_id", _shelf))
)
_bins = _bins.where(within(tables.bins), reads(tables.bins))
BINS = _bins.order_by(tables.bins.c.id)
OPEN_BINS = BINS.where(tables.bins.c.closed_at.is_(None))
BIN = _bins.where(tables.bins.c.id == bindparam("id"))
BIN_BY_CODE = _bins.where(tables.bins.c.code_key == bindparam("code_key"))

CO_KEEPERS = (
    pick(rows.KeeperRow, tables.keepers)
    .select_from(tables.bin_keepers.join(tables.keepers, same(tables.bin_keepers, "keeper_id", tables.keepers)))
    .where(within(tables.bin_keepers), tables.bin_keepers.c.bin_id == bindparam("bin_id"))
    .order_by(tables.bin_keepers.c.id)
)
CO_KEEPING = select(tables.bin_keepers.c.id).where(
    within(tables.bin_keepers),
    tables.bin_keepers.c.bin_id == bindparam("bin_id"),
    tables.bin_keepers.c.keeper_id == bindparam("keeper_id"),
)
"""The row that makes a keeper a co-keeper of a bin."""

HOLDINGS = (
    pick(
        rows.Holding,
        tables.bins,
        tables.founders,
        tables.founder_states,
        bin_id=tables.bins.c.id,
        bin_name=_name.c.body,
        species_key=tables.bins.c.species_key,
        founder_id=tables.founders.c.id,
    )
    .select_from(
        tables.bins.outerjoin(_name, same(tables.bins, "name_id", _name))
        .outerjoin(
            tables.founders,
            and_(tables.founders.c.server_id == tables.bins.c.server_id, tables.founders.c.bin_id == tables.bins.c.id),
        )
        .outerjoin(
            tables.founder_states,
            and_(
                tables.founder_states.c.server_id == tables.founders.c.server_id,
                tables.founder_states.c.founder_id == tables.founders.c.id,
            ),
        )
    )
    .where(within(tables.bins), reads(tables.bins), tables.bins.c.code_key.in_(bindparam("code_keys", expanding=True)))
    .order_by(tables.bins.c.id, tables.founders.c.id, tables.founder_states.c.trait_id)
)

_state = tables.founder_states
ALL_FOUNDERS = (
    select(
        *(tables.founders.c[name] for name in ("id", "bin_id", "number", "sex", "described")),
        unless_private(_origin.c.body, tables.bins),
        tables.founders.c.length_mm,
        tables.founders.c.added_at,
        tables.founders.c.brood_id,
        _state.c.trait_id,
        _state.c.state,
        _state.c.chance,
    )
    .select_from(
        tables.founders.join(tables.bins, same(tables.founders, "bin_id", tables.bins))
        .outerjoin(_origin, same(tables.founders, "origin_id", _origin))
        .outerjoin(
            _state,
            and_(_state.c.server_id == tables.founders.c.server_id, _state.c.founder_id == tables.founders.c.id),
        )
    )
    .where(within(tables.founders), reads(tables.bins))
    .order_by(tables.founders.c.id, _state.c.trait_id)
)
"""A group of founders per stated trait: the columns of `FounderRow` but its states, then those of `FounderState`."""
FOUNDERS = ALL_FOUNDERS.where(tables.founders.c.bin_id == bindparam("bin_id"))

PARENTS = (
    pick(rows.ParentRow, tables.bin_parents, code=code_of(_parent))
    .select_from(tables.bin_parents.join(_parent, same(tables.bin_parents, "parent_bin_id", _parent)))
    .where(within(tables.bin_parents), tables.bin_parents.c.bin_id == bindparam("bin_id"))
    .order_by(tables.bin_parents.c.id)
)

CLOSING = (
    pick(
        rows.ClosingRow,
        bin_tables.closings,
        into_code=case((_into.c.id.is_not(None), code_of(_into)), else_=null()),
        note=unless_private(_note.c.body, tables.bins),
    )
    .select_from(
        bin_tables.closings.join(tables.bins, same(bin_tables.closings, "bin_id", tables.bins))
        .outerjoin(_into, same(bin_tables.closings, "into_bin_id", _into))
        .outerjoin(_note, same(bin_tables.closings, "note_id", _note))
    )
    .where(within(bin_tables.closings), reads(tables.bins), bin_tables.closings.c.bin_id == bindparam("bin_id"))
)

_moves = bin_tables.transfers
TRANSFERS = (
    pick(rows.TransferRow, _moves, from_code=code_of(_from), to_code=code_of(_into))
    .select_from(_moves.join(_from, same(_moves, "from_bin_id", _from)).join(_into, same(_moves, "to_bin_id", _into)))
    .where(
        within(_moves),
        (_moves.c.from_bin_id == bindparam("bin_id")) | (_moves.c.to_bin_id == bindparam("bin_id")),
    )
    .order_by(_moves.c.at, _moves.c.id)
)

_counts = (
    pick(
        rows.CountRow,
        tables.counts,
        typed=_typed.c.body,
        note=unless_private(_note.c.body, tables.bins),
        keeper_name=tables.keepers.c.name,
    )
    .select_from(
        tables.counts.join(tables.bins, same(tables.counts, "bin_id", tables.bins))
        .join(tables.keepers, same(tables.counts, "keeper_id", tables.keepers))
        .outerjoin(_typed, same(tables.counts, "typed_id", _typed))
        .outerjoin(_note, same(tables.counts, "note_id", _note))
    )
    .where(within(tables.counts), reads(tables.bins))
)
_not_corrected = ~there_is().where(
    _correction.c.server_id == tables.counts.c.server_id, _correction.c.corrects_id == tables.counts.c.id
)
COUNTS = (
    _counts.where(tables.counts.c.bin_id == bindparam("bin_id"), _not_corrected)
    .order_by(tables.counts.c.at.desc(), tables.counts.c.id.desc())
    .limit(bindparam("limit"))
)
COUNT = _counts.where(tables.counts.c.id == bindparam("id"))
CORRECTION = _counts.where(tables.counts.c.corrects_id == bindparam("id"))
LATEST_COUNTS = _counts.where(
    _not_corrected,
    ~there_is().where(
        _later.c.server_id == tables.counts.c.server_id,
        _later.c.bin_id == tables.counts.c.bin_id,
        (_later.c.at > tables.counts.c.at) | ((_later.c.at == tables.counts.c.at) & (_later.c.id > tables.counts.c.id)),
        ~there_is().where(
            _later_correction.c.server_id == _later.c.server_id, _later_correction.c.corrects_id == _later.c.id
        ),
    ),
).order_by(tables.counts.c.bin_id)

_part = bin_tables.count_parts
_shown = bin_tables.count_part_traits
COUNT_PARTS = (
    select(*(_part.c[field.name] for field in fields(rows.CountPartRow) if field.name != "traits"), _shown.c.trait_id)
    .select_from(_part.outerjoin(_shown, and_(_shown.c.server_id == _part.c.server_id, _shown.c.part_id == _part.c.id)))
    .where(within(_part), _part.c.count_id.in_(bindparam("count_ids", expanding=True)))
    .order_by(_part.c.id, _shown.c.trait_id)
)
"""A class of a count per trait that it shows: the columns of `CountPartRow` but its traits, then one trait."""

CARDS = (
    pick(rows.CardRow, tables.species_cards, source=_source.c.body)
    .select_from(tables.species_cards.outerjoin(_source, same(tables.species_cards, "source_id", _source)))
    .where(within(tables.species_cards))
    .order_by(tables.species_cards.c.key)
)
CARD = CARDS.where(tables.species_cards.c.key == bindparam("key"))

SERVER = pick(rows.ServerRow, tables.servers, id=tables.servers.c.server_id).where(within(tables.servers))
SERVERS = select(tables.servers.c.server_id).order_by(tables.servers.c.server_id).execution_options(unscoped="servers")
"""The servers themselves: the one read that is not asked with `server`."""

SYNCED_HASH = select(tables.applications.c.commands_hash).where(tables.applications.c.id == bindparam("id"))

KEEPERS = pick(rows.KeeperRow, tables.keepers).where(within(tables.keepers)).order_by(tables.keepers.c.id)
KEEPER = pick(rows.KeeperRow, tables.keepers).where(within(tables.keepers), tables.keepers.c.id == bindparam("id"))

DRAFT = pick(rows.DraftRow, tables.drafts).where(
    within(tables.drafts),
    tables.drafts.c.id == bindparam("id"),
    tables.drafts.c.keeper_id == bindparam("keeper_id"),
    tables.drafts.c.expires_at > bindparam("now"),
)

SHARED_DRAFT = pick(rows.DraftRow, tables.drafts).where(
    within(tables.drafts),
    tables.drafts.c.id == bindparam("id"),
    tables.drafts.c.kind == bindparam("kind"),
    tables.drafts.c.expires_at > bindparam("now"),
)
"""A draft that everybody in the server may use, because what it holds was said in a room: the cross under a reply."""
