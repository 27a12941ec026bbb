"""A bin's own message in the chat, to which the code on its label leads; and how it is said what became of it."""

from collections.abc import Iterable, Mapping
from typing import Final

from bot.cards import verbs, words
from bot.cards.card import Button, Ping, Weight
from bot.cards.ids import CustomId
from bot.records import BinMessageRow, Privacy
from bot.services.bin_messages import Fate, Standing, Wish
from bot.services.labels import LabelledBin

_NAMED: Final = 6


def bin_message(found: LabelledBin, row: BinMessageRow) -> Ping:
    """The message: plain text, and what one does with wet hands beside the open bin."""
    bin_ = found.row
    return Ping(
        text=f"Bin **{words.bin_name(bin_.code, bin_.name)}**\n*{found.species.name}* · kept by {words.plain(bin_.keeper_name)}",
        buttons=(
            Button("Log count", verbs.COUNT_FORM, bin_.code, Weight.MAIN),
            Button("Show bin", verbs.BIN_SHOW, bin_.code),
            Button("Done today", verbs.BIN_DAY, _argument(row)),
        ),
    )


def mark_of(row: BinMessageRow) -> str:
    """What tells the message in a channel's history: the custom id of *Done today*, unlike that of any other message."""
    return str(CustomId(verbs.BIN_DAY, _argument(row)))


def _argument(row: BinMessageRow) -> str:
    return f"{row.bin_id}.{row.id}"


_SAID: Final[Mapping[Fate, str]] = {
    Fate.POSTED: "Posted in {room}, one message a bin: {bins}. The codes on the labels lead there.",
    Fate.ANEW: "Had been deleted, and stands anew: the message of {bins}. Only this sheet's codes lead there.",
    Fate.UNASKED: "No code yet on {bins}: a code leads to a bin's message in the chat. Choose a room for it, like post_in:#bins.",
    Fate.GONE: "No code on {bins}: the message was deleted together with its room. Choose another, like post_in:#bins.",
    Fate.PRIVATE: "No code on {bins}: private, and a message would show the bin to the whole room. If it may, add private_too:True.",
    Fate.NOT_KEPT: "No code on {bins}: only its keepers and stewards can have its message posted.",
    Fate.REFUSED: "No code on {bins}: I am not allowed to write in {room}. Ask a steward to let me view it and send messages there, or choose another room.",
    Fate.LATE: "No code on {bins}: the chat takes no more messages for now. Ask for the sheet again in a few minutes; what is posted stays.",
}
"""What is said of each fate but that of a message which simply stands."""


def told(bins: Iterable[LabelledBin], standing: Standing, wish: Wish) -> list[str]:
    """What became of the messages, a sentence for each fate that some bin had."""
    every = list(bins)
    room = words.room(wish.room) if wish.room is not None else "that room"
    by_fate = {fate: [each.row.code for each in every if standing.fates.get(each.row.id) is fate] for fate in Fate}
    said = [
        sentence.format(room=room, bins=words.some_of(by_fate[fate], _NAMED))
        for fate, sentence in _SAID.items()
        if by_fate[fate]
    ]
    doubtful = [each.row.code for each in every if each.row.id in standing.doubtful]
    if doubtful:
        said.append(
            f"The message of {words.some_of(doubtful, _NAMED)} may stand twice; the label leads to the newer one."
        )
    seen = [each.row.code for each in every if each.row.privacy is Privacy.BIN and each.row.id in standing.rows]
    if seen:
        where = " ".join(
            dict.fromkeys(words.room(standing.rows[each.row.id].channel_id) for each in every if each.row.code in seen)
        )
        said.append(
            f"**Careful:** {words.some_of(seen, _NAMED)} is kept private, but everybody who reads {where} sees its code, name and keeper. "
            "Delete the message there if they should not."
        )
    return said
