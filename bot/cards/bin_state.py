"""How it is said that a bin is on hold or in quarantine, and what happened to it."""

from collections.abc import Sequence

from bot.cards import words
from bot.records import HoldCause, MarkKind, MarkRow
from bot.services.bin_state import DISEASE, BinState

_NOTE_SHOWN = 300
HIDDEN = "a bin that is kept private"
"""What stands for the code of a bin that the reader may not see."""
CAUSES = {
    HoldCause.BLUE_SHEEN: "a blue or violet sheen was seen",
    HoldCause.DISEASE: "signs of disease",
    HoldCause.OTHER: "for another reason",
}
"""Why a bin is on hold, in words."""
SHEEN = (
    "A blue or violet sheen can be a virus, and words cannot tell: a laboratory can. Move the animal and its box mates apart, use "
    "own tools for them, pass nothing on, and photograph it after the next moult."
)
"""What to do about a blue or violet sheen."""


def standing(state: BinState) -> str:
    """What stands in the way of a bin's animals, as sentences: the holds first, then the quarantine; nothing if nothing does."""
    return " ".join([*(_hold(hold) for hold in state.holds), *_quarantine(state)])


def _hold(hold: MarkRow) -> str:
    said = f"**On hold** since {words.when(hold.at, 'D')}: {CAUSES[hold.cause or HoldCause.OTHER]}."
    return f"{said} A steward lifts it." if hold.cause in DISEASE else said


def _quarantine(state: BinState) -> list[str]:
    running = state.quarantine
    if running is None or running.until is None:
        return []
    day = words.when(running.until, "D")
    if not state.due:
        return [f"**In quarantine** until {day}: own tools, last in the round."]
    if state.clean:
        return [f"**In quarantine**: its end date was {day}, and it can end now."]
    return [f"**In quarantine**: its end date was {day}, and it ends with one clean look."]


def looked(state: BinState) -> str:
    """What the last look of a quarantine came to; nothing of a bin that is in none."""
    if state.quarantine is None:
        return ""
    if state.look is None:
        return "Nobody has noted a look at it yet."
    saw = "clean" if state.look.clean else "saw something"
    note = f": {words.plain(state.look.note, _NOTE_SHOWN)}" if state.look.note else "."
    return f"Last look {words.when(state.look.at)}: {saw}{note}"


def notes(state: BinState) -> list[str]:
    """What was noted with its holds and its quarantine."""
    marks = [*state.holds, *((state.quarantine,) if state.quarantine is not None else ())]
    return [f"Noted then: {words.plain(mark.note, _NOTE_SHOWN)}" for mark in marks if mark.note]


def accident(mark: MarkRow) -> str:
    """A stray or an open lid: "a stray was found on 3 May"."""
    what = "a stray was found" if mark.kind is MarkKind.STRAY else "the lid was off"
    return f"{what} on {words.when(mark.at, 'D')}"


def accidents(marks: Sequence[MarkRow], most: int = 3) -> str:
    """What happened to a bin, the latest first, as a sentence; nothing if nothing did."""
    if not marks:
        return ""
    said = [accident(mark) for mark in reversed(marks[-most:])]
    more = [f"{len(marks) - most} more before"] if len(marks) > most else []
    line = words.listed([*said, *more])
    return f"{line[:1].upper()}{line[1:]}: broods scored since then are in doubt."
