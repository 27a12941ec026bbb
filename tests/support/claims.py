"""Which published values are checked by which test: found by reading the test files, without running them."""

import ast
import json
import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

PUBLISHED = Path(__file__).parents[1] / "published"
DATA = PUBLISHED / "data"
NOT_YET = PUBLISHED / "not_yet.toml"
_Test = TypeVar("_Test", bound=Callable[..., object])


def claims(*ids: str) -> Callable[[_Test], _Test]:
    """Marks a test as checking *all* numbers of these ids that are checked anywhere. The ids must be plain strings."""
    if not ids:
        raise ValueError("a claim names at least one id")

    def mark(test: _Test) -> _Test:
        return test

    return mark


@dataclass(frozen=True)
class CheckValue:
    """One item of the check values: its numbers, what is expected of them, and how far the source was seen."""

    id: str
    numbers: dict[str, Any]
    expected: dict[str, Any]
    source: str
    verified: bool
    verified_scope: str
    note: str


def check_value(identifier: str) -> CheckValue:
    """The item of this id in check_values.json."""
    for item in _document("check_values.json")["items"]:
        if item["id"] == identifier:
            fields = ("id", "numbers", "expected", "source", "verified", "verified_scope", "note")
            return CheckValue(**{field: item[field] for field in fields})
    raise KeyError(identifier)


def family_value(identifier: str) -> Any:
    """The part of families.json that an id names: a family, the figure of a brood, or a plan."""
    return _family_values()[identifier]


def known_ids() -> set[str]:
    """Every id of both files. Parts of families.json: families.A30, broods.<words>, plan.<words>."""
    items = {item["id"] for item in _document("check_values.json")["items"]}
    return items | set(_family_values())


def claimed_ids() -> dict[str, list[str]]:
    """For every claimed id the tests that claim it, as file::function."""
    found: dict[str, list[str]] = {}
    for path in sorted(PUBLISHED.glob("test_*.py")):
        for test, identifier in _claims_in(path.read_text("utf-8")):
            found.setdefault(identifier, []).append(f"{path.name}::{test}")
    return found


def listed_ids() -> dict[str, str]:
    """The ids that no test claims yet, each with the subject that will claim it."""
    document = tomllib.loads(NOT_YET.read_text("utf-8"))
    return {identifier: subject for subject, ids in document.items() for identifier in ids}


def claims_in(source: str) -> list[tuple[str, str]]:
    """(test, id) for every claim in the source of a test file."""
    return list(_claims_in(source))


def _claims_in(source: str) -> Iterator[tuple[str, str]]:
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        for decorator in node.decorator_list:
            if isinstance(decorator, ast.Call) and ast.unparse(decorator.func).split(".")[-1] == "claims":
                if not node.name.startswith("test_"):
                    raise ValueError(f"{node.name} claims a value and is no test")
                for argument in decorator.args:
                    yield node.name, str(ast.literal_eval(argument))


def _document(name: str) -> Any:
    return json.loads((DATA / name).read_text("utf-8"))


def _family_values() -> dict[str, Any]:
    document = _document("families.json")
    return {
        f"{part}.{_slug(name)}": value
        for part in ("families", "broods", "plan")
        for name, value in document[part].items()
        if name != "about"
    }


def _slug(name: str) -> str:
    return re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-")
