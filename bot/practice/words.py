"""Chat markdown as words for a terminal: marks taken off, times said, lines wrapped. Pure text in, pure text out."""

import math
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, tzinfo

from bot.practice.values import Place

BOLD, PLAIN = "\x1b[1m", "\x1b[0m"

_CODE_BLOCK = re.compile(r"```(?:[\w+-]*\n)?(.*?)```", re.DOTALL)
_ANSI = re.compile(r"\x1b\[[0-9;]*m")
_UNIT = re.compile(r"\x1b\[[0-9;]*m|.", re.DOTALL)
_INDENT = re.compile(r"\s*(?:(?:[-*·•]|\d{1,3}\.|>)\s+)*")
# Direction overrides and isolates could make one line of a terminal read as another.
_TURNS_TEXT = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")

_INLINE = re.compile(
    r"""
      \\(?P<escaped>[^\w\s]|_)
    | (?P<code>`{1,2})(?P<coded>.+?)(?P=code)
    | <t:(?P<seconds>-?\d{1,17})(?::(?P<style>[tTdDfFR]))?>
    | <@[!]?(?P<person>\d{1,20})>
    | <\#(?P<room>\d{1,20})>
    | <@&(?P<role>\d{1,20})>
    | </(?P<command>[^:>\n]{1,100}):\d{1,20}>
    | <a?:(?P<emoji>\w{1,32}):\d{1,20}>
    | <(?P<address>https?://[^\s<>]+)>
    | \[(?P<label>[^\[\]\n]+)\]\((?P<target>https?://[^\s()]+)\)
    | (?P<mark>\*\*|__|~~|\|\|)
    | (?P<star>(?<![\w*])\*(?=[^\s*])|(?<=[^\s*])\*(?![\w*]))
    | (?P<under>(?<![\w_])_(?=[^\s_])|(?<=[^\s_])_(?![\w_]))
    """,
    re.VERBOSE,
)


def _machine_now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Screen:
    """Where text is shown: the width of the terminal, whether it can do bold, the names known there, and the time.

    `width` is in columns. `zone` is the time zone of who reads, the machine's own if None. `people` and `rooms` map ids
    to names. `now` gives the time from which "in 3 days" counts.
    """

    width: int = 80
    ansi: bool = False
    zone: tzinfo | None = None
    people: Mapping[int, str] = field(default_factory=dict)
    rooms: Mapping[int, str] = field(default_factory=dict)
    now: Callable[[], datetime] = _machine_now


def naming(screen: Screen, place: Place) -> Screen:
    """The screen, with the names of the people and rooms of a place."""
    return replace(
        screen,
        people={person.id: person.name for person in place.people},
        rooms={room.id: room.name for room in place.rooms},
    )


def paragraphs(markdown: str, screen: Screen) -> list[str]:
    """The lines a terminal shows for a piece of chat markdown, none wider than the screen."""
    clean = printable(markdown)
    lines: list[str] = []
    place = 0
    for block in _CODE_BLOCK.finditer(clean):
        lines += _prose(clean[place : block.start()].strip("\n"), screen)
        for row in block[1].strip("\n").split("\n"):
            lines += chopped(row.rstrip(), screen.width)
        place = block.end()
    return lines + _prose(clean[place:].strip("\n"), screen)


def printable(text: str) -> str:
    """The text without what would steer a terminal: control characters and marks that turn the reading direction."""
    kept = text.replace("\r\n", "\n").replace("\t", "    ")
    return "".join(each for each in kept if each == "\n" or _harmless(each))


def _harmless(character: str) -> bool:
    return unicodedata.category(character) not in {"Cc", "Cs"} and character not in _TURNS_TEXT


def inline(markdown: str, screen: Screen) -> str:
    """One line of markdown with its marks taken off, or turned into bold, and its times and mentions in words."""
    bold = False

    def said(found: re.Match[str]) -> str:
        nonlocal bold
        if found["mark"] == "**" and screen.ansi:
            bold = not bold
            return BOLD if bold else PLAIN
        return _said(found, screen)

    text = _INLINE.sub(said, markdown)
    return text + PLAIN if bold else text


def _said(found: re.Match[str], screen: Screen) -> str:
    """What stands in the place of one mark; most marks say nothing by themselves."""
    say = _SAID.get(found.lastgroup or "")
    return say(found, screen) if say else ""


