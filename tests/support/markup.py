"""What the chat would make of a text: which marks in it are live, and what a reader sees of the escaped ones."""

import re
from collections.abc import Mapping
from typing import Any

_ESCAPED = re.compile(r"\\([^0-9A-Za-z\s])")
_HARMLESS = re.compile(rf"{_ESCAPED.pattern}|```\n.*?\n```|`[^`\n]+`", re.DOTALL)
_LIVE = {
    "everyone": re.compile(r"@(everyone|here)"),
    "mention, channel, emoji, timestamp or command": re.compile(r"<(@|#|:|/|a:|t:|id:)[^>\n]*>"),
    "heading": re.compile(r"^\s*(-# |#{1,3} )", re.MULTILINE),
    "quote": re.compile(r"^\s*>", re.MULTILINE),
    "link": re.compile(r"[a-z]{2,}:/", re.IGNORECASE),
    "named link": re.compile(r"\[[^\]]*\]\("),
    "emoji by name": re.compile(r":\w+:"),
    "emphasis": re.compile(r"\*|__|~~|\|\|"),
    "code": re.compile("`"),
}


def as_read(text: str) -> str:
    """The text with the backslashes gone that made a mark harmless."""
    return _ESCAPED.sub(r"\1", text)


def live_marks(text: str) -> list[str]:
    """The kinds of markup that work in the text; in closed code and behind a backslash none does."""
    rest = _HARMLESS.sub("·", text)
    return [name for name, mark in _LIVE.items() if mark.search(rest)]


def components(parts: list[Any]) -> list[Mapping[str, Any]]:
    """Every component of a message or form as it is sent, the nested ones too."""
    found: list[Mapping[str, Any]] = []
    for part in parts:
        found.append(part)
        inner = part.get("components", []) + [part[key] for key in ("component", "accessory") if key in part]
        found += components(inner)
    return found
