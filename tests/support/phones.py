"""A keeper's phone: what is tapped and typed on it is counted, and every answer is read on its narrow screen."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC

from bot.practice.outcome import Outcome
from bot.practice.registered import commands_of
from bot.practice.sending import sendable
from bot.practice.service import Service
from bot.practice.text import show
from bot.practice.typed import read_line
from bot.practice.values import BUTTON, Json, Message, Person, walk
from bot.practice.words import Screen
from tests.support.chat import BINS, HOLLOW_LOG

COLUMNS = 40
"""The letters of a line on a phone held upright, about."""

PATIENCE = 20.0
"""Seconds after which an answer that was promised is not waited for any more."""


@dataclass(slots=True)
class Phone:
    """One person's phone.

    Attributes:
        taps: buttons pressed, forms submitted and commands sent, each one tap.
        characters: those typed into command lines and forms, where they were not filled in already.
        tallest: the lines of the tallest answer so far, buttons aside.
    """

    service: Service
    person: Person
    taps: int = 0
    characters: int = 0
    tallest: int = 0
    seen: list[str] = field(default_factory=list, repr=False)

    async def type(self, line: str) -> Outcome:
        """Type a command and send it."""
        self.taps += 1
        self.characters += len(line)
        typed = read_line(line, commands_of(self.service.commands_in(HOLLOW_LOG)))
        options = sendable(typed.options)
        return await self._read(await self.service.command(HOLLOW_LOG, BINS, self.person, typed.command.path, options))

    async def press(self, outcome: Outcome, label: str) -> Outcome:
        """Press a button of the latest message of an answer."""
        self.taps += 1
        message = outcome.messages[-1]
        return await self._read(await self.service.press(message, message.button(label).custom_id, self.person))

    async def submit(self, opened: Outcome, values: Mapping[str, str]) -> Outcome:
        """Fill in the form that opened and submit it; what is not named keeps what stood in it."""
        assert opened.form is not None, opened
        self.taps += 1
        self.characters += sum(map(len, values.values()))
        return await self._read(await self.service.submit(opened.form, values, self.person))

    async def _read(self, outcome: Outcome) -> Outcome:
        """The answer, or the form, once it is there: on a busy machine it may only be promised at first."""
        await outcome.until(lambda it: it.form is not None or (it.settled and bool(it.messages)), PATIENCE)
        for message in outcome.messages:
            lines = on_screen(message)
            assert all(len(line) <= COLUMNS for line in lines), lines
            self.tallest = max(self.tallest, len(lines))
            self.seen.append("\n".join(lines))
        return outcome


def on_screen(message: Message) -> list[str]:
    """The words of a message, as they are wrapped on the screen, without its buttons."""
    parts: Sequence[Json] = [part for part in message.components if not _is_a_row(part)]
    return show(message.content, parts, Screen(COLUMNS, zone=UTC)).text.split("\n")[1:]


def _is_a_row(part: Json) -> bool:
    return any(each.get("type") == BUTTON for each in walk([part]))
