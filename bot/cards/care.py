"""How care tasks and their pings are said."""

from datetime import timedelta

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Ping, Tone, Weight
from bot.cards.figures import figure
from bot.clock.round import Round, RoundItem
from bot.records import CareKind, TaskRow
from bot.services.care import WEEKDAYS, RoundAnswered, RoundReopened, TaskAdded

_PING_LINES = 8
_CODES = 30
"""How many bins a ping names by their codes alone."""


def kind_name(kind: CareKind) -> str:
    """What a care task asks for, in words."""
    return {CareKind.MOISTURE: "moisture", CareKind.LITTER: "leaf litter", CareKind.RECOUNT: "recount"}[kind]


def weekly(task: TaskRow) -> str:
    """When a task comes round: "every Monday at 18:00"."""
    return f"every {tuple(WEEKDAYS)[task.weekday]} at {task.minute_of_day // 60:02d}:{task.minute_of_day % 60:02d}"


def added_card(added: TaskAdded) -> Card:
    """The reply to `/care add`."""
    name = words.bin_name(added.label.code, added.label.name)
    return Card(
        lead=f"{name}: **{kind_name(added.task.kind)}** {weekly(added.task)}, first {words.when(added.due_at, 'F')}.",
        blocks=(f"In your time zone, {words.plain(added.zone)}. The ping comes to <#{added.task.channel_id}>.",),
        buttons=(Button("Undo", verbs.UNDO, str(added.event)),),
        tone=Tone.GOOD,
    )


def answered_ping(answered: RoundAnswered) -> Ping:
    """What a ping becomes once *Done* or *Later* was pressed."""
    what = "\n".join(
        f"{'✓' if answered.done else '…'} {item.bin_code}: {kind_name(item.kind)}" for item in answered.items
    )
    head = f"Done by <@{answered.by}>." if answered.done else f"Put off by <@{answered.by}>."
    due = f" Next {words.when(answered.next_due)}." if answered.next_due else ""
    return Ping(
        text=f"{head}{due}\n{what}",
        buttons=(
            Button("Undo", verbs.CARE_REOPEN, str(answered.event)),
            Button("Log count", verbs.CARE_COUNT, str(answered.delivery)),
        ),
    )


def reopened_ping(reopened: RoundReopened) -> Ping:
    """What a ping becomes once its answer was taken back: it asks again."""
    what = "\n".join(f"· {item.bin_code}: {_asked(item.kind)}" for item in reopened.items)
    return Ping(text=f"Open again.\n{what}", buttons=_answers(reopened.delivery, len(reopened.items)))


def round_ping(due: Round) -> Ping:
    """A ping: the first line is what a lock screen shows, then a line for each bin, the longest due first."""
    first = due.items[0]
    kinds = words.listed(dict.fromkeys(kind_name(item.kind) for item in due.items))
    name = words.bin_name(first.bin_code, first.bin_name)
    late = f"{_late(first.late)} late" if _is_late(first) else ""
    bins = len({item.bin_code for item in due.items})
    if bins == 1:
        head = f"{_capital(kinds)}: {name}{late and f', {late}'}"
    else:
        head = f"{_capital(kinds)} round: {words.plural(bins, 'bin')}{late and f', {name} is {late}'}"
    lines = [_line(item) for item in due.items[:_PING_LINES]]
    if len(due.items) > _PING_LINES:
        lines.append(f"and {_shortly(due.items[_PING_LINES:])}")
    if due.maybe_repeat:
        lines.append("This may be a repeat: I could not see whether it was posted before.")
    return Ping(
        text="\n".join((f"{head} <@{due.keeper_id}>", *lines)),
        buttons=_answers(due.delivery_id, len(due.items)),
        keepers=(due.keeper_id,),
    )


def _answers(delivery: int, items: int) -> tuple[Button, ...]:
    return (
        Button("Done" if items == 1 else "All done", verbs.CARE_DONE, str(delivery), Weight.MAIN),
        Button("Later", verbs.CARE_LATER, str(delivery)),
        Button("Log count", verbs.CARE_COUNT, str(delivery)),
    )


def _shortly(items: tuple[RoundItem, ...]) -> str:
    """What has no line of its own, by the codes."""
    named = [f"{item.bin_code} {kind_name(item.kind)}" for item in items[:_CODES]]
    return words.listed([*named, f"{len(items) - _CODES} more"] if len(items) > _CODES else named)


def _line(item: RoundItem) -> str:
    parts = [f"{words.bin_name(item.bin_code, item.bin_name)}: {_asked(item.kind)}"]
    if item.missed:
        parts.append(f"{words.plural(item.missed, 'week')} missed")
    if item.count:
        total = figure(item.count.total, item.count.exactness)
        parts.append(f"last count {total} ({words.when(item.count.at)})")
    return "· " + ", ".join(parts)


def _asked(kind: CareKind) -> str:
    return {
        CareKind.MOISTURE: "check the moisture, wet one end if it is dry",
        CareKind.LITTER: "top up the leaf litter",
        CareKind.RECOUNT: "count again",
    }[kind]


def _is_late(item: RoundItem) -> bool:
    return item.late >= timedelta(days=1)


def _late(late: timedelta) -> str:
    return words.plural(late.days, "day")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
