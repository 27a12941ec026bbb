"""How rounds are said: pings as they go out, as they are answered, and what else can be pressed on them."""

from collections.abc import Sequence
from datetime import timedelta

from bot.cards import verbs, words
from bot.cards.card import Button, Ping, Weight
from bot.cards.care_words import asked, task_name, times
from bot.cards.figures import figure
from bot.cards.news import MAY_BE_A_REPEAT, news_ping
from bot.records import CareKind, OccurrenceState
from bot.rounds import Round, RoundItem
from bot.services.care import DONE, PUT_OFF, SKIPPED, Answer, RoundAnswered
from bot.services.notes import KINDS as NOTES
from bot.services.refusals import BinLabel

PAGE = 8
"""How many things a page of a round asks for, each with a button of its own."""
_CODES = 30
"""How many bins a ping names by their codes alone."""
_MOST_BINS = 20
_LABEL = 34
_MARKS = {OccurrenceState.DONE: "✓", OccurrenceState.DROPPED: "–"}
_LATER = {
    Answer.HOURS: "In 2 hours",
    Answer.EVENING: "In the evening",
    Answer.DAY: "Tomorrow",
    Answer.DAYS: "In 3 days",
    Answer.SKIP: "Not this time",
}


def round_ping(due: Round) -> Ping:
    """A ping: the first line is what a lock screen shows, then a line for each thing, the longest due first."""
    if due.news is not None:
        return news_ping(due.news, due.delivery_id, maybe_repeat=due.maybe_repeat)
    said = _open(due, _head(due), 0, None)
    lines = [said.text]
    if due.maybe_repeat:
        lines.append(MAY_BE_A_REPEAT)
    return Ping(text="\n".join(lines), buttons=said.buttons, keepers=(due.keeper_id,))


def round_page(due: Round, page: int) -> Ping:
    """A page of a round of which something is open."""
    return _open(due, _head(due), page, None)


def answered_ping(answered: RoundAnswered, page: int = 0) -> Ping:
    """What a ping becomes once something on it was answered: the rest of the round, or who answered all of it."""
    if answered.round.open_items:
        return _open(answered.round, _head(answered.round), page, answered.event)
    mark = {DONE: "✓", SKIPPED: "–"}.get(answered.kind, "…")
    of_round = {item.occurrence_id for item in answered.round.items}
    lines = [_closed(item) for item in answered.round.items]
    lines += [
        f"{mark} {item.bin_code}: {task_name(item.kind, item.text)}"
        for item in answered.items
        if item.id not in of_round
    ]
    verb = {DONE: "Done", PUT_OFF: "Put off", SKIPPED: "Left out this time"}[answered.kind]
    due = f" Next {words.when(answered.next_due)}." if answered.next_due else ""
    return Ping(
        text=f"{verb} by <@{answered.by}>.{due}\n" + _few(lines),
        buttons=(
            Button("Undo", verbs.CARE_REOPEN, str(answered.event)),
            Button("Log count", verbs.CARE_COUNT, str(answered.round.delivery_id)),
        ),
    )


def reopened_ping(due: Round) -> Ping:
    """What a ping becomes once an answer was taken back: it asks again."""
    return _open(due, "Open again.", 0, None)


def later_ping(due: Round) -> Ping:
    """*Later* was pressed: when is it to ask again?"""
    what = words.plural(len(due.open_items), "thing")
    buttons = [Button(label, verbs.CARE_PUT_OFF, f"{due.delivery_id}.{answer}") for answer, label in _LATER.items()]
    return Ping(
        text=f"When shall I ask again for {what}?\n" + _few([_line(item) for item in due.open_items]),
        buttons=(*buttons, Button("Back", verbs.CARE_ROUND, f"{due.delivery_id}.0")),
    )


def which_bin_ping(delivery: int, bins: Sequence[BinLabel]) -> Ping:
    """*Log count* on a round of several bins: which one was counted?"""
    buttons = [Button(_bin(label), verbs.COUNT_FORM, label.code) for label in bins[:_MOST_BINS]]
    more = " For another bin type `/count log`." if len(bins) > _MOST_BINS else ""
    return Ping(
        text=f"Which bin did you count?{more}",
        buttons=(*buttons, Button("Back", verbs.CARE_ROUND, f"{delivery}.0")),
    )


def refusing_room(room: int) -> Ping:
    """What a server is told, once, of a room that takes no pings."""
    return Ping(
        f"I can't post care pings in <#{room}>: it is gone, or closed to me. They go to their keepers alone for now. "
        "A steward can let me write there; a keeper can choose another room with `/keeper`."
    )


def line(item: RoundItem) -> str:
    """One thing asked of one bin, without a mark."""
    parts = [f"{words.bin_name(item.bin_code, item.bin_name)}: {asked(item.kind, item.text)}"]
    if is_late(item) and not item.missed:
        parts.append(f"{words.plural(item.late.days, 'day')} late")
    if item.missed:
        parts.append(f"{times(item.missed, item.cadence)} missed")
    if item.count:
        total = figure(item.count.total, item.count.exactness)
        parts.append(f"last count {total} ({words.when(item.count.at)})")
    if item.own_tools:
        parts.append("own tools")
    return ", ".join(parts)


