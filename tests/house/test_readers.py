"""Whoever opens the book says for whom: a private bin is there for its keepers alone."""

import ast
from pathlib import Path

import bot

ROOT = Path(bot.__file__).parent
OPENERS = [path for folder in ("services", "chat") for path in sorted((ROOT / folder).glob("*.py"))]


def reads(path: Path) -> list[ast.Call]:
    """The calls of `records.read` in a file."""
    calls = [node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call)]
    return [
        call
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr == "read"
        and isinstance(call.func.value, ast.Attribute)
        and call.func.value.attr == "records"
    ]


def test_every_service_reads_for_the_person_who_asks() -> None:
    found = [(path, call) for path in OPENERS for call in reads(path)]
    assert len(found) > 10
    for path, call in found:
        assert [ast.unparse(each) for each in call.args] == ["request.server", "request.actor"], (
            path.name,
            call.lineno,
        )
