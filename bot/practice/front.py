"""The terminal front of the practice room: type what a person would type in the chat, read what the bot sent.

Everything goes through the stand-in service, so the bot cannot tell this from the chat. Reading and writing are handed
in; nothing here knows a terminal, but for the Ctrl-C that ends a room.
"""

import asyncio
import re
import signal
import threading
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Final

from bot.practice import forms, guide
from bot.practice.board import Board
from bot.practice.guide import Seat
from bot.practice.outcome import Outcome
from bot.practice.registered import Command, commands_of, menus_of
from bot.practice.sending import read_file, sendable
from bot.practice.service import Service
from bot.practice.typed import LineError, read_line, read_unfinished
from bot.practice.values import FormShown, Message, NotOffered
from bot.practice.words import Screen, naming, printable, wrapped

_LOOK: Final = 0.2  # seconds between two looks for pings while a person thinks
_FARTHEST: Final = timedelta(days=3653)

Read = Callable[[str], Awaitable[str | None]]
"""Shows a prompt and gives the next line, None at the end of input. It may be cancelled, and then must lose no line."""


class Front:
    """A person at a terminal in a practice room.

    `write` takes a text that may have several lines and ends it. `move` moves the bot's clock and returns when the bot
    has had the chance to act on it. `pictures` is the folder for what the bot attaches. `screen` is asked before each
    text, so that a resized terminal is noticed. After `patience` seconds a promised answer is waited for no longer; it is
    shown when it comes.
    """

    def __init__(
        self,
        service: Service,
        seat: Seat,
        *,
        read: Read,
        write: Callable[[str], None],
        move: Callable[[timedelta], Awaitable[None]],
        pictures: Path,
        screen: Callable[[], Screen] = Screen,
        patience: float = 10.0,
    ) -> None:
        self._service = service
        self._seat = seat
        self._read = read
        self._write = write
        self._move = move
        self._screen: Callable[[], Screen] = lambda: naming(screen(), seat.place)
        self._board = Board(write, pictures)
        self._owed: list[Outcome] = []
        self._ahead = timedelta()
        self._patience = patience

    async def run(self) -> int:
        """Take lines until the input ends or Ctrl-C is pressed. Returns the exit status, 0."""
        self._say(guide.welcome(self._seat))
        work = asyncio.ensure_future(self._take_all())
        loop = asyncio.get_running_loop()
        try:
            with _on_interrupt(lambda: loop.call_soon_threadsafe(work.cancel)):
                await asyncio.wait({work})
        finally:
            work.cancel()
        self._write("")
        if not work.cancelled():
            work.result()
        return 0

    async def _take_all(self) -> None:
        try:
            while True:
                seat = self._seat
                await self._take(await self._next(f"{seat.person.name} in #{seat.room.name}> "), seat)
        except EOFError:
            self._arrivals()

    async def _next(self, prompt: str) -> str:
        """The next line. Pings that come meanwhile are written, and the prompt again after them."""
        while True:
            self._arrivals()
            reading = asyncio.ensure_future(self._read(prompt))
            try:
                while not (await asyncio.wait({reading}, timeout=_LOOK))[0]:
                    if self._waiting():
                        self._write("")
                        break
                else:
                    line = reading.result()
                    if line is None:
                        raise EOFError
                    return line
            finally:
                reading.cancel()

    async def _take(self, line: str, seat: Seat) -> None:
        """Do what a line asks for. `seat` is who types it."""
        try:
            text = line.strip()
            while text.startswith("@"):
                person, text = guide.person_named(text[1:], seat.place)
                seat = replace(seat, person=person)
                if not text:
                    self._seat = replace(self._seat, person=person)
            await self._act(text, seat)
        except (LineError, NotOffered) as refused:
            self._say(str(refused))

    async def _act(self, text: str, seat: Seat) -> None:
        match text[:1]:
            case "":
                return
            case "/":
                await self._command(text, seat)
            case "?":
                await self._help(text, seat)
            case "#":
                self._seat = replace(self._seat, room=guide.room_named(text[1:], seat.place))
            case "+":
                await self._let_pass(guide.length_of_time(text))
            case ">":
                await self._speak(text[1:], seat)
            case "!":
                await self._menu(text[1:], seat)
            case _:
                await self._press(text, seat)

    async def _command(self, text: str, seat: Seat) -> None:
        typed = read_line(text, self._commands())
        outcome = await self._service.command(
            seat.place,
            seat.room,
            seat.person,
            typed.command.path,
            sendable(typed.options),
            timeout=self._patience,
        )
        await self._follow(outcome, seat)

    async def _press(self, text: str, seat: Seat) -> None:
        number = re.fullmatch(r"\[?([0-9]{1,6})\]?", text)
        if number is None:
            raise LineError(
                "Commands begin with /, and a button is pressed by its number. Type ? for what can be typed."
            )
        pressed = self._board.pressed(int(number[1]))
        if pressed is None:
            raise LineError(f"There is no button {number[1]}. The numbers stand before the buttons, as in [1].")
        viewer = pressed.message.viewer_id
        if viewer not in (None, seat.person.id):
            name = next((person.name for person in seat.place.people if person.id == viewer), "someone else")
            raise LineError(f"Only {name} sees that message. Type: @{name} {number[1]}")
        outcome = await self._service.press(
            pressed.message, pressed.press.custom_id, seat.person, values=pressed.press.chosen, timeout=self._patience
        )
        await self._follow(outcome, seat)

    async def _speak(self, text: str, seat: Seat) -> None:
        """Say something in the room as people do, perhaps with a file."""
        said, file = guide.said(text)
        files = () if file is None else (read_file(file),)
        await self._service.say(seat.room, seat.person, said, files)
        self._say(f"Said in #{seat.room.name}. ! opens the menu of what was said last.")

    async def _menu(self, text: str, seat: Seat) -> None:
        """Choose an entry of the menu of what a person said last in the room."""
        entry = guide.menu_entry(text, menus_of(self._service.commands_in(seat.place)))
        ours = self._service.application_id
        people = [each for each in self._service.messages(seat.room, seat.person) if each.author_id != ours]
        if not people:
            raise LineError("Nobody has said anything here. Say something first: > look file:odd.jpg")
        await self._follow(await self._service.menu(people[-1], entry, seat.person, timeout=self._patience), seat)

    async def _help(self, text: str, seat: Seat) -> None:
        commands = self._commands()
        if not text.startswith("??"):
            self._say(guide.help_on(text[1:], commands))
            return
        unfinished = read_unfinished(text[2:], commands)
        try:
            choices = await self._service.complete(
                seat.place,
                seat.room,
                seat.person,
                unfinished.command.path,
                sendable(unfinished.options),
                unfinished.focused,
            )
        except TimeoutError as late:
            raise LineError("No choices came in time. Type the command as a whole.") from late
        self._say(guide.offered(unfinished.focused, choices))

    async def _let_pass(self, by: timedelta) -> None:
        if self._ahead + by > _FARTHEST:
            raise LineError("The room's clock goes ten years ahead at most.")
        self._ahead += by
        await self._move(by)
        self._say(guide.time_now(self._screen()))

    async def _follow(self, outcome: Outcome, seat: Seat) -> None:
        """Write what a person got; go through a form if that is what came."""
        if outcome.form is not None:
            await self._fill(outcome.form, seat)
            return
        self._put(outcome)
        if outcome.failed:
            self._say("Mancabook did not respond in time. Nothing came; try again.")
        elif not outcome.settled:
            self._say("Mancabook is still at work on that. Its answer will be shown when it comes.")
            self._owed.append(outcome)
        elif not outcome.messages:
            self._say("Mancabook took note of it without a word.")

    def _put(self, outcome: Outcome) -> None:
        for place, message in enumerate(outcome.messages):
            changed = outcome.updated and place == 0
            self._board.put(message, self._screen(), "has changed the message" if changed else "")

    async def _fill(self, form: FormShown, seat: Seat) -> None:
        """Ask the fields of a form one by one, and send it."""
        self._say(f"{forms.title(form, self._screen())}\n{forms.HOW_TO_ANSWER}")
        sent: dict[str, str] = {}
        for field in form.fields:
            while field.custom_id not in sent:
                typed = await self._read(forms.question(field, self._screen()))
                if typed is None:
                    raise EOFError
                if typed.strip() == ".":
                    self._say("You left the form; nothing was sent.")
                    return
                try:
                    sent[field.custom_id] = forms.answer(field, typed)
                except forms.AnswerError as refused:
                    self._say(str(refused))
        outcome = await self._service.submit(form, sent, seat.person, timeout=self._patience)
        await self._follow(outcome, seat)

    def _commands(self) -> tuple[Command, ...]:
        return commands_of(self._service.commands_in(self._seat.place))

    def _unasked(self) -> list[tuple[Message, str]]:
        """What the bot has said by itself and was not shown yet, oldest first, with where it stands."""
        place = self._seat.place
        heard = [(self._service.messages(room), f"in #{room.name}", room.id) for room in place.rooms]
        heard += [(self._service.direct_messages(person), f"to {person.name} alone", 0) for person in place.people]
        found = [
            (message, "" if room == self._seat.room.id else where)
            for messages, where, room in heard
            for message in messages
            if message.author_id == self._service.application_id and message.interaction_id is None
        ]
        return sorted((each for each in found if not self._board.shown(each[0])), key=lambda each: each[0].id)

    def _waiting(self) -> bool:
        return bool(self._unasked()) or any(outcome.settled for outcome in self._owed)

    def _arrivals(self) -> None:
        """Write what came by itself, and the answers that were still owed."""
        for outcome in [each for each in self._owed if each.settled]:
            self._owed.remove(outcome)
            self._put(outcome)
        for message, where in self._unasked():
            self._board.put(message, self._screen(), where)

    def _say(self, text: str) -> None:
        width = self._screen().width
        self._write("\n".join(row for line in printable(text).split("\n") for row in wrapped(line, width)))


@contextmanager
def _on_interrupt(act: Callable[[], object]) -> Iterator[None]:
    """While the block runs, Ctrl-C does this instead of raising; only the main thread can have that."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, lambda _signal, _frame: act())
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
