"""How a count is said: what was understood, by class, and how it stands to the one before."""

from collections.abc import Iterable

from bot.cards import cautions, verbs, words
from bot.cards.card import Button, Card, Tone
from bot.cards.figures import figure
from bot.cards.refusals_bins import last_disturbed
from bot.records import CountRow, Exactness, Seen, Thoroughness
from bot.services.count_items import Item
from bot.services.count_sums import class_text
from bot.services.count_words import AnimalClass
from bot.services.counts import CountLogged

_NOTE_SHOWN = 500
_SIFTED = (Thoroughness.SORTED, Thoroughness.PART)
_FEW = 10
"""Below so many animals half of them is no sign of anything (a judgement)."""


def logged_card(logged: CountLogged) -> Card:
    """The reply to a count: what was understood, and how it stands to the one before."""
    name = words.bin_name(logged.label.code, logged.label.name)
    blocks = [*_understood(logged), _compared(logged)]
    if _is_low(logged.count, logged.previous):
        blocks.append(
            "That is less than half of last time. Look again before you call it a crash: after a moult, in the cold, by day or with fresh "
            "litter many hide, mancae are easily missed, and a count from above finds fewer than sorting."
        )
    if logged.asked:
        blocks.append("It was asked for, and is done with this.")
    blocks += _peace(logged)
    if logged.count.thoroughness in _SIFTED and logged.before.last is None:
        # Once for a bin: whoever sorts it the first time on record meets its dust the first time.
        blocks.append(cautions.ALLERGY)
    if logged.count.note:
        blocks.append(f"Note: {words.plain(logged.count.note, _NOTE_SHOWN)}")
    counted = "counted again" if logged.corrected else "counted"
    chart = (Button("Chart", verbs.COUNT_CHART, logged.label.code),) if logged.previous else ()
    return Card(
        lead=f"{name}: **{said(logged.count)}** {counted}.",
        blocks=tuple(block for block in blocks if block),
        buttons=(
            Button("Undo", verbs.UNDO, str(logged.event)),
            Button("Correct", verbs.COUNT_CORRECT, str(logged.count.id)),
            Button("Show bin", verbs.BIN_SHOW, logged.label.code),
            *chart,
        ),
        tone=Tone.GOOD,
    )


def said(count: CountRow) -> str:
    """The number of a count, with how it is known."""
    return figure(count.total, count.exactness, count.low, count.high)


def numbered(number: int | None, exactness: Exactness | None, low: int | None = None, high: int | None = None) -> str:
    """A number of animals with how it is known; nothing where there is none."""
    return "" if number is None or exactness is None else figure(number, exactness, low, high)


def by_class(classes: Iterable[Item]) -> str:
    """What a count says of each class: "12 adults, about 30 juveniles, mancae not counted"."""
    return ", ".join(_class(item) for item in classes)


def _class(item: Item) -> str:
    number = item.figure
    animals = words.plain(class_text(item.animals or AnimalClass(), number.most if number else 2))
    if number is not None:
        return f"{figure(number.total, number.exactness, number.low, number.high)} {animals}"
    return {
        Seen.SOME: f"{animals} there (not counted)",
        Seen.NONE: f"no {animals} seen",
    }.get(item.said, f"{animals} not counted")


def share_of(count: CountRow) -> str:
    """What part of a bin a count rests on; nothing for one of all of it."""
    if count.share is None or count.seen is None:
        return ""
    return f"{words.number(count.seen)} seen in {words.exact(count.share)} of the bin"


def _understood(logged: CountLogged) -> list[str]:
    found = []
    if logged.count.at != logged.logged_at:
        found.append(f"Put down for {words.when(logged.count.at, 'D')}.")
    if logged.classes:
        inside = by_class(logged.classes)
        found.append(f"{inside[:1].upper()}{inside[1:]}.")
    part = share_of(logged.count)
    if part:
        found.append(f"{part[:1].upper()}{part[1:]}; the rest is taken to be like it, which it may not be.")
    elif logged.count.exactness is Exactness.AT_LEAST and any(i.said is not Seen.COUNTED for i in logged.classes):
        found.append("At least, because some were there or may have been that nobody counted.")
    if logged.corrected:
        found.append(f"It stands in for the count of {said(logged.corrected)}, which is kept in the history.")
    return found


def _compared(logged: CountLogged) -> str:
    if logged.previous is None:
        return "This is its first count."
    count, before = logged.count, logged.previous
    if Exactness.RANGE in (count.exactness, before.exactness) or Exactness.AT_LEAST in (
        count.exactness,
        before.exactness,
    ):
        return f"The count before was {said(before)}, {words.when(before.at)}."
    difference = count.total - before.total
    if difference == 0:
        return f"As many as {words.when(before.at)}."
    more = "more" if difference > 0 else "fewer"
    by = words.counted(abs(difference), {count.exactness, before.exactness} != {Exactness.EXACT})
    return f"{by[:1].upper()}{by[1:]} {more} than {words.when(before.at)} ({said(before)})."


def _is_low(count: CountRow, before: CountRow | None) -> bool:
    if before is None or count.exactness is Exactness.AT_LEAST:
        return False
    most = count.total if count.high is None else count.high
    least = before.total if before.low is None else before.low
    return least >= _FEW and 2 * most < least


def _peace(logged: CountLogged) -> list[str]:
    """After a bin was sorted through: how long to leave it, where mancae are in it."""
    if logged.count.thoroughness is not Thoroughness.SORTED:
        return []
    mancae = logged.before.mancae or any(_are_mancae(item) for item in logged.classes)
    if not mancae:
        return []
    again = f" {last_disturbed(logged.before.last)}" if logged.before.until is not None else ""
    return [f"There are mancae in it: don't sift it again for 30 days (common practice).{again}"]


def _are_mancae(item: Item) -> bool:
    is_manca = item.animals is not None and item.animals.stage is not None and item.animals.stage.value == "manca"
    return is_manca and (item.said is Seen.SOME or (item.figure is not None and item.figure.total > 0))
