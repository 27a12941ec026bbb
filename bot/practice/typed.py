"""A typed line against the commands the bot has registered: `/bin open species:Armadillidium nasatum name:"ember F2"`.

The chat's own client offers boxes to fill in; a terminal has one line. An option is typed `name:value`. A value runs to
the next ` name:` of an option of that command, or to the end. Quotes hold a value together that contains such a word.
Nothing here reads a file or asks the bot: a line and the registered commands go in, plain values or a `LineError` come
out.
"""

import difflib
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from bot.practice.registered import Command, Kind, Option
from bot.practice.values import Picked

Value = str | int | float | bool | Path | Picked

_OPENING = {'"': '"', "“": "”", "„": "“"}
_LOOKS_LIKE_OPTION = re.compile(r"(?:^|(?<=\s))(?P<name>[^\W\d][\w-]*):")
_WHOLE_NUMBER = re.compile(r"[+-]?[0-9]{1,16}")
_LARGEST = 2**53
_LONGEST_TEXT = 6000
_YES = frozenset({"true", "yes", "y", "on", "1"})
_NO = frozenset({"false", "no", "n", "off", "0"})


class LineError(Exception):
    """The line cannot be sent. The text is a sentence for the person who typed it and says what to type instead."""


@dataclass(frozen=True, slots=True)
class Typed:
    """A line that can be sent: the command, and its options in the order they were typed."""

    command: Command
    options: Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Unfinished:
    """A line whose last option is still being typed: `focused` names it, `options` holds its text so far as well."""

    command: Command
    options: Mapping[str, Value]
    focused: str


def read_line(line: str, commands: Sequence[Command]) -> Typed:
    """The command and the options that `line` spells.

    Raises:
        LineError: no such command or option, a required option is missing, a value is of the wrong kind or not offered.
    """
    command, rest = _command(line, commands)
    options = {option.name: _value(option, text) for option, text in _pieces(command, rest)}
    missing = [option for option in command.options if option.required and option.name not in options]
    if missing:
        named = " and ".join(f"`{option.name}:` ({option.description})" for option in missing)
        raise LineError(f"{command.spelled} also needs {named}. Type: {example(command)}")
    return Typed(command, options)


def read_unfinished(line: str, commands: Sequence[Command]) -> Unfinished:
    """The same line for completion: the last option may be half typed or empty, and nothing is required.

    Raises:
        LineError: no such command or option, an earlier value is wrong, or the last option has nothing to complete.
    """
    command, rest = _command(line, commands)
    pieces = list(_pieces(command, rest, closed=False))
    if not pieces:
        raise LineError(f"Type the option to complete as well: {example(command)}")
    focused, text = pieces.pop()
    if not focused.autocomplete:
        offered = ", ".join(choice.name for choice in focused.choices)
        hint = f"Its choices are: {offered}." if offered else "Any text may stand there."
        raise LineError(f"`{focused.name}:` has no completion. {hint}")
    options = {option.name: _value(option, earlier) for option, earlier in pieces}
    return Unfinished(command, {**options, focused.name: text}, focused.name)


def example(command: Command) -> str:
    """How the command is typed: required options as they are, the others in brackets."""
    parts = [f"{option.name}:…" if option.required else f"[{option.name}:…]" for option in command.options]
    return " ".join([command.spelled, *parts])


def _command(line: str, commands: Sequence[Command]) -> tuple[Command, str]:
    """The command at the start of the line, and the rest of the line. The longest path that fits wins."""
    body = line.strip().removeprefix("/")
    for command in sorted(commands, key=lambda each: -len(each.path)):
        path = r"\s+".join(re.escape(word) for word in command.path)
        found = re.match(rf"\s*{path}(?:\s+|$)", body, re.IGNORECASE)
        if found:
            return command, body[found.end() :]
    raise LineError(_no_such_command(body, commands))


def _no_such_command(body: str, commands: Sequence[Command]) -> str:
    words: list[str] = []
    for word in body.split():
        if ":" in word:
            break
        words.append(word.lower())
    typed = "/" + " ".join(words[:2])
    group = [command for command in commands if words and command.path[0] == words[0]]
    if group:
        spelled = [command.spelled for command in group]
        near = difflib.get_close_matches(typed, spelled, 1, 0.75)
        if not near:
            return f"{group[0].spelled.split()[0]} is one of: {', '.join(spelled)}."
    else:
        names = {command.spelled: command.spelled for command in commands}
        names |= {"/" + command.path[0]: command.spelled for command in commands if len(command.path) > 1}
        candidates = [typed, "/" + "".join(words[:1])]
        near = [names[hit] for each in candidates for hit in difflib.get_close_matches(each, names, 1, 0.6)]
    known = f"Did you mean {near[0]}?" if near else "Type ? for the list of commands."
    return f"There is no command {typed}. {known}" if words else f"A command's name comes after the /. {known}"


def _pieces(command: Command, rest: str, *, closed: bool = True) -> Iterator[tuple[Option, str]]:
    """Each option with its text, unquoted. With `closed`, an open quote and an empty value are errors."""
    options = {option.name: option for option in command.options}
    given: set[str] = set()
    place = _skip_space(rest, 0)
    while place < len(rest):
        found = _LOOKS_LIKE_OPTION.match(rest, place)
        option = options.get(found["name"].lower()) if found else None
        if found is None or option is None:
            raise LineError(_no_such_option(command, found["name"] if found else None, rest[place:]))
        if option.name in given:
            raise LineError(f"`{option.name}:` stands there twice. Keep one; put text that contains it in quotes.")
        given.add(option.name)
        text, place = _text(command, option, rest, found.end(), closed=closed)
        if closed and not text:
            raise LineError(f"`{option.name}:` has no value. {option.description}. Type: {example(command)}")
        yield option, text
        place = _skip_space(rest, place)


