"""How a logged count is said."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone
from bot.records import CountRow, Exactness
from bot.services.counts import CountLogged

_NOTE_SHOWN = 500


def logged_card(logged: CountLogged) -> Card:
    """The reply to a count: what was understood, and how it stands to the one before."""
    name = words.bin_name(logged.label.code, logged.label.name)
    blocks = [_change(logged.count, logged.previous)] if logged.previous else ["This is its first count."]
    if logged.count.note:
        blocks.append(f"Note: {words.plain(logged.count.note, _NOTE_SHOWN)}")
    return Card(
        lead=f"{name}: **{said(logged.count)}** counted.",
        blocks=tuple(blocks),
        buttons=(Button("Undo", verbs.UNDO, str(logged.event)), Button("Show bin", verbs.BIN_SHOW, logged.label.code)),
        tone=Tone.GOOD,
    )


def said(count: CountRow) -> str:
    """The number of a count, with "about" if it was judged."""
    return words.counted(count.total, count.exactness is Exactness.ESTIMATE)


def _change(count: CountRow, before: CountRow) -> str:
    difference = count.total - before.total
    if difference == 0:
        return f"As many as {words.when(before.at)}."
    more = "more" if difference > 0 else "fewer"
    judged = Exactness.ESTIMATE in (count.exactness, before.exactness)
    by = words.counted(abs(difference), judged)
    return f"{by[:1].upper()}{by[1:]} {more} than {words.when(before.at)} ({said(before)})."
