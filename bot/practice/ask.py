"""One command, one answer: what `mancabook ask` does once the stand-in and the bot are running."""

from collections.abc import Callable
from pathlib import Path

from bot.practice import forms
from bot.practice.board import Board
from bot.practice.guide import Seat
from bot.practice.registered import commands_of
from bot.practice.sending import sendable
from bot.practice.service import Service
from bot.practice.text import edge_colours
from bot.practice.typed import LineError, read_line
from bot.practice.values import NotOffered
from bot.practice.words import Screen, naming


async def ask_once(
    service: Service,
    seat: Seat,
    line: str,
    write: Callable[[str], None],
    *,
    complain: Callable[[str], None],
    refusal_accent: int,
    pictures: Path,
    screen: Screen | None = None,
) -> int:
    """Send one typed command and write what arrived; pictures are saved into the folder. Returns the exit status.

    0: the bot answered. 1: it refused, which is a message whose edge has the colour `refusal_accent`; its own words are
    written all the same. Also 1: the line could not be sent or no answer came; then `complain` is told why.
    """
    shown = naming(screen or Screen(), seat.place)
    try:
        typed = read_line(line, commands_of(service.commands_in(seat.place)))
        outcome = await service.command(seat.place, seat.room, seat.person, typed.command.path, sendable(typed.options))
    except (LineError, NotOffered) as refused:
        complain(str(refused))
        return 1
    if outcome.form is not None:
        asked = [forms.question(field, shown).rsplit("\n", 1)[0] for field in outcome.form.fields]
        write("\n".join([forms.title(outcome.form, shown), *asked]))
        complain("This command opens a form. Nothing was sent; fill it in with `mancabook practice`.")
        return 0
    board = Board(write, pictures)
    for message in outcome.messages:
        board.put(message, shown)
    if not outcome.settled:
        complain("Mancabook did not respond in time.")
        return 1
    return int(any(refusal_accent in edge_colours(message.components) for message in outcome.messages))
