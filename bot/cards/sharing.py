"""How it is said who keeps a bin and what of it is private."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone
from bot.records import Privacy
from bot.services.sharing import Doors


def doors_card(doors: Doors, *, taken_down: bool = False) -> Card:
    """The reply to `/bin share`, `/bin unshare` and `/bin privacy`; private, for what is private is not called out.

    `taken_down`: the message in the chat that showed the bin is gone.
    """
    name = words.bin_name(doors.label.code, doors.label.name)
    return Card(
        lead=f"{name} is kept by {kept_by(doors.owner, doors.co_keepers)}.",
        blocks=(_open_to(doors.privacy), *_still_shown(doors, taken_down)),
        buttons=(Button("Undo", verbs.UNDO, str(doors.event)), Button("Show bin", verbs.BIN_SHOW, doors.label.code)),
        tone=Tone.GOOD,
        private=True,
    )


def _still_shown(doors: Doors, taken_down: bool) -> tuple[str, ...]:
    if doors.message is None:
        return ()
    room = words.room(doors.message.channel_id)
    if taken_down:
        return (f"Its own message in {room} is taken down; the code on its label leads nowhere now.",)
    return (
        f"**Careful:** its own message in {room} still shows its code, name and keeper: I could not delete it. "
        "Ask a steward of that room to.",
    )


def kept_by(owner: str, co_keepers: tuple[str, ...]) -> str:
    """The keepers of a bin, its owner first."""
    return words.listed([words.plain(name) or "a former keeper" for name in (owner, *co_keepers)])


def _open_to(privacy: Privacy) -> str:
    return {
        Privacy.OPEN: "Everyone here can read it; its keepers and the stewards change it.",
        Privacy.NOTES: "Everyone here can read it, but its notes and where its animals came from: those only its keepers read.",
        Privacy.BIN: "Only its keepers can see it. For everybody else, stewards too, it is not there. A ping still comes to its room: choose one that others don't read.",
    }[privacy]
