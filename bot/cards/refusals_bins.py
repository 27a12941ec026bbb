"""How refusals of counts and of changes to bins are said, and what can be pressed instead."""

from collections.abc import Mapping

from bot.cards import verbs, words
from bot.cards.bin_state import looked, standing
from bot.cards.card import Button, Weight
from bot.cards.figures import figure
from bot.cards.ids import LONGEST_ARGUMENT
from bot.cards.leads import lead
from bot.services import refusals_bins as r
from bot.services.bin_state import BinState
from bot.services.disturbance import Disturbance, Disturbing, Rest
from bot.services.refusals import BinLabel, CountNotRead, CountProblem, Refusal

SURE = "sure"
"""The key under which a person says that they have looked."""

_MOST_READINGS = 4
_ON = {
    r.Disturb.SPLIT: "All well: split",
    r.Disturb.MERGE: "All well: merge",
    r.Disturb.HAND_ON: "All well: hand on",
    r.Disturb.KEEP_BACK: "All well: keep back",
    r.Disturb.TAKE_FROM: "All well: set up",
}
_DID = {
    Disturbing.SORTED: "sorted through",
    Disturbing.PART_SORTED: "sorted in part",
    Disturbing.SPLIT: "split",
    Disturbing.MERGED: "merged",
    Disturbing.PAIRED: "opened for a pairing",
    Disturbing.TAKEN_OUT: "opened to take breeders out",
}


def last_disturbed(last: Disturbance | None) -> str:
    """What last disturbed a bin, as a sentence."""
    return (
        f"Last disturbed: {_DID[last.what]} {words.when(last.at)}."
        if last
        else "I know of nothing that disturbed it yet."
    )


def _name(label: BinLabel) -> str:
    return words.bin_name(label.code, label.name)


@lead.register
def _(refusal: CountNotRead) -> str:
    text, rest = words.inline(refusal.text, 100), words.inline(refusal.rest, 60)
    return {
        CountProblem.NO_NUMBER: f"I see no number in {text}. Type one, like 40 or about 40.",
        CountProblem.NOT_WHOLE: f"{text} is not a whole number of animals. Type one, like 40.",
        CountProblem.NEGATIVE: f"{text} is below zero. Type how many there are, like 40, or 0.",
        CountProblem.TOO_MANY: f"{text} is more than a bin holds. Type at most {words.number(refusal.most)}.",
        CountProblem.LEFT_OVER: f"I can't read {rest} in {text}. Type numbers with adults, juveniles, mancae, males, females, wild or a trait, like `12 adults, 30 juveniles`; the rest goes into the note.",
        CountProblem.NO_FLOOR: f"{rest} leaves open how many there are. Type a guess, like about 40, or 30-50.",
        CountProblem.ADDS_UP: f"The classes come to {rest}, more than the {words.number(refusal.most)} in all. Look at the numbers again.",
        CountProblem.TWICE: f"{rest} stands there twice. Type one number for each class.",
        CountProblem.NO_SUCH_DAY: f"{rest} is no day that has been. Type it like yesterday, 3 days ago or 12 March.",
    }[refusal.problem]


@lead.register
def _(refusal: r.CountUnclear) -> str:
    text, readings = words.inline(refusal.text, 100), refusal.readings
    if len(readings) == 1:
        return f"Do you mean {words.inline(readings[0], 100)} by {text}?"
    said = words.listed((words.inline(reading, 100) for reading in readings[:_MOST_READINGS]), "or")
    return f"{text} can mean several things: {said}. Which is it?"


@lead.register
def _(refusal: r.CorrectedAlready) -> str:
    return f"That count of {_name(refusal.label)} was corrected already. Show the bin and correct the newer count."


@lead.register
def _(refusal: r.LookFirst) -> str:
    labels = words.listed(_name(label) for label, _ in refusal.bins)
    asked = f"Before you {refusal.what} {labels}: any half-white or soft animals? If so wait five days."
    reasons = [_shortly(label, state) for label, state in refusal.states]
    reasons += [
        f"Only {counts_said(each)} were counted in {each.label.code} {words.when(each.count.at)}, and {words.number(each.taken)} are to go: recount, or go on?"
        for each in refusal.short
    ]
    return " ".join([*reasons, asked])