def done_buttons(items: Sequence[RoundItem], verb: str, argument: str) -> list[Button]:
    """A *Done* for each thing, or *Tell* where it was noted in a hurry; `argument` holds the occurrence's id in place of `{}`."""
    codes = [item.bin_code for item in items]
    return [
        tell_button(item)
        if item.kind in NOTES
        else Button(
            _short(
                f"Done {item.bin_code}"
                + (f" {task_name(item.kind, item.text, escaped=False)}" if codes.count(item.bin_code) > 1 else "")
            ),
            verb,
            argument.format(item.occurrence_id),
        )
        for item in items
    ]


def tell_button(item: RoundItem) -> Button:
    """What opens the form for the rest of a note."""
    label = {CareKind.YOUNG_SEEN: "Young of", CareKind.ONE_DEAD: "Dead of"}.get(item.kind, "Photo of")
    return Button(f"{label} {item.bin_code}", verbs.NOTE_TELL, str(item.occurrence_id), Weight.MAIN)


def is_late(item: RoundItem) -> bool:
    """Some hours are not called late."""
    return item.late >= timedelta(days=1)


def pages(count: int) -> int:
    """How many pages so many things take."""
    return max(1, -(-count // PAGE))


def summary(items: Sequence[RoundItem]) -> str:
    """What some things come to: "Moisture and recount round: 3 bins, B-3 is 2 days late".

    What cannot be made good once its day is past is named first, each by itself, and the rest after it.
    """
    pressing = [item for item in items if item.kind.rank == 0]
    rest = [item for item in items if item.kind.rank != 0]
    if pressing and rest:
        return f"{summary(pressing)}. Also {_small(summary(rest))}"
    kinds = words.listed(dict.fromkeys(task_name(item.kind, item.text) for item in items))
    first = items[0]
    name = words.bin_name(first.bin_code, first.bin_name)
    late = f"{words.plural(first.late.days, 'day')} late" if is_late(first) else ""
    bins = len({item.bin_code for item in items})
    if bins == 1:
        return f"{_capital(kinds)}: {name}{late and f', {late}'}"
    round_ = " round" if any(not item.kind.dated for item in items) else ""
    return f"{_capital(kinds)}{round_}: {words.plural(bins, 'bin')}{late and f', {name} is {late}'}"


def _head(due: Round) -> str:
    answered = len(due.items) - len(due.open_items)
    head = summary(due.open_items) + (f", {answered} of {len(due.items)} answered" if answered else "")
    return f"{head} <@{due.keeper_id}>"


def _open(due: Round, head: str, page: int, undo: int | None) -> Ping:
    """A round of which something is open: a page of what is, then what was answered, then the buttons."""
    still = due.open_items
    page = min(page, pages(len(still)) - 1)
    here, rest = still[page * PAGE :][:PAGE], still[(page + 1) * PAGE :]
    lines = [head, *(_line(item) for item in here)]
    if rest:
        lines.append(f"and {_shortly(rest)}")
    lines += [_closed(item) for item in due.items if not item.open][:PAGE]
    number = due.delivery_id
    several = len(due.items) > 1 or here[0].kind in NOTES
    ones = done_buttons(here, verbs.CARE_ONE, f"{number}.{{}}.{page}") if several else []
    buttons = [
        *ones,
        Button("Done" if len(due.items) == 1 else "All done", verbs.CARE_DONE, str(number), Weight.MAIN),
        Button("Later", verbs.CARE_LATER, str(number)),
        Button("Log count", verbs.CARE_COUNT, str(number)),
    ]
    if pages(len(still)) > 1:
        to = (page + 1) % pages(len(still))
        buttons.append(Button(f"Page {to + 1} of {pages(len(still))}", verbs.CARE_ROUND, f"{number}.{to}"))
    if undo is not None:
        buttons.append(Button("Undo", verbs.CARE_REOPEN, str(undo)))
    return Ping(text="\n".join(lines), buttons=tuple(buttons))


def _line(item: RoundItem) -> str:
    return f"· {line(item)}"


def _closed(item: RoundItem) -> str:
    return f"{_MARKS.get(item.state, '…')} {item.bin_code}: {task_name(item.kind, item.text)}"


def _shortly(items: Sequence[RoundItem]) -> str:
    """What has no line of its own, by the codes."""
    named = [f"{item.bin_code} {task_name(item.kind, item.text)}" for item in items[:_CODES]]
    return words.listed([*named, f"{len(items) - _CODES} more"] if len(items) > _CODES else named)


def _few(lines: Sequence[str]) -> str:
    rest = len(lines) - PAGE
    return "\n".join([*lines[:PAGE], f"and {rest} more"] if rest > 0 else lines)


def _bin(label: BinLabel) -> str:
    return _short(f"{label.code} {label.name}" if label.name else label.code)


def _short(text: str) -> str:
    return text if len(text) <= _LABEL else text[: _LABEL - 1].rstrip() + "…"


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
