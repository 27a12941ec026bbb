"""What care is called: its kinds, its days, what it is for."""

from bot.calendar import Cadence, Rhythm
from bot.cards import words
from bot.records import CareKind, CareScope, TaskRow
from bot.services.care_words import WEEKDAYS
from bot.services.refusals import BinLabel

_LAST = 31


def kind_name(kind: CareKind) -> str:
    """What a care task of a known kind asks for, in a word or two."""
    return {
        CareKind.MOISTURE: "moisture",
        CareKind.LITTER: "leaf litter",
        CareKind.RECOUNT: "recount",
        CareKind.PROTEIN: "protein",
        CareKind.REMOVAL: "protein out",
        CareKind.CALCIUM: "calcium",
        CareKind.SUBSTRATE: "substrate refresh",
        CareKind.PESTS: "mites and gnats",
        CareKind.OTHER: "own words",
        CareKind.SEPARATE: "part by sex",
        CareKind.PARENTS_OUT: "breeders out",
        CareKind.QUARANTINE_END: "end of quarantine",
        CareKind.MOULT_PHOTO: "photo after the moult",
        CareKind.SISTERS: "sisters",
        CareKind.YOUNG_SEEN: "young to log",
        CareKind.ONE_DEAD: "dead one to log",
        CareKind.PHOTO_DUE: "photo to take",
    }[kind]


def task_name(kind: CareKind, text: str | None, *, escaped: bool = True) -> str:
    """What a task asks for, shortly; a keeper's own words as they stand there, made harmless unless a button shows them."""
    if kind is not CareKind.OTHER:
        return kind_name(kind)
    said = text or "something erased"
    return words.plain(said, 60) if escaped else said


def asked(kind: CareKind, text: str | None) -> str:
    """What a task asks a keeper to do."""
    return {
        CareKind.MOISTURE: "check the moisture, wet one end if it is dry",
        CareKind.LITTER: "top up the leaf litter",
        CareKind.RECOUNT: "count again",
        CareKind.PROTEIN: "give a little protein",
        CareKind.REMOVAL: "take out what is left of the protein",
        CareKind.CALCIUM: "see that there is calcium",
        CareKind.SUBSTRATE: "change part of the substrate and keep a third, mancae live in it",
        CareKind.PESTS: "look for mites and gnats",
        CareKind.OTHER: words.plain(text or "something erased", 100),
        CareKind.SEPARATE: "part the young by sex, before they can mate",
        CareKind.PARENTS_OUT: "take the breeders out, or two generations are mixed",
        CareKind.QUARANTINE_END: "the quarantine ends with a clean look at it",
        CareKind.MOULT_PHOTO: "photograph the find again, now that it may have moulted",
        CareKind.SISTERS: "count the sisters of the find",
        CareKind.YOUNG_SEEN: "log the young you saw",
        CareKind.ONE_DEAD: "say how many died, and what you saw",
        CareKind.PHOTO_DUE: "take the photo you put off, and file it with `/photo file`",
    }[kind]


def comes_round(cadence: Cadence) -> str:
    """When a task comes round: "every Monday and Thursday at 18:00"."""
    return f"{_days(cadence)} at {clock(cadence.minute)}"


def task_said(task: TaskRow) -> str:
    """What a task asks for and when it comes round; of one that has a day, what alone."""
    name = task_name(task.kind, task.text)
    return name if task.kind.dated else f"{name} {comes_round(task.cadence)}"


def clock(minute: int) -> str:
    """A minute of the day as people write it: 18:05."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _days(cadence: Cadence) -> str:
    days = cadence.days
    if cadence.rhythm is Rhythm.ONCE:
        return "once"
    if cadence.rhythm is Rhythm.STEP:
        return "every day" if days == (1,) else f"every {days[0]} days"
    if cadence.rhythm is Rhythm.MONTH:
        return f"on the {words.listed(_nth(day) for day in days)} of the month"
    return "every day" if len(days) == len(WEEKDAYS) else f"every {words.listed(WEEKDAYS[day] for day in days)}"


def _nth(day: int) -> str:
    if day == _LAST:
        return "last day"
    ending = "th" if 11 <= day <= 13 else {1: "st", 2: "nd", 3: "rd"}.get(day % 10, "th")
    return f"{day}{ending}"


def times(number: int, cadence: Cadence) -> str:
    """So many times of a task: weeks, if it comes once a week."""
    weekly = cadence.rhythm is Rhythm.WEEK and len(cadence.days) == 1
    return words.plural(number, "week" if weekly else "time")


def what_for(task: TaskRow, label: BinLabel | None, bins: int) -> str:
    """What a task is for: a bin by its name, a shelf or all bins with their number."""
    if task.scope is CareScope.BIN:
        return words.bin_name(label.code, label.name) if label else "a bin"
    if task.scope is CareScope.SHELF:
        return f"Shelf {words.plain(task.shelf or '', 60)} ({words.plural(bins, 'bin')})"
    return f"All your bins ({bins})"
