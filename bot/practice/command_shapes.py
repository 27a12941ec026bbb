"""What the chat service refuses in commands and in autocomplete choices.

Limits after its public documentation, "Application Commands": 100 slash commands, names of 1 to 32 characters in lower
case, descriptions of 1 to 100, 25 options, 25 choices, 8,000 characters a command, one level of groups.
"""

import re

from bot.practice.errors import Problems, too_many_commands
from bot.practice.values import Json

Path = tuple[str | int, ...]
SLASH, USER_MENU, MESSAGE_MENU = 1, 2, 3
SUBCOMMAND, GROUP = 1, 2
STRING, INTEGER, BOOLEAN, USER, CHANNEL, ROLE, MENTIONABLE, NUMBER, ATTACHMENT = 3, 4, 5, 6, 7, 8, 9, 10, 11
MOST_COMMANDS = {SLASH: 100, USER_MENU: 5, MESSAGE_MENU: 5}
MOST_CHARACTERS = 8000
_VALUES = frozenset(range(STRING, ATTACHMENT + 1))
_ALLOWED_AT = (_VALUES | {SUBCOMMAND, GROUP}, frozenset({SUBCOMMAND}), _VALUES)
_NAME = re.compile(r"[-_'\w]{1,32}")


def check_commands(commands: object) -> list[Json]:
    """Refuse a set of commands that the service would refuse; returns it if it is fine."""
    problems = Problems()
    listed = problems.amount((), commands, 0, sum(MOST_COMMANDS.values()))
    counted: dict[int, set[object]] = {kind: set() for kind in MOST_COMMANDS}
    for index, command in enumerate(listed):
        kind = command.get("type") or SLASH
        if not problems.kind((index, "type"), kind, frozenset(MOST_COMMANDS)):
            continue
        if command.get("name") in counted[kind]:
            problems.add((index,), "APPLICATION_COMMANDS_DUPLICATE_NAME", "Application command names must be unique")
        counted[kind].add(command.get("name"))
        _check_command(problems, index, kind, command)
    for kind, most in MOST_COMMANDS.items():
        if sum((command.get("type") or SLASH) == kind for command in listed) > most:
            raise too_many_commands(most)
    problems.refuse()
    return listed


def check_choices(data: object) -> list[Json]:
    """Refuse autocomplete choices that the service would refuse; returns them if they are fine."""
    problems = Problems()
    choices = problems.amount(("data", "choices"), data.get("choices") if isinstance(data, dict) else None, 0, 25)
    for index, choice in enumerate(choices):
        _check_choice(problems, ("data", "choices", index), choice)
    problems.refuse()
    return choices


def _check_command(problems: Problems, index: int, kind: int, command: Json) -> None:
    if kind == SLASH:
        _check_named(problems, (index,), command)
        _check_options(problems, (index,), command, depth=0)
    else:
        problems.text((index, "name"), command.get("name"), 1, 32)
        if command.get("description"):
            problems.add(
                (index, "description"), "APPLICATION_COMMAND_DESCRIPTION_FORBIDDEN", "A menu has no description"
            )
    if _characters(command) > MOST_CHARACTERS:
        problems.add((index,), "APPLICATION_COMMAND_TOO_LARGE", f"Command exceeds maximum size ({MOST_CHARACTERS})")


def _check_named(problems: Problems, at: Path, item: Json) -> None:
    name = item.get("name")
    problems.text((*at, "name"), name, 1, 32)
    if isinstance(name, str) and (not _NAME.fullmatch(name) or name != name.lower()):
        problems.add((*at, "name"), "APPLICATION_COMMAND_INVALID_NAME", "Command name is invalid")
    problems.text((*at, "description"), item.get("description"), 1, 100)


def _check_options(problems: Problems, at: Path, item: Json, *, depth: int) -> None:
    options = problems.amount((*at, "options"), item.get("options"), 0, 25)
    names: set[object] = set()
    optional_seen = False
    for index, option in enumerate(options):
        inside: Path = (*at, "options", index)
        kind = option.get("type")
        if not problems.kind((*inside, "type"), kind, _ALLOWED_AT[min(depth, 2)]):
            continue
        _check_named(problems, inside, option)
        if option.get("name") in names:
            problems.add(
                (*inside, "name"), "APPLICATION_COMMAND_OPTIONS_NAME_ALREADY_EXISTS", "Option name already exists"
            )
        names.add(option.get("name"))
        if kind in (SUBCOMMAND, GROUP):
            _check_options(problems, inside, option, depth=depth + (1 if kind == GROUP else 2))
            continue
        if option.get("required") and optional_seen:
            problems.add(
                inside,
                "APPLICATION_COMMAND_OPTIONS_REQUIRED_INVALID",
                "Required options must be placed before optional ones",
            )
        optional_seen = optional_seen or not option.get("required")
        _check_value_option(problems, inside, option)
    kinds = {option.get("type") in (SUBCOMMAND, GROUP) for option in options}
    if len(kinds) > 1:
        problems.add(
            (*at, "options"), "APPLICATION_COMMAND_OPTIONS_TYPE_INVALID", "Sub-commands and values cannot be mixed"
        )


def _check_value_option(problems: Problems, at: Path, option: Json) -> None:
    choices = problems.amount((*at, "choices"), option.get("choices"), 0, 25)
    for index, choice in enumerate(choices):
        _check_choice(problems, (*at, "choices", index), choice)
    if choices and option.get("autocomplete"):
        problems.add(
            (*at, "autocomplete"), "APPLICATION_COMMAND_AUTOCOMPLETE_CHOICES", "Choices and autocomplete exclude"
        )
    problems.number((*at, "min_length"), option.get("min_length"), 0, 6000)
    problems.number((*at, "max_length"), option.get("max_length"), 1, 6000)


def _check_choice(problems: Problems, at: Path, choice: Json) -> None:
    problems.text((*at, "name"), choice.get("name"), 1, 100)
    value = choice.get("value")
    if isinstance(value, str):
        problems.text((*at, "value"), value, 1, 100)
    elif not isinstance(value, int | float) or isinstance(value, bool):
        problems.add((*at, "value"), "BASE_TYPE_REQUIRED", "This field is required")


def _characters(item: Json) -> int:
    """Characters that count: names, descriptions and values, of localised texts the longest."""
    total = 0
    for key in ("name", "description"):
        texts = [item.get(key) or "", *(item.get(f"{key}_localizations") or {}).values()]
        total += max(len(text) for text in texts)
    if isinstance(item.get("value"), str):
        total += len(item["value"])
    for key in ("options", "choices"):
        total += sum(_characters(inner) for inner in item.get(key) or [] if isinstance(inner, dict))
    return total


def find(commands: list[Json], path: tuple[str, ...]) -> tuple[Json, Json] | None:
    """The command with this first name, and the part of it (itself or a sub-command) that `path` names; or None."""
    command = next((c for c in commands if c["name"] == path[0] and (c.get("type") or SLASH) == SLASH), None)
    if command is None:
        return None
    part = command
    for name in path[1:]:
        found = next(
            (o for o in part.get("options") or [] if o["name"] == name and o["type"] in (SUBCOMMAND, GROUP)), None
        )
        if found is None:
            return None
        part = found
    if any(option["type"] in (SUBCOMMAND, GROUP) for option in part.get("options") or []):
        return None
    return command, part
