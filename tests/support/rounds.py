"""Rounds as the clock makes them, for tests of their words."""

from datetime import UTC, datetime, timedelta

from bot.calendar import Cadence, weekly
from bot.records import CareKind, CareScope, OccurrenceRow, OccurrenceState, TaskRow
from bot.records.claims import LastCount
from bot.rounds import Round, RoundItem

NOW = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
WREN = 910000000000000101


def item(
    code: str = "B-3",
    name: str | None = "ember F2",
    kind: CareKind = CareKind.MOISTURE,
    late: timedelta = timedelta(),
    missed: int = 0,
    count: LastCount | None = None,
    *,
    text: str | None = None,
    number: int = 7,
    state: OccurrenceState = OccurrenceState.DUE,
    cadence: Cadence | None = None,
) -> RoundItem:
    """One thing asked."""
    rhythm = cadence or weekly(0, 1080)
    return RoundItem(number, kind, text, rhythm, code, name, "porcellio-scaber", NOW - late, late, missed, count, state)


def round_with(*items: RoundItem, maybe_repeat: bool = False) -> Round:
    """A round of Wren's."""
    return Round(1, 77, 12, WREN, "Wren", NOW, maybe_repeat, items)


def done(
    kind: CareKind = CareKind.MOISTURE,
    code: str = "B-3",
    number: int = 7,
    state: OccurrenceState = OccurrenceState.DONE,
) -> OccurrenceRow:
    """A due date that was answered."""
    return OccurrenceRow(number, 2, kind, None, 3, code, None, NOW, "UTC", state, 77, NOW, NOW, WREN)


def a_task(kind: CareKind, cadence: Cadence, text: str | None = None) -> TaskRow:
    """A task of Wren's for a bin."""
    return TaskRow(
        id=4,
        scope=CareScope.BIN,
        bin_id=3,
        shelf=None,
        keeper_id=WREN,
        kind=kind,
        text=text,
        rhythm=cadence.rhythm,
        days=cadence.number,
        minute_of_day=cadence.minute,
        channel_id=12,
        created_at=NOW,
        ended_at=None,
        paused_at=None,
        paused_until=None,
    )