def _time(found: re.Match[str], screen: Screen) -> str:
    return moment(int(found["seconds"]), found["style"] or "f", screen) or found[0]


_SAID: Mapping[str, Callable[[re.Match[str], Screen], str]] = {
    "escaped": lambda found, _: found["escaped"],
    "coded": lambda found, _: f"`{found['coded'].strip()}`",
    "seconds": _time,
    "style": _time,
    "person": lambda found, screen: "@" + screen.people.get(int(found["person"]), "someone"),
    "room": lambda found, screen: "#" + screen.rooms.get(int(found["room"]), "a room"),
    "role": lambda _found, _: "@a role",
    "command": lambda found, _: f"/{found['command']}",
    "emoji": lambda found, _: f":{found['emoji']}:",
    "address": lambda found, _: found["address"],
    "target": lambda found, _: f"{found['label']} ({found['target']})",
}


def moment(seconds: int, style: str, screen: Screen) -> str | None:
    """A chat timestamp in words, or None if it lies outside the calendar."""
    try:
        at = datetime.fromtimestamp(seconds, UTC).astimezone(screen.zone)
    except (OverflowError, ValueError, OSError):
        return None
    if style == "R":
        return relative(seconds - int(screen.now().timestamp()))
    return _STYLES.get(style, _STYLES["f"]).format(at=at, day=f"{at.day} {at:%B %Y}")


_STYLES = {
    "t": "{at:%H:%M}",
    "T": "{at:%H:%M:%S}",
    "d": "{at:%d/%m/%Y}",
    "D": "{day}",
    "f": "{day} {at:%H:%M}",
    "F": "{at:%A}, {day} {at:%H:%M}",
}


def relative(seconds: int) -> str:
    """A distance in time as people say it: "in 3 days", "2 hours ago", "just now"."""
    size = abs(seconds)
    if size < 5:
        return "in a moment" if seconds > 0 else "just now"
    name, length = next((name, length) for name, length, upto in _UNITS if round(size / length) < upto)
    count = round(size / length)
    said = f"{count} {name}{'' if count == 1 else 's'}"
    return f"in {said}" if seconds > 0 else f"{said} ago"


_UNITS = (
    ("second", 1, 60),
    ("minute", 60, 60),
    ("hour", 3600, 24),
    ("day", 86400, 30),
    ("month", 2629800, 12),
    ("year", 31557600, math.inf),
)


def _prose(text: str, screen: Screen) -> list[str]:
    lines: list[str] = []
    for row in text.split("\n") if text else []:
        heading = re.match(r"#{1,3}\s+", row)
        small = re.match(r"-#\s+", row)
        body = row[heading.end() :] if heading else row[small.end() :] if small else row
        if heading and "**" not in body:
            body = f"**{body}**"
        lines += wrapped(inline(body.rstrip(), screen), screen.width)
    return lines


def columns(text: str) -> int:
    """How many columns the text takes in a terminal; wide letters take two, combining marks and bold none."""
    return sum(_columns(each) for each in _ANSI.sub("", text))


def _columns(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in {"Mn", "Me", "Cf"}:
        return 0
    return 2 if unicodedata.east_asian_width(character) in {"W", "F"} else 1


def wrapped(line: str, width: int) -> list[str]:
    """The line broken at spaces to fit the width. Further lines of a list entry stand under its first word."""
    found = _INDENT.match(line)
    lead = found[0] if found else ""
    if columns(lead) > width // 2:
        lead = ""
    rows, row, empty = [], lead, True
    below = " " * columns(lead)
    for word in line[len(lead) :].split(" "):
        for piece in chopped(word, max(1, width - len(below))):
            if not empty and columns(row) + 1 + columns(piece) > width:
                rows.append(row.rstrip())
                row, empty = below, True
            row, empty = (row + piece if empty else f"{row} {piece}"), False
    return [*rows, row.rstrip()]


def chopped(text: str, width: int) -> list[str]:
    """The text cut, wherever that falls, into rows that fit the width; at least one row."""
    return list(_chopped(text, width))


def _chopped(text: str, width: int) -> Iterator[str]:
    row, taken = "", 0
    for unit in _UNIT.findall(text):
        size = 0 if unit.startswith("\x1b") else _columns(unit)
        if taken and taken + size > width:
            yield row
            row, taken = "", 0
        row, taken = row + unit, taken + size
    yield row
