"""How it is said that a bin was put on hold or in quarantine, looked over, or let go, and that a stray was found in it."""

from bot.cards import verbs, words
from bot.cards.bin_state import SHEEN, accident, looked, notes, standing
from bot.cards.card import Button, Card, Tone
from bot.records import HoldCause, MarkKind
from bot.services.accidents import AccidentLogged
from bot.services.bin_marks import HELD, LOOKED, QUARANTINED, RELEASED, BinMarked
from bot.services.broods import brood_code
from bot.services.refusals import BinLabel

_CODES = 8


def _name(label: BinLabel) -> str:
    return words.bin_name(label.code, label.name)


def marked_card(marked: BinMarked) -> Card:
    """The reply to `/bin hold`, `/bin quarantine`, `/bin look` and `/bin release`."""
    say = {HELD: _held, QUARANTINED: _quarantined, LOOKED: _looked, RELEASED: _released}[marked.kind]
    lead, blocks = say(marked)
    code = marked.label.code
    quarantine = marked.state.quarantine is not None
    return Card(
        lead=lead,
        blocks=tuple(block for block in blocks if block),
        buttons=(
            Button("Undo", verbs.UNDO, str(marked.event)),
            *((Button("Looked: clean", verbs.BIN_LOOKED, code),) if quarantine and marked.kind != LOOKED else ()),
            *((Button("Quarantine", verbs.BIN_QUARANTINE, code),) if marked.kind == HELD and not quarantine else ()),
            Button("Show bin", verbs.BIN_SHOW, code),
        ),
        tone=Tone.GOOD,
    )


def _held(marked: BinMarked) -> tuple[str, list[str]]:
    sheen = any(hold.cause is HoldCause.BLUE_SHEEN for hold in marked.state.holds)
    blocks = [SHEEN if sheen else "", standing(marked.state)]
    blocks.append("Splitting, merging, pairing and handing on ask first from now on.")
    return f"**{_name(marked.label)}** is on hold: its animals stay where they are.", blocks


def _quarantined(marked: BinMarked) -> tuple[str, list[str]]:
    running = marked.state.quarantine
    if running is None or running.until is None:
        return f"**{_name(marked.label)}** is in no quarantine any more.", []
    figure = marked.species.quarantine_days
    blocks = [
        looked(marked.state),
        "Own tools for it, and tend it last. I ping you on that day: it ends with one clean look, at which no animal is blue or "
        "violet and no mites or nematodes are seen.",
        f"Usual for *{marked.species.name}*: {figure.low} to {figure.usual} days (common practice); to see a brood takes about {figure.high}.",
    ]
    return f"**{_name(marked.label)}** is in quarantine until **{words.when(running.until, 'D')}**.", blocks


def _looked(marked: BinMarked) -> tuple[str, list[str]]:
    name = f"**{_name(marked.label)}**"
    if MarkKind.QUARANTINE in marked.ended:
        return f"{name} looks clean, and its quarantine is over.", [standing(marked.state)]
    if marked.state.quarantine is None:
        return f"The look at {name} is noted.", [standing(marked.state)]
    if marked.state.clean:
        return f"{name} looks clean.", [standing(marked.state), *notes(marked.state)]
    return (
        f"{name}: something was seen, so its quarantine goes on.",
        [looked(marked.state), standing(marked.state), "If animals are blue or violet, type `/bin hold`."],
    )


def _released(marked: BinMarked) -> tuple[str, list[str]]:
    over = [MarkKind.HOLD in marked.ended and "on hold", MarkKind.QUARANTINE in marked.ended and "in quarantine"]
    said = words.listed([each for each in over if each], "or")
    return f"**{_name(marked.label)}** is not {said} any more.", [standing(marked.state)]


def accident_card(logged: AccidentLogged) -> Card:
    """The reply to `/bin stray`: what is in doubt because of it."""
    name, code = _name(logged.label), logged.label.code
    broods = [brood_code(brood) for brood in logged.broods]
    if broods:
        shown = words.listed([*broods[:_CODES], *((f"{len(broods) - _CODES} more",) if len(broods) > _CODES else ())])
        doubt = f"In doubt since then: {shown}. They stay in the book, and evidence is shown with and without them."
    else:
        doubt = "No brood of it is in the book since then. Broods scored from now on are in doubt."
    return Card(
        lead=f"**{name}**: it is noted that {accident(logged.mark)}.",
        blocks=(
            doubt,
            "To be sure of parents again, start anew with young that were kept apart before they were grown.",
        ),
        buttons=(Button("Undo", verbs.UNDO, str(logged.event)), Button("Show bin", verbs.BIN_SHOW, code)),
        tone=Tone.GOOD,
    )
