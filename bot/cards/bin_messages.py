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
    Fate.UNASKED: "No code yet on {bins}: a code leads to a bin's message in the chat. Choose a room for it, like room:#bins.",
    Fate.GONE: "No code on {bins}: the message was deleted together with its room. Choose another, like room:#bins.",
    Fate.PRIVATE: "No code on {bins}: private, and a message would show the bin to the whole room. If it may, add private-too:True.",
    Fate.TAKEN_DOWN: "Taken down, because the bin is private now: the message of {bins}. If it may stand, add private-too:True.",
    Fate.NOT_KEPT: "No code on {bins}: only its keepers and stewards can have its message posted.",
    Fate.REFUSED: "No code on {bins}: I am not allowed to write in {room}. Ask a steward to let me view it and send messages there, or choose another room.",
    Fate.LATE: "No code on {bins}: the chat takes no more messages for now. Ask for the sheet again in a few minutes; what is posted stays.",
}
"""What is said of each fate but that of a message which simply stands."""


def told(bins: Iterable[LabelledBin], standing: Standing, wish: Wish) -> list[str]:
    """What became of the messages, a sentence for each fate that some bin had."""
    every = list(bins)
    said = []
    for fate, sentence in _SAID.items():
        meant = [each for each in every if standing.fates.get(each.row.id) is fate]
        if meant:
            said.append(sentence.format(room=_rooms(meant, standing, wish), bins=_codes(meant)))
    if elsewhere := [each for each in every if _left_elsewhere(each, standing, wish)]:
        said.append(
            f"In {_rooms(elsewhere, standing, wish)} already, and left there for the labels that lead to it: the message of {_codes(elsewhere)}."
        )
    if doubtful := [each for each in every if each.row.id in standing.doubtful]:
        said.append(f"The message of {_codes(doubtful)} may stand twice; the label leads to the newer one.")
    if seen := [each for each in every if each.row.privacy is Privacy.BIN and each.row.id in standing.rows]:
        said.append(
            f"**Careful:** everybody who reads {_rooms(seen, standing, wish)} sees the code, name and keeper of what is kept "
            f"private: {_codes(seen)}. A sheet without private-too takes such a message down again."
        )
    return said


def _left_elsewhere(found: LabelledBin, standing: Standing, wish: Wish) -> bool:
    """Whether a bin's message stands in another room than the one that was chosen now."""
    row = standing.rows.get(found.row.id)
    if row is None or standing.fates.get(found.row.id) is not Fate.STANDS:
        return False
    return wish.room not in (None, row.channel_id)


def _codes(bins: Iterable[LabelledBin]) -> str:
    return words.some_of([each.row.code for each in bins], _NAMED)


def _rooms(bins: Iterable[LabelledBin], standing: Standing, wish: Wish) -> str:
    """The rooms in which these bins' messages stand, or were to stand."""
    found: dict[int, None] = {}
    for each in bins:
        row = standing.rows.get(each.row.id) or (each.message if wish.room is None else None)
        if row is not None:
            found[row.channel_id] = None
        elif wish.room is not None:
            found[wish.room] = None
    return words.listed(words.room(channel) for channel in found)