def _text(command: Command, option: Option, rest: str, start: int, *, closed: bool) -> tuple[str, int]:
    """The text of one option from `start`, and where it ends."""
    start = _skip_space(rest, start)
    if start < len(rest) and rest[start] in _OPENING:
        return _quoted(option, rest, start, closed=closed)
    names = {each.name for each in command.options}
    for found in _LOOKS_LIKE_OPTION.finditer(rest, start):
        name = found["name"].lower()
        if name in names:
            return rest[start : found.start()].strip(), found.start()
        meant = difflib.get_close_matches(name, names, 1, 0.75)
        if meant:
            raise LineError(
                f"{command.spelled} has no option `{name}:`. Did you mean `{meant[0]}:`? "
                f'If it belongs to the value, put that in quotes: {option.name}:"…"'
            )
    return rest[start:].strip(), len(rest)


def _quoted(option: Option, rest: str, start: int, *, closed: bool) -> tuple[str, int]:
    """The text between quotes from `start`. A backslash before a quote or a backslash takes it literally."""
    closing = {_OPENING[rest[start]], '"'}
    text: list[str] = []
    place = start + 1
    while place < len(rest):
        character = rest[place]
        if character == "\\" and rest[place + 1 : place + 2] in {"\\", *closing}:
            text.append(rest[place + 1])
            place += 2
        elif character in closing:
            after = rest[place + 1 : place + 2]
            if after and not after.isspace():
                raise LineError(f"A space is missing after the closing quote of `{option.name}:`.")
            return "".join(text), place + 1
        else:
            text.append(character)
            place += 1
    if closed:
        raise LineError(
            f'The quote after `{option.name}:` is not closed. Type: {option.name}:"{"".join(text).strip()}"'
        )
    return "".join(text), place


def _skip_space(text: str, place: int) -> int:
    while place < len(text) and text[place].isspace():
        place += 1
    return place


def _no_such_option(command: Command, name: str | None, rest: str) -> str:
    if not command.options:
        return f"{command.spelled} takes nothing more. Type just {command.spelled}"
    if name is not None:
        meant = difflib.get_close_matches(name.lower(), [option.name for option in command.options], 1, 0.6)
        known = f"Did you mean `{meant[0]}:`?" if meant else f"Type: {example(command)}"
        return f"{command.spelled} has no option `{name}:`. {known}"
    first = next((option for option in command.options if option.required), command.options[0])
    shown = rest.strip() if len(rest.strip()) <= 60 else rest.strip()[:59] + "…"
    return f"Say what this is for: `{shown}`. Type: {command.spelled} {first.name}:{shown}"


def _value(option: Option, text: str) -> Value:
    """The text as the option's kind."""
    if option.choices:
        return _choice(option, text)
    match option.kind:
        case Kind.TEXT:
            return _bounded_text(option, text)
        case Kind.WHOLE:
            digits = text.replace(",", "")
            if not _WHOLE_NUMBER.fullmatch(digits) or abs(int(digits)) > _LARGEST:
                raise LineError(f"`{option.name}:` is a whole number, so not `{text}`. Type: {option.name}:12")
            return _bounded(option, int(digits))
        case Kind.NUMBER:
            return _bounded(option, _number(option, text))
        case Kind.YES_NO:
            if text.lower() in _YES | _NO:
                return text.lower() in _YES
            raise LineError(f"`{option.name}:` is yes or no, so not `{text}`. Type: {option.name}:yes")
        case Kind.FILE | Kind.PERSON | Kind.ROOM:
            return Path(text) if option.kind is Kind.FILE else Picked(text.lstrip("@#").strip())
        case _:
            raise LineError(
                f"`{option.name}:` is picked from a list in the chat; it cannot be typed here. Leave it out."
            )


def _choice(option: Option, text: str) -> str | int | float:
    for choice in option.choices:
        if text.lower() in {choice.name.lower(), str(choice.value).lower()}:
            return choice.value
    names = [choice.name for choice in option.choices]
    meant = difflib.get_close_matches(text, names, 1, 0.6)
    known = f"Did you mean {meant[0]}?" if meant else f"Choose one of: {', '.join(names)}."
    raise LineError(f"`{option.name}:` does not offer `{text}`. {known}")


def _number(option: Option, text: str) -> float:
    try:
        number = float(text.replace(",", "").replace("_", "?"))
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise LineError(f"`{option.name}:` is a number, so not `{text}`. Type: {option.name}:0.5")
    return number


def _bounded(option: Option, number: int | float) -> int | float:
    if option.least is not None and number < option.least:
        raise LineError(f"`{option.name}:` is at least {option.least:g}, so not {number}.")
    if option.most is not None and number > option.most:
        raise LineError(f"`{option.name}:` is at most {option.most:g}, so not {number}.")
    return number


def _bounded_text(option: Option, text: str) -> str:
    if option.least is not None and len(text) < option.least:
        raise LineError(f"`{option.name}:` takes at least {option.least:g} characters, not {len(text)}.")
    most = _LONGEST_TEXT if option.most is None else option.most
    if len(text) > most:
        raise LineError(f"`{option.name}:` takes at most {most:g} characters, not {len(text)}.")
    return text
