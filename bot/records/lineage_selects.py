"""The statements that tell who came from whom over a whole server, made once. Each is asked with `server` and the reader."""

from sqlalchemy import and_, select

from bot.records import bin_tables, rows, tables
from bot.records.scoping import code_of, pick, reads, same, unless_private, within

_parent = tables.bins.alias("parent")
_from = tables.bins.alias("from")
_into = tables.bins.alias("into")
_origin = tables.texts.alias("origin")
_state = tables.founder_states

ALL_PARENTS = (
    pick(rows.ParentRow, tables.bin_parents, code=code_of(_parent))
    .select_from(
        tables.bin_parents.join(_parent, same(tables.bin_parents, "parent_bin_id", _parent)).join(
            tables.bins, same(tables.bin_parents, "bin_id", tables.bins)
        )
    )
    .where(within(tables.bin_parents), reads(tables.bins))
    .order_by(tables.bin_parents.c.id)
)

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

_moves = bin_tables.transfers
ALL_TRANSFERS = (
    pick(rows.TransferRow, _moves, from_code=code_of(_from), to_code=code_of(_into))
    .select_from(_moves.join(_from, same(_moves, "from_bin_id", _from)).join(_into, same(_moves, "to_bin_id", _into)))
    .where(within(_moves), reads(_into))
    .order_by(_moves.c.at, _moves.c.id)
)
