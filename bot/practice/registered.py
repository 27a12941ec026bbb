"""What the bot has registered, as values: the commands it sent at login, flattened to what a person can type."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Any

from bot.practice.values import Choice

_SLASH_COMMAND, _MESSAGE_MENU = 1, 3
_PART_OF_A_PATH = frozenset({1, 2})


class Kind(IntEnum):
    """The kinds of an option, by the numbers the chat service documents."""

    TEXT = 3
    WHOLE = 4
    YES_NO = 5
    PERSON = 6
    ROOM = 7
    ROLE = 8
    MENTIONABLE = 9
    NUMBER = 10
    FILE = 11


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a command. `least` and `most` bound a number, or the length of a text in characters."""

    name: str
    kind: Kind
    description: str = ""
    required: bool = False
    choices: tuple[Choice, ...] = ()
    autocomplete: bool = False
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True, slots=True)
class Command:
    """A command that can be typed: its words, such as ("bin", "open"), and its options."""

    path: tuple[str, ...]
    description: str
    options: tuple[Option, ...] = ()

    @property
    def spelled(self) -> str:
        """The command as it is typed, `/bin open`."""
        return "/" + " ".join(self.path)


def commands_of(payload: Sequence[Mapping[str, Any]]) -> tuple[Command, ...]:
    """The slash commands in the registered payload, one for each that can be typed, in alphabetical order.

    Entries of a message's or a person's menu are left out: they are not typed.
    """
    slash = (entry for entry in payload if entry.get("type", _SLASH_COMMAND) == _SLASH_COMMAND)
    found = [command for entry in slash for command in _below(entry, ())]
    return tuple(sorted(found, key=lambda command: command.path))


def menus_of(payload: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    """The entries of a message's menu in the registered payload."""
    return tuple(str(entry["name"]) for entry in payload if entry.get("type", _SLASH_COMMAND) == _MESSAGE_MENU)


def _below(entry: Mapping[str, Any], above: tuple[str, ...]) -> Iterator[Command]:
    """The commands in an entry, a group or a sub-command."""
    path = (*above, str(entry["name"]))
    options = entry.get("options") or ()
    nested = [option for option in options if option["type"] in _PART_OF_A_PATH]
    if nested:
        for each in nested:
            yield from _below(each, path)
    else:
        yield Command(path, str(entry.get("description") or ""), tuple(_option(option) for option in options))


def _option(entry: Mapping[str, Any]) -> Option:
    kind = Kind(entry["type"])
    ends = ("min_length", "max_length") if kind is Kind.TEXT else ("min_value", "max_value")
    return Option(
        name=str(entry["name"]),
        kind=kind,
        description=str(entry.get("description") or ""),
        required=bool(entry.get("required")),
        choices=tuple(Choice(str(choice["name"]), choice["value"]) for choice in entry.get("choices") or ()),
        autocomplete=bool(entry.get("autocomplete")),
        least=entry.get(ends[0]),
        most=entry.get(ends[1]),
    )
