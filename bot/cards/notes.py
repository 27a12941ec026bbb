"""How it is said that something was noted in a hurry, and what was told of it later."""

from bot.cards import verbs, words
from bot.cards.bins import dead
from bot.cards.card import Button, Card, Tone
from bot.records import CareKind
from bot.services.notes import DeathTold, Noted

_WHAT = {CareKind.YOUNG_SEEN: "young seen", CareKind.ONE_DEAD: "one dead", CareKind.PHOTO_DUE: "a photo to take"}


def noted_card(noted: Noted) -> Card:
    """The reply to a press that notes something: one line."""
    name, what = words.bin_name(noted.label.code, noted.label.name), _WHAT[noted.kind]
    evening = f"I ask for the rest {words.when(noted.asks_at)}."
    tell = {
        CareKind.YOUNG_SEEN: (Button("Tell now", verbs.BROOD_FORM, noted.label.code),),
        CareKind.ONE_DEAD: (Button("Tell now", verbs.NOTE_TELL_DEAD, noted.label.code),),
    }.get(noted.kind, ())
    if noted.event is None:
        lead = f"{name}: {what} is noted already, {words.when(noted.at)}. {evening}"
        return Card(lead=lead, buttons=tell, private=True)
    return Card(
        lead=f"Noted in {name}: {what}, {words.when(noted.at)}. {evening}",
        buttons=(*tell, Button("Undo", verbs.UNDO, str(noted.event))),
        tone=Tone.GOOD,
        private=True,
    )


def death_card(told: DeathTold) -> Card:
    """The reply once it was told how many were found dead."""
    name = words.bin_name(told.label.code, told.label.name)
    return Card(
        lead=f"{name}, found dead: {dead(told.death)}.",
        buttons=(Button("Show bin", verbs.BIN_SHOW, told.label.code), Button("Undo", verbs.UNDO, str(told.event))),
        tone=Tone.GOOD,
    )


def photo_card(of: str) -> Card:
    """What a photo that was put off needs: a file, which no form takes."""
    return Card(
        lead=f"Type `/photo file`, choose {of} and attach the picture; or post it and choose *File this photo* from the message's menu.",
        private=True,
    )
