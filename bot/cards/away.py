"""How an absence is said."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.care_words import task_name
from bot.services.away import Absence, Return

_MOST = 3


def away_card(absence: Absence) -> Card:
    """The reply to `/care away`."""
    return Card(
        lead=f"No pings for you from {words.when(absence.start, 'D')} until {words.when(absence.end, 'D')}.",
        blocks=(
            *_passing(absence),
            "What falls due meanwhile comes in one ping when you are back. `/care today` shows it at any time.",
            f"Days begin and end in {words.plain(absence.zone)}.",
        ),
        buttons=(
            Button("I am back", verbs.CARE_BACK, "", Weight.MAIN),
            Button("Undo", verbs.UNDO, str(absence.event)),
        ),
        tone=Tone.GOOD,
        private=True,
    )


def _passing(absence: Absence) -> tuple[str, ...]:
    """The days that would pass meanwhile, so that somebody sees to them."""
    if not absence.passing:
        return ()
    said = [
        f"{words.bin_name(due.bin_code, due.bin_name)}: {task_name(due.kind, due.text)} {words.when(due.due_at, 'D')}"
        for due in absence.passing[:_MOST]
    ]
    rest = len(absence.passing) - _MOST
    said += [f"{rest} more"] * (rest > 0)
    return (f"**These days pass while you are away**: {words.listed(said)}. Do it before, or ask somebody.",)


def back_card(back: Return) -> Card:
    """The reply to *I am back*."""
    waiting = f"{words.plural(back.waiting, 'thing')} will be asked for now" if back.waiting else "nothing is overdue"
    return Card(
        lead=f"Welcome back: {waiting}.",
        buttons=(Button("Today", verbs.CARE_TODAY, "0", Weight.MAIN), Button("Undo", verbs.UNDO, str(back.event))),
        tone=Tone.GOOD,
        private=True,
    )
