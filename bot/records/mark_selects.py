"""The statements of every read of how bins live, made once. Each is asked with `server` and `reader`, and with what its bind parameters name."""

from sqlalchemy import bindparam, or_
from sqlalchemy import exists as there_is

from bot.records import breeding_tables as breeding
from bot.records import mark_rows as rows
from bot.records import mark_tables as marks
from bot.records import tables
from bot.records.kinds import MarkKind
from bot.records.scoping import READER, code_of, pick, reads, same, unless_private, within

_note = tables.texts.alias("note")
_name = tables.texts.alias("name")
_source = tables.texts.alias("source")
_treatment = tables.texts.alias("treatment")
_of = tables.bins.alias("of")
_mark, _look, _backup = marks.bin_marks, marks.bin_looks, marks.bin_backups
_temperature, _batch, _litter = marks.bin_temperatures, marks.litter_batches, marks.bin_litters

_marks = (
    pick(rows.MarkRow, _mark, keeper_name=tables.keepers.c.name, note=unless_private(_note.c.body, tables.bins))
    .select_from(
        _mark.join(tables.bins, same(_mark, "bin_id", tables.bins))
        .join(tables.keepers, same(_mark, "keeper_id", tables.keepers))
        .outerjoin(_note, same(_mark, "note_id", _note))
    )
    .where(within(_mark), reads(tables.bins))
    .order_by(_mark.c.at, _mark.c.id)
)
MARKS_OF = _marks.where(_mark.c.bin_id.in_(bindparam("bin_ids", expanding=True)))
MARK = _marks.where(_mark.c.id == bindparam("id"))
HOLDING = _marks.where(_mark.c.kind.in_((MarkKind.HOLD, MarkKind.QUARANTINE)), _mark.c.ended_at.is_(None))
ACCIDENTS = _marks.where(_mark.c.kind.in_((MarkKind.STRAY, MarkKind.LID_OFF)))

LOOKS_AT = (
    pick(rows.LookRow, _look, keeper_name=tables.keepers.c.name, note=unless_private(_note.c.body, tables.bins))
    .select_from(
        _look.join(tables.bins, same(_look, "bin_id", tables.bins))
        .join(tables.keepers, same(_look, "keeper_id", tables.keepers))
        .outerjoin(_note, same(_look, "note_id", _note))
    )
    .where(within(_look), reads(tables.bins), _look.c.bin_id == bindparam("bin_id"))
    .order_by(_look.c.at.desc(), _look.c.id.desc())
    .limit(bindparam("limit"))
)

BACKUPS = (
    pick(rows.BackupRow, _backup, code=code_of(tables.bins), of_code=code_of(_of))
    .select_from(
        _backup.join(tables.bins, same(_backup, "bin_id", tables.bins)).join(_of, same(_backup, "of_bin_id", _of))
    )
    .where(
        within(_backup),
        _backup.c.ended_at.is_(None),
        tables.bins.c.closed_at.is_(None),
        _of.c.closed_at.is_(None),
        or_(_backup.c.bin_id == bindparam("bin_id"), _backup.c.of_bin_id == bindparam("bin_id")),
    )
    .order_by(_backup.c.id)
)

TEMPERATURES_OF = (
    pick(rows.TemperatureRow, _temperature, keeper_name=tables.keepers.c.name)
    .select_from(
        _temperature.join(tables.bins, same(_temperature, "bin_id", tables.bins)).join(
            tables.keepers, same(_temperature, "keeper_id", tables.keepers)
        )
    )
    .where(within(_temperature), reads(tables.bins), _temperature.c.bin_id == bindparam("bin_id"))
    .order_by(_temperature.c.at.desc(), _temperature.c.id.desc())
    .limit(bindparam("limit"))
)

_inside = breeding.pairings.c.bin_id == bindparam("bin_id")
_from_it = (
    there_is()
    .where(
        breeding.pairing_breeders.c.server_id == breeding.pairings.c.server_id,
        breeding.pairing_breeders.c.pairing_id == breeding.pairings.c.id,
        breeding.breeders.c.server_id == breeding.pairing_breeders.c.server_id,
        breeding.breeders.c.id == breeding.pairing_breeders.c.breeders_id,
        breeding.breeders.c.from_bin_id == bindparam("bin_id"),
    )
    .correlate(breeding.pairings)
)
HANDLED = (
    pick(rows.HandledRow, breeding.pairings, inside=_inside)
    .where(within(breeding.pairings), or_(_inside, _from_it))
    .order_by(breeding.pairings.c.set_up_at, breeding.pairings.c.id)
)

_got = (
    there_is()
    .where(
        _litter.c.server_id == _batch.c.server_id,
        _litter.c.batch_id == _batch.c.id,
        tables.bins.c.server_id == _litter.c.server_id,
        tables.bins.c.id == _litter.c.bin_id,
        reads(tables.bins),
    )
    .correlate(_batch)
)
BATCHES = (
    pick(
        rows.BatchRow,
        _batch,
        name=_name.c.body,
        source=_source.c.body,
        treatment=_treatment.c.body,
        keeper_name=tables.keepers.c.name,
    )
    .select_from(
        _batch.join(tables.keepers, same(_batch, "keeper_id", tables.keepers))
        .join(_name, same(_batch, "name_id", _name))
        .outerjoin(_source, same(_batch, "source_id", _source))
        .outerjoin(_treatment, same(_batch, "treatment_id", _treatment))
    )
    .where(within(_batch), or_(_batch.c.keeper_id == READER, _got))
    .order_by(_batch.c.id.desc())
)
"""The batches that the reader named, or that a bin got which they may read, the newest first."""

_litters = (
    pick(
        rows.LitterRow,
        _litter,
        tables.bins,
        bin_id=_litter.c.bin_id,
        bin_code=tables.bins.c.code,
        bin_name=_name.c.body,
    )
    .select_from(
        _litter.join(tables.bins, same(_litter, "bin_id", tables.bins)).outerjoin(
            _name, same(tables.bins, "name_id", _name)
        )
    )
    .where(within(_litter), reads(tables.bins))
    .order_by(_litter.c.at.desc(), _litter.c.id.desc())
)
LITTERS_OF = _litters.where(_litter.c.bin_id == bindparam("bin_id")).limit(bindparam("limit"))
LITTERS_FROM = _litters.where(_litter.c.batch_id == bindparam("batch_id"))
