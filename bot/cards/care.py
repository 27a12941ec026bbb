"""How care tasks are said: set, listed, resting, ended, and what a day wants."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.care_words import comes_round, task_name, task_said, what_for
from bot.cards.rounds import PAGE, done_buttons, line, pages, summary
from bot.records import CareScope
from bot.services.care_tasks import ENDED, PAUSED, TaskAdded, TaskList, TaskListed, TasksChanged
from bot.services.care_today import DoneInBin, Today

_TASKS = 40
_NAMED = 3


def added_card(added: TaskAdded) -> Card:
    """The reply to `/care add`."""
    task = added.task
    blocks = [f"In your time zone, {words.plain(added.zone)}. The ping comes to <#{task.channel_id}>."]
    if task.scope is not CareScope.BIN:
        blocks.append("Bins that join later are asked for as well, bins that leave are not.")
    return Card(
        lead=(
            f"{what_for(task, added.label, added.bins)}: **{task_name(task.kind, task.text)}** "
            f"{comes_round(task.cadence)}, first {words.when(added.due_at, 'F')}."
        ),
        blocks=tuple(blocks),
        buttons=(Button("Undo", verbs.UNDO, str(added.event)),),
        tone=Tone.GOOD,
    )


def list_card(found: TaskList) -> Card:
    """The reply to `/care list`."""
    if not found.tasks:
        return Card(lead="You have no care tasks. Set one with `/care add`.", blocks=_away(found), private=True)
    resting = [item for item in found.tasks if item.rests]
    asking = [item for item in found.tasks if not item.rests and not item.task.kind.dated]
    lead = f"You have **{words.plural(len(found.tasks), 'care task')}**"
    lead += f", of which {len(resting)} {'rests' if len(resting) == 1 else 'rest'}." if resting else "."
    buttons = [Button("Today", verbs.CARE_TODAY, "0", Weight.MAIN)]
    buttons += [Button("Pause all", verbs.CARE_PAUSE, "0")] * bool(asking)
    buttons += [Button("Resume all", verbs.CARE_RESUME, "0")] * bool(resting)
    return Card(
        lead=lead,
        blocks=(
            *_away(found),
            "\n".join(_listed(item) for item in found.tasks[:_TASKS]),
            f"Times are in {words.plain(found.zone)}. `/care pause` lets one rest, `/care resume` wakes it, `/care end` ends one.",
        ),
        buttons=tuple(buttons),
        private=True,
        page=(verbs.CARE_LIST, ""),
    )


def _listed(item: TaskListed) -> str:
    task = item.task
    head = f"· {what_for(task, item.label, item.bins)}: {task_said(task)}"
    if item.rests:
        until = f" until {words.when(task.paused_until, 'D')}" if task.paused_until else ""
        return f"{head}, rests{until}"
    return f"{head}, due {words.when(item.due_at)}" if item.due_at else head


def _away(found: TaskList) -> tuple[str, ...]:
    if found.away_from is None or found.away_until is None:
        return ()
    return (f"Away from {words.when(found.away_from, 'D')} to {words.when(found.away_until, 'D')}: no pings then.",)


def changed_card(changed: TasksChanged) -> Card:
    """The reply to a pause, a resumption or an end."""
    what = _few_tasks(changed.tasks)
    if changed.kind == ENDED:
        return Card(
            lead=f"Ended: {what}. It will not ping any more.",
            buttons=(Button("Undo", verbs.UNDO, str(changed.event)),),
            tone=Tone.GOOD,
            private=True,
        )
    if changed.kind == PAUSED:
        until = f"until {words.when(changed.until, 'D')}" if changed.until else "until you resume it"
        one = changed.tasks[0].task.id if len(changed.tasks) == 1 else 0
        return Card(
            lead=f"Rests {until}: {what}.",
            blocks=("What falls due meanwhile is not asked for afterwards.",),
            buttons=(
                Button("Resume", verbs.CARE_RESUME, str(one), Weight.MAIN),
                Button("Undo", verbs.UNDO, str(changed.event)),
            ),
            tone=Tone.GOOD,
            private=True,
        )
    due = min((item.due_at for item in changed.tasks if item.due_at), default=None)
    return Card(
        lead=f"Asks again: {what}.",
        blocks=(f"Next {words.when(due)}.",) if due else (),
        buttons=(Button("Undo", verbs.UNDO, str(changed.event)),),
        tone=Tone.GOOD,
        private=True,
    )


def task_line(item: TaskListed) -> str:
    """A task on one line, as a choice shows it: plain, for nothing in it is read as markup there."""
    task, label = item.task, item.label
    place = label.code if label else ("all my bins" if task.scope is CareScope.ALL else f"shelf {task.shelf}")
    return f"{task_name(task.kind, task.text, escaped=False)} · {place} · {comes_round(task.cadence)}"


def _few_tasks(tasks: tuple[TaskListed, ...]) -> str:
    named = [
        f"{task_name(item.task.kind, item.task.text)} of {what_for(item.task, item.label, item.bins)}"
        for item in tasks[:_NAMED]
    ]
    rest = len(tasks) - _NAMED
    return words.listed([*named, f"{rest} more"] if rest > 0 else named)


def done_in_bin_card(done: DoneInBin) -> Card:
    """The reply to *Done today* on a bin's own message."""
    name = words.bin_name(done.label.code, done.label.name)
    if done.event is None:
        return Card(
            lead=f"Nothing of your care for **{name}** wants doing today.",
            blocks=("`/care today` shows what your other bins want, `/care add` sets up more.",),
            private=True,
        )
    tasks = dict.fromkeys(task_name(item.kind, item.text) for item in done.items)
    return Card(
        lead=f"Done in **{name}** today: {words.listed(tasks)}.",
        buttons=(Button("Undo", verbs.UNDO, str(done.event)),),
        tone=Tone.GOOD,
        private=True,
    )


def today_card(today: Today, page: int = 0, undo: int | None = None) -> Card:
    """The reply to `/care today`: what wants doing until midnight, with a *Done* for each."""
    back = [Button("Undo", verbs.CARE_TODAY_UNDO, str(undo))] * (undo is not None)
    if not today.items:
        following = f" Next {words.when(today.next_due)}." if today.next_due else ""
        away = ("You are away, so nothing is pinged.",) if today.away else ()
        return Card(
            lead=f"Nothing wants doing today.{following}",
            blocks=away,
            buttons=tuple(back),
            tone=Tone.GOOD,
            private=True,
        )
    page = min(page, pages(len(today.items)) - 1)
    here = today.items[page * PAGE :][:PAGE]
    buttons = done_buttons(here, verbs.CARE_TODAY_DONE, f"{{}}.{page}")
    if len(today.items) > 1:
        buttons.append(Button("All done", verbs.CARE_TODAY_DONE, f"all.{page}", Weight.MAIN))
    if pages(len(today.items)) > 1:
        to = (page + 1) % pages(len(today.items))
        buttons.append(Button(f"Page {to + 1} of {pages(len(today.items))}", verbs.CARE_TODAY, str(to)))
    blocks = ["\n".join(f"· {line(item)}" for item in here)]
    if today.away:
        blocks.append("You are away, so nothing is pinged.")
    return Card(
        lead=f"**{words.plural(len(today.items), 'thing')}** today. {summary(today.items)}.",
        blocks=tuple(blocks),
        buttons=(*buttons, *back),
        private=True,
    )
