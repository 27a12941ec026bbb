"""How it is said that a bin was split, merged, moved or closed."""

from bot.cards import cautions, counts, verbs, words
from bot.cards.bin_state import standing
from bot.cards.bins import REASONS, moved_number
from bot.cards.card import Button, Card, Tone, Weight
from bot.records import CloseReason
from bot.services.bin_changes import BinClosed, BinMoved
from bot.services.bin_moves import BinsMerged, BinSplit
from bot.services.refusals import BinLabel

_NOTE_SHOWN = 500


def _name(label: BinLabel) -> str:
    return words.bin_name(label.code, label.name)


def split_card(split: BinSplit) -> Card:
    """The reply to `/bin split`."""
    code = split.target.code
    named = f" ({words.plain(split.target.name)})" if split.target.name else ""
    blocks = [f"It has the same founders, keepers and privacy as {split.source.code}."]
    blocks += [f"{code}: {standing(split.state)}"] * (not split.state.free)
    if split.left is not None:
        blocks.append(f"That leaves {counts.said(split.left)} in {split.source.code}, worked out from its last count.")
    elif split.moved.number is not None:
        blocks.append(
            f"{split.source.code} has no count that covers this, so what is left is not known: count it again when it has settled."
        )
    blocks.append(
        "Let both settle: most keepers leave a bin alone for two weeks after it was set up (common practice)."
    )
    return Card(
        lead=f"Bin **{code}**{named} is open with {moved_number(split.moved)} from {_name(split.source)}. Write {code} on its lid.",
        blocks=tuple(blocks),
        buttons=(
            Button("Undo", verbs.UNDO, str(split.event)),
            Button(f"Show {code}", verbs.BIN_SHOW, code),
            Button(f"Show {split.source.code}", verbs.BIN_SHOW, split.source.code),
        ),
        tone=Tone.GOOD,
    )


def merged_card(merged: BinsMerged) -> Card:
    """The reply to `/bin merge`."""
    blocks = [f"{_name(merged.source)} is closed; both keep their histories."]
    blocks += [f"{merged.target.code}: {standing(merged.state)}"] * (not merged.state.free)
    if merged.together is not None:
        blocks.append(
            f"That makes {counts.said(merged.together)} in {merged.target.code}, worked out from the last counts."
        )
    else:
        blocks.append(f"Not both were counted, so count {merged.target.code} when it has settled.")
    blocks += _care_ended(merged.ended)
    return Card(
        lead=f"{_name(merged.source)} was emptied into **{_name(merged.target)}**: {moved_number(merged.moved)} went.",
        blocks=tuple(blocks),
        buttons=(
            Button("Undo", verbs.UNDO, str(merged.event)),
            Button("Log count", verbs.COUNT_FORM, merged.target.code),
            Button("Show bin", verbs.BIN_SHOW, merged.target.code),
        ),
        tone=Tone.GOOD,
    )


def _care_ended(ended: int) -> list[str]:
    return [f"Its {words.plural(ended, 'care task')} ended with it; nothing pings for it any more."] if ended else []


def moved_card(moved: BinMoved) -> Card:
    """The reply to `/bin move`, with the caution where animals change hands."""
    name = _name(moved.label)
    places = []
    if moved.keeper_before is not None:
        places.append(f"is now kept by **{words.plain(moved.keeper_name) or 'a former keeper'}**")
    if moved.shelf:
        places.append(f"stands on shelf **{words.plain(moved.shelf)}**")
    blocks = []
    if moved.keeper_before is not None:
        before = words.plain(moved.keeper_before) or "a former keeper"
        blocks.append(f"It was {before}'s until now.")
        if moved.ended:
            blocks.append(f"Its {words.plural(moved.ended, 'care task')} ended: the new keeper sets up their own.")
        blocks.append(cautions.SENDING)
    return Card(
        lead=f"{name} {words.listed(places) or 'stands on no shelf now'}.",
        blocks=tuple(blocks),
        buttons=(Button("Undo", verbs.UNDO, str(moved.event)), Button("Show bin", verbs.BIN_SHOW, moved.label.code)),
        tone=Tone.GOOD,
    )


def closed_card(closed: BinClosed) -> Card:
    """The reply to `/bin close`: a bin that is closed is no failure, and what is left of it is not thrown outdoors."""
    row, closing = closed.row, closed.closing
    day = words.when(row.closed_at, "D") if row.closed_at is not None else "now"
    blocks = [
        *_care_ended(closed.ended),
        f"Its history stays, and its code is not given again: `/bin history bin:{row.code}`.",
    ]
    if closing.note:
        blocks.append(f"Note: {words.plain(closing.note, _NOTE_SHOWN)}")
    blocks.append(cautions.SENDING if closing.reason is CloseReason.MOVED_ON else cautions.RELEASE)
    return Card(
        lead=f"{words.bin_name(row.code, row.name)} is closed since {day}: {REASONS[closing.reason]}.",
        blocks=tuple(blocks),
        buttons=(
            Button("Undo", verbs.UNDO, str(closed.event), Weight.SIDE),
            Button("History", verbs.BIN_HISTORY, f"{row.id}/"),
        ),
        tone=Tone.GOOD,
    )
