"""The statements of every read of finds, made once. Each is asked with `server`, and with what its bind parameters name."""

from sqlalchemy import bindparam, func, select

from bot.records import breeding_tables, find_tables, tables
from bot.records.find_rows import FindRow
from bot.records.scoping import pick, reads, same, unless_private, within

_found = find_tables.finds
_name = tables.texts.alias("name")
_trait_name = tables.texts.alias("trait_name")
_typed = tables.texts.alias("typed")
_note = tables.texts.alias("note")

_finds = (
    pick(
        FindRow,
        _found,
        bin_code=tables.bins.c.code,
        bin_name=_name.c.body,
        species_key=tables.bins.c.species_key,
        trait_name=_trait_name.c.body,
        sex=breeding_tables.breeders.c.sex,
        keeper_name=tables.keepers.c.name,
        typed=unless_private(_typed.c.body, tables.bins),
        note=unless_private(_note.c.body, tables.bins),
    )
    .select_from(
        _found.join(tables.bins, same(_found, "bin_id", tables.bins))
        .join(tables.traits, same(_found, "trait_id", tables.traits))
        .join(_trait_name, same(tables.traits, "name_id", _trait_name))
        .join(breeding_tables.breeders, same(_found, "breeders_id", breeding_tables.breeders))
        .join(tables.keepers, same(_found, "keeper_id", tables.keepers))
        .outerjoin(_name, same(tables.bins, "name_id", _name))
        .outerjoin(_typed, same(_found, "typed_id", _typed))
        .outerjoin(_note, same(_found, "note_id", _note))
    )
    .where(within(_found), reads(tables.bins))
)
FINDS = _finds.order_by(_found.c.number)
FIND = _finds.where(_found.c.id == bindparam("id"))
FIND_BY_NUMBER = _finds.where(_found.c.number == bindparam("number"))
FINDS_IN = (
    _finds.where(_found.c.bin_id == bindparam("bin_id")).order_by(_found.c.number.desc()).limit(bindparam("limit"))
)
LATEST_FINDS = _finds.order_by(_found.c.number.desc()).limit(bindparam("limit"))
FINDS_OF_BIN = FINDS.where(_found.c.bin_id == bindparam("bin_id"))
FINDS_OF_TRAIT = FINDS.where(_found.c.trait_id == bindparam("trait_id"))

LAST_FIND = select(func.max(_found.c.number)).where(within(_found))
"""The number of the newest find, whoever may read it."""
