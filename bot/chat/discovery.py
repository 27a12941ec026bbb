"""What this package can do, found by looking: commands, menu entries, routes and sheets are module attributes of its modules."""

import importlib
import pkgutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType, ModuleType
from typing import Any, TypeVar

from discord import app_commands

import bot.chat
from bot.chat.router import Route
from bot.chat.sheets import Sheet

T = TypeVar("T")
Command = app_commands.Command[Any, ..., Any] | app_commands.Group


class Twice(ValueError):
    """Two modules claim the same name."""


@dataclass(frozen=True, slots=True)
class Abilities:
    """Everything found: top-level commands, entries of a message's menu, routes by verb, sheets by kind."""

    commands: tuple[Command, ...]
    menus: tuple[app_commands.ContextMenu, ...]
    routes: Mapping[str, Route]
    sheets: Mapping[str, Sheet]


def discover() -> Abilities:
    """Import every module of this package and gather what it offers.

    Raises:
        Twice: a command, verb or kind is claimed twice.
    """
    commands: dict[str, Command] = {}
    menus: dict[str, app_commands.ContextMenu] = {}
    routes: dict[str, Route] = {}
    sheets: dict[str, Sheet] = {}
    for module in _modules():
        for value in vars(module).values():
            if isinstance(value, app_commands.Command | app_commands.Group) and value.parent is None:
                _claim(commands, value.name, value)
            elif isinstance(value, app_commands.ContextMenu):
                _claim(menus, value.name, value)
            elif isinstance(value, Route):
                _claim(routes, value.verb, value)
            elif isinstance(value, Sheet):
                _claim(sheets, value.kind, value)
    return Abilities(
        tuple(commands.values()), tuple(menus.values()), MappingProxyType(routes), MappingProxyType(sheets)
    )


def _modules() -> Iterator[ModuleType]:
    for found in sorted(pkgutil.iter_modules(bot.chat.__path__), key=lambda m: m.name):
        yield importlib.import_module(f"{bot.chat.__name__}.{found.name}")


def _claim(where: dict[str, T], name: str, value: T) -> None:
    # A module may import another's route to use it; only a second, different one is a clash.
    if where.setdefault(name, value) is not value:
        raise Twice(name)
