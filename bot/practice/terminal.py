"""The terminal this process was started in, as what a front asks for: read a line, write a text, how wide is it."""

import io
import os
import shutil
import sys
from collections.abc import Callable
from datetime import datetime
from typing import TextIO

from bot.practice.lines import Lines
from bot.practice.words import Screen

_NARROWEST = 20


class Terminal:
    """Standard input and output. `now` is the time from which "in 3 days" counts."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._lines: Lines | None = None
        self._bold = sys.stdout.isatty() and "NO_COLOR" not in os.environ

    async def read(self, prompt: str) -> str | None:
        """The next line after a prompt, None at the end of input. Cancelling it loses no line."""
        # A closed standard input is None in Python; nothing can be read from it, which only matters to who reads.
        if sys.stdin is None:
            return None
        if self._lines is None:
            self._lines = Lines(sys.stdin.fileno(), _show, echo=not sys.stdin.isatty())
        return await self._lines.read(prompt)

    def write(self, text: str) -> None:
        """Write a text and end the line."""
        _show(f"{text}\n")

    def complain(self, text: str) -> None:
        """Write a text and end the line, on standard error."""
        _put(sys.stderr, f"{text}\n")

    def screen(self) -> Screen:
        """The screen as wide as it is now; 80 columns if nobody looks."""
        width = max(_NARROWEST, shutil.get_terminal_size().columns)
        return Screen(width=width, ansi=self._bold, now=self._now)


def _show(text: str) -> None:
    _put(sys.stdout, text)


def _put(stream: TextIO, text: str) -> None:
    if isinstance(stream, io.TextIOWrapper) and stream.errors == "strict":
        # Not every terminal knows ×; a question mark in its place beats an end.
        stream.reconfigure(errors="replace")
    stream.write(text)
    stream.flush()
