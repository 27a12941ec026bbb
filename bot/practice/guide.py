"""What the practice room says of itself: the welcome, the help, and who or what a typed name means."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from bot.practice.registered import Command, Kind
from bot.practice.typed import LineError, example
from bot.practice.values import Choice, Person, Place, Room
from bot.practice.words import Screen


@dataclass(frozen=True, slots=True)
class Seat:
    """Who speaks, and where."""

    place: Place
    room: Room
    person: Person


_WHAT_ELSE = """\
A number presses that button of a message, as in [1].
?? /command option:text shows what the chat would offer for the last option.
? /command says more of one command.
@name speaks as that keeper from now on, @name /command only once.
#room goes to that room.
+2h, +3d or +1w lets that much time pass.
> text says something in the room; > text file:path sends a file with it.
! opens the menu of what was said last there.
The end of input (Ctrl-D) or Ctrl-C leaves."""

_KINDS = {
    Kind.WHOLE: "a whole number",
    Kind.NUMBER: "a number",
    Kind.YES_NO: "yes or no",
    Kind.FILE: "the path of a file",
}
_LENGTHS = {"h": timedelta(hours=1), "d": timedelta(days=1), "w": timedelta(weeks=1)}


def welcome(seat: Seat) -> str:
    """The first words of the room."""
    others = ", ".join(f"@{other.name}" for other in seat.place.people if other.id != seat.person.id)
    also = f" Also here: {others}." if others else ""
    return (
        f"Practice room: {seat.place.name}. You speak as {seat.person.name} in #{seat.room.name}.{also}\n"
        "Type ? for what can be typed. Ctrl-D leaves."
    )


def help_on(text: str, commands: Sequence[Command]) -> str:
    """All commands and what else can be typed; or, with a command's name, how that one is typed.

    Raises:
        LineError: there is no such command.
    """
    wanted = text.strip().removeprefix("/").lower().split()
    if not wanted:
        return "\n".join([*(f"{example(each)}\n    {each.description}" for each in commands), _WHAT_ELSE])
    chosen = [each for each in commands if each.path[: len(wanted)] == tuple(wanted[: len(each.path)])]
    if not chosen:
        raise LineError(f"There is no command /{' '.join(wanted)}. Type ? for all of them.")
    return "\n".join(_explained(each) for each in chosen)


def _explained(command: Command) -> str:
    rows = [example(command), f"    {command.description}"]
    for option in command.options:
        notes = [option.description, _KINDS.get(option.kind, "")]
        notes.append("one of: " + ", ".join(choice.name for choice in option.choices) if option.choices else "")
        notes.append("" if option.required else "may be left out")
        rows.append(f"    {option.name}: " + "; ".join(note for note in notes if note))
    return "\n".join(rows)


def offered(option: str, choices: Sequence[Choice]) -> str:
    """What the chat would offer for an option while it is typed."""
    if not choices:
        return f"Nothing is offered for {option}: with that text."
    return "\n".join(
        f"- {choice.name}" + (f" → {choice.value}" if choice.name != choice.value else "") for choice in choices
    )


def person_named(text: str, place: Place) -> tuple[Person, str]:
    """The person whose name stands at the start of `text`, in whatever case, and what comes after it.

    Raises:
        LineError: nobody has that name.
    """
    for person in sorted(place.people, key=lambda each: -len(each.name)):
        found = re.match(rf"{re.escape(person.name)}(?:\s+|$)", text, re.IGNORECASE)
        if found:
            return person, text[found.end() :]
    typed = "".join(text.split(maxsplit=1)[:1])
    raise LineError(_nobody("@", typed, [person.name for person in place.people]))


def room_named(text: str, place: Place) -> Room:
    """The room with that name, in whatever case.

    Raises:
        LineError: there is none.
    """
    typed = text.strip()
    for room in place.rooms:
        if room.name.lower() == typed.lower():
            return room
    raise LineError(_nobody("#", typed, [room.name for room in place.rooms]))


def _nobody(mark: str, typed: str, names: Sequence[str]) -> str:
    lower = {name.lower(): name for name in names}
    meant = difflib.get_close_matches(typed.lower(), lower, 1, 0.6)
    known = (
        f"Did you mean {mark}{lower[meant[0]]}?" if meant else f"There are {', '.join(mark + name for name in names)}."
    )
    return f"There is no {mark}{typed} here. {known}" if typed else f"Type a name after {mark}. {known}"


def said(text: str) -> tuple[str, Path | None]:
    """What is said, and the path of the file that goes with it, if one is named: "look here file:~/odd.jpg".

    Raises:
        LineError: nothing is said and nothing is sent.
    """
    words, found, path = text.partition("file:")
    if not words.strip() and not path.strip():
        raise LineError("Say something after >, like: > look at this one file:odd.jpg")
    return words.strip(), Path(path.strip()) if found else None


def menu_entry(text: str, entries: Sequence[str]) -> str:
    """The entry of a message's menu that is meant, in whatever case; the only one needs no name.

    Raises:
        LineError: there is none of that name; it says which there are.
    """
    typed = text.strip().lower()
    chosen = [each for each in entries if typed in ("", each.lower())]
    if len(chosen) == 1:
        return chosen[0]
    raise LineError(f"The menu has: {', '.join(f'! {each}' for each in entries) or 'nothing'}.")


def length_of_time(text: str) -> timedelta:
    """The length of time that `+3d`, `+2h` or `+1w` spells.

    Raises:
        LineError: it is none of these.
    """
    found = re.fullmatch(r"\+\s*([0-9]{1,4})\s*([hdw])", text.lower())
    if found is None:
        raise LineError("Let time pass with +2h, +3d or +1w.")
    return int(found[1]) * _LENGTHS[found[2]]


def time_now(screen: Screen) -> str:
    """The time in the room, as a sentence."""
    at = screen.now().astimezone(screen.zone)
    return f"It is now {at:%A}, {at.day} {at:%B %Y}, {at:%H:%M}."
