"""The statements of the reads of care, made once; see `selects`."""

from sqlalchemy import Integer, and_, bindparam, case, null, or_, select

from bot.records import care_rows, care_tables, tables
from bot.records.covering import covers, is_awake
from bot.records.kinds import OccurrenceState, Privacy
from bot.records.scoping import pick, reads, same, unless_private, within
from bot.records.types import UtcDateTime

_shelf = tables.texts.alias("shelf")
_words = tables.texts.alias("words")
_name = tables.texts.alias("bin_name")
_one = tables.bins.alias("one_bin")
_OPEN = (OccurrenceState.DUE, OccurrenceState.ASKED)
_now = bindparam("now", type_=UtcDateTime())

_tasks = (
    pick(care_rows.TaskRow, tables.care_tasks, shelf=_shelf.c.body, text=_words.c.body)
    .select_from(
        tables.care_tasks.outerjoin(_shelf, same(tables.care_tasks, "shelf_id", _shelf))
        .outerjoin(_words, same(tables.care_tasks, "text_id", _words))
        .outerjoin(_one, same(tables.care_tasks, "bin_id", _one))
    )
    .where(within(tables.care_tasks), or_(_one.c.id.is_(None), reads(_one)))
    .order_by(tables.care_tasks.c.id)
)
TASK = _tasks.where(tables.care_tasks.c.id == bindparam("id"))
TASKS_OF = _tasks.where(tables.care_tasks.c.bin_id == bindparam("bin_id"), tables.care_tasks.c.ended_at.is_(None))
TASKS_BY = _tasks.where(tables.care_tasks.c.keeper_id == bindparam("keeper_id"), tables.care_tasks.c.ended_at.is_(None))
CARE_OF = _tasks.join(tables.bins, covers()).where(
    tables.bins.c.id == bindparam("bin_id"), tables.care_tasks.c.ended_at.is_(None)
)
BINS_OF_TASK = (
    select(tables.bins.c.id)
    .select_from(tables.care_tasks.join(tables.bins, covers()))
    .where(within(tables.care_tasks), reads(tables.bins), tables.care_tasks.c.id == bindparam("id"))
    .order_by(tables.bins.c.id)
)

_dated = (
    pick(care_rows.DatedRow, care_tables.dated_tasks, tables.care_tasks)
    .select_from(
        care_tables.dated_tasks.join(
            tables.care_tasks, same(care_tables.dated_tasks, "task_id", tables.care_tasks)
        ).join(tables.bins, same(tables.care_tasks, "bin_id", tables.bins))
    )
    .where(within(care_tables.dated_tasks), reads(tables.bins))
    .order_by(care_tables.dated_tasks.c.day, care_tables.dated_tasks.c.task_id)
)
DATED_ABOUT = _dated.where(
    care_tables.dated_tasks.c.about_kind == bindparam("about_kind"),
    care_tables.dated_tasks.c.about_id == bindparam("about_id"),
    tables.care_tasks.c.ended_at.is_(None),
)
DATED_TASK = _dated.where(tables.care_tasks.c.id == bindparam("task_id"))

_note = tables.texts.alias("note")
DEATHS = (
    pick(
        care_rows.DeathRow,
        care_tables.deaths,
        keeper_name=tables.keepers.c.name,
        note=unless_private(_note.c.body, tables.bins),
    )
    .select_from(
        care_tables.deaths.join(tables.bins, same(care_tables.deaths, "bin_id", tables.bins))
        .join(tables.keepers, same(care_tables.deaths, "keeper_id", tables.keepers))
        .outerjoin(_note, same(care_tables.deaths, "note_id", _note))
    )
    .where(within(care_tables.deaths), reads(tables.bins), care_tables.deaths.c.bin_id == bindparam("bin_id"))
    .order_by(care_tables.deaths.c.at.desc(), care_tables.deaths.c.id.desc())
    .limit(bindparam("limit", type_=Integer()))
)

_occurrences = (
    pick(
        care_rows.OccurrenceRow,
        tables.occurrences,
        kind=tables.care_tasks.c.kind,
        text=_words.c.body,
        bin_code=tables.bins.c.code,
        bin_name=case((tables.bins.c.privacy != Privacy.BIN, _name.c.body), else_=null()),
    )
    .select_from(
        tables.occurrences.join(tables.care_tasks, same(tables.occurrences, "task_id", tables.care_tasks))
        .join(tables.bins, same(tables.occurrences, "bin_id", tables.bins))
        .outerjoin(_words, same(tables.care_tasks, "text_id", _words))
        .outerjoin(_name, same(tables.bins, "name_id", _name))
    )
    .where(within(tables.occurrences), reads(tables.bins))
    .order_by(tables.occurrences.c.due_at, tables.occurrences.c.id)
)
OCCURRENCE = _occurrences.where(tables.occurrences.c.id == bindparam("id"))
OPEN_OCCURRENCES = _occurrences.where(
    tables.occurrences.c.task_id == bindparam("task_id"), tables.occurrences.c.state.in_(_OPEN)
)
OCCURRENCES_OF = _occurrences.where(tables.occurrences.c.delivery_id == bindparam("delivery_id"))
OPEN_FOR = _occurrences.where(
    tables.care_tasks.c.keeper_id == bindparam("keeper_id"),
    is_awake(_now),
    covers(),
    or_(
        tables.occurrences.c.state == OccurrenceState.ASKED,
        and_(
            tables.occurrences.c.state == OccurrenceState.DUE,
            tables.occurrences.c.due_at < bindparam("until", type_=UtcDateTime()),
        ),
    ),
)
"""What a keeper's awake tasks want up to a time: asked and not answered, or due by then."""

DELIVERY = pick(care_rows.DeliveryRow, tables.deliveries).where(
    within(tables.deliveries), tables.deliveries.c.id == bindparam("id")
)
DELIVERY_HOME = (
    select(tables.deliveries.c.server_id)
    .where(
        tables.deliveries.c.direct.is_(True),
        tables.deliveries.c.channel_id == bindparam("channel_id"),
        tables.deliveries.c.message_id == bindparam("message_id"),
        tables.deliveries.c.keeper_id == bindparam("keeper_id"),
    )
    .execution_options(unscoped="delivery_home")
)
"""The server of a ping that went to its keeper alone, found by the message: a direct message belongs to no server."""