def _shortly(label: BinLabel, state: BinState) -> str:
    held = "**on hold**" if state.holds else "**in quarantine**"
    return f"{_name(label)} is {held}."


def counts_said(short: r.Shortfall) -> str:
    """The last count of a bin that holds too few."""
    count = short.count
    return figure(count.total, count.exactness, count.low, count.high)


@lead.register
def _(refusal: r.SameBin) -> str:
    return f"{_name(refusal.label)} can't be merged with itself. Name another bin to empty into it."


@lead.register
def _(refusal: r.ClosedBin) -> str:
    said = f"{_name(refusal.label)} was closed {words.when(refusal.closed_at)}"
    if refusal.into:
        return f"{said}, and its animals went into {refusal.into}. Name that one, or another bin that is open."
    return f"{said}. Name a bin that is open; if it was closed by mistake, take that back with `/records undo`."


@lead.register
def _(refusal: r.KeeperNotPicked) -> str:
    return f"I can't tell who {words.inline(refusal.name, 60)} is. Type `/bin move` again and pick the person."


@lead.register
def _(refusal: r.NoSuchKeeper) -> str:
    return f"{words.plain(refusal.name, 60)} is a bot and keeps no bins. Pick a person."


@lead.register
def _(refusal: r.KeepsItAlready) -> str:
    return f"{_name(refusal.label)} is {words.plain(refusal.keeper_name, 60) or 'that keeper'}'s already. Pick another person, or name a shelf."


@lead.register
def _(refusal: r.NothingSaid) -> str:
    return f"Where does {_name(refusal.label)} go? Give a shelf, like shelf:window, or pick a keeper."


def more(refusal: Refusal) -> tuple[str, ...]:
    """What stands below the sentence."""
    if not isinstance(refusal, r.LookFirst):
        return ()
    lines = [f"{label.code}: {standing(state)} {looked(state)}".rstrip() for label, state in refusal.states]
    lines += [f"{label.code}: {_peace(rest)}" for label, rest in refusal.bins]
    if refusal.kinds:
        lines.append(
            "They hold different animals: "
            + words.listed(f"{label.code} {words.plain(kind, 60)}" for label, kind in refusal.kinds)
            + ". Together, the bin's code stands for several things in a cross."
        )
    lines += [
        f"{newcomer.label.code} came from elsewhere {words.when(newcomer.since)}. New stock is usually kept apart for 30 to 60 days (common practice)."
        for newcomer in refusal.newcomers
    ]
    return ("\n".join(lines),)


def _peace(rest: Rest) -> str:
    said = last_disturbed(rest.last)
    if rest.until is not None:
        return f"{said} There are mancae in it, so leave it alone until {words.when(rest.until, 'D')} if you can (common practice: not sifted twice in 30 days)."
    return f"{said} There are mancae in it: move them gently." if rest.mancae else said


def ways_on(refusal: Refusal, typed: Mapping[str, str], draft: int | None) -> tuple[Button, ...]:
    """What can be pressed, where what was typed was kept."""
    if draft is None:
        return ()
    if isinstance(refusal, r.LookFirst):
        go_on = "Go on all the same" if refusal.states or refusal.short else _ON[refusal.what]
        return (
            Button(go_on, verbs.DRAFT_USE, f"{draft}|{SURE}|yes", Weight.MAIN),
            *(Button(f"Count {each.label.code}", verbs.COUNT_FORM, each.label.code) for each in refusal.short),
        )
    if isinstance(refusal, r.CountUnclear | CountNotRead):
        key = next((key for key, value in typed.items() if value == refusal.text), "")
        made = [(reading, f"{draft}|{key}|{reading}") for reading in dict.fromkeys(refusal.readings[:_MOST_READINGS])]
        return tuple(
            Button(reading, verbs.DRAFT_USE, argument)
            for reading, argument in made
            if key and reading.strip() and len(argument) <= LONGEST_ARGUMENT
        )
    return ()
