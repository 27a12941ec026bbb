"""The terminal itself, in a process of its own: end of input, Ctrl-C, and what is shown of lines nobody typed."""

import asyncio
import signal
import sys
from asyncio.subprocess import DEVNULL, PIPE, Process
from pathlib import Path

ROOM = """
import asyncio, sys
from datetime import UTC, datetime
from pathlib import Path
from bot.practice.front import Front
from bot.practice.guide import Seat
from bot.practice.service import Person, Place, Room, Service
from bot.practice.terminal import Terminal

async def main() -> int:
    room, person = Room(2, "bins"), Person(3, "Mara")
    place = Place(1, "the Hollow Log Society", (room,), (person,))
    service = Service([place])
    await service.start()
    terminal = Terminal(lambda: datetime(2026, 3, 2, tzinfo=UTC))
    front = Front(
        service, Seat(place, room, person),
        read=terminal.read, write=terminal.write, move=lambda by: asyncio.sleep(0), pictures=Path("pictures"),
        screen=terminal.screen,
    )
    status = await front.run()
    await service.stop()
    return status

sys.exit(asyncio.run(main()))
"""
ROOT = Path(__file__).parents[2]
PROMPT = b"Mara in #bins> "


async def start(stdin: int, **more: str) -> Process:
    command = (sys.executable, "-W", "error", "-c", ROOM)
    return await asyncio.create_subprocess_exec(
        *command,
        stdin=stdin,
        stdout=PIPE,
        stderr=PIPE,
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT), "COLUMNS": "60", **more},
    )


async def test_no_input_at_all_ends_well() -> None:
    room = await start(DEVNULL)
    shown, complaints = await room.communicate()
    assert (room.returncode, complaints) == (0, b"")
    assert shown.endswith(PROMPT + b"\n")


async def test_a_closed_input_ends_well_too() -> None:
    command = 'exec "$0" -W error -c "$1" <&-'
    room = await asyncio.create_subprocess_exec(
        "sh", "-c", command, sys.executable, ROOM, stdout=PIPE, stderr=PIPE, cwd=ROOT, env={"PYTHONPATH": str(ROOT)}
    )
    _, complaints = await room.communicate()
    assert (room.returncode, complaints) == (0, b"")


async def test_lines_of_a_pipe_are_shown_with_their_answers() -> None:
    room = await start(PIPE)
    shown, complaints = await room.communicate("7\r\n/gr\xfc\xdfe\n+2h".encode() + b"\xff\n@mara")
    assert (room.returncode, complaints) == (0, b"")
    text = shown.decode()
    assert "Mara in #bins> 7\nThere is no button 7." in text
    assert "Mara in #bins> /grüße\nThere is no command /grüße." in text
    assert "Mara in #bins> +2h\ufffd\nLet time pass with" in text
    assert "Mara in #bins> @mara\n" in text


async def test_an_old_terminal_gets_question_marks_and_no_traceback() -> None:
    room = await start(PIPE, PYTHONIOENCODING="ascii")
    shown, complaints = await room.communicate("/odds a × b\n".encode())
    assert (room.returncode, complaints) == (0, b"")
    assert b"/odds a ? b\n" in shown


async def test_interrupting_ends_well() -> None:
    room = await start(PIPE)
    assert room.stdout
    assert room.stderr
    await asyncio.wait_for(room.stdout.readuntil(PROMPT), 20)
    room.send_signal(signal.SIGINT)
    assert await asyncio.wait_for(room.wait(), 20) == 0
    assert await room.stderr.read() == b""
    assert room.stdin
    room.stdin.close()
