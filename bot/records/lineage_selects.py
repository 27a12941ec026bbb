"""The statements that tell who came from whom over a whole server, made once. Each is asked with `server` and the reader."""

from bot.records import bin_tables, rows, tables
from bot.records.scoping import code_of, pick, reads, same, within

_parent = tables.bins.alias("parent")
_from = tables.bins.alias("from")
_into = tables.bins.alias("into")

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

_moves = bin_tables.transfers
ALL_TRANSFERS = (
    pick(rows.TransferRow, _moves, from_code=code_of(_from), to_code=code_of(_into))
    .select_from(_moves.join(_from, same(_moves, "from_bin_id", _from)).join(_into, same(_moves, "to_bin_id", _into)))
    .where(within(_moves), reads(_into))
    .order_by(_moves.c.at, _moves.c.id)
)
