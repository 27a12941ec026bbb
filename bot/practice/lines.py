"""Lines from the terminal, without stopping the event loop.

The bot runs in the same loop as the room, so nobody may block it while a person thinks. A thread of its own reads from
the bare file descriptor: one that waited inside Python's buffered standard input would abort the interpreter's exit.
"""

import asyncio
import os
import threading
from collections.abc import Callable

_PIECE = 65536


class Lines:
    """Lines of a file descriptor, one at a time.

    `show` writes a prompt without ending the line. With `echo` the line is shown behind it, for input that nobody types.
    Not to be used by two tasks at once.
    """

    def __init__(self, descriptor: int, show: Callable[[str], None], *, echo: bool) -> None:
        self._descriptor = descriptor
        self._show = show
        self._echo = echo
        self._queue: asyncio.Queue[str | None] = asyncio.Queue()
        self._started = False

    async def read(self, prompt: str) -> str | None:
        """The next line without its end, or None at the end of input."""
        if not self._started:
            self._started = True
            loop = asyncio.get_running_loop()
            threading.Thread(target=self._pump, args=(loop,), name="lines", daemon=True).start()
        self._show(prompt)
        line = await self._queue.get()
        if line is None:
            # The end stays the end, however often it is asked for.
            self._queue.put_nowait(None)
        elif self._echo:
            self._show(f"{line}\n")
        return line

    def _pump(self, loop: asyncio.AbstractEventLoop) -> None:
        rest = b""
        try:
            while piece := os.read(self._descriptor, _PIECE):
                *whole, rest = (rest + piece).split(b"\n")
                for line in whole:
                    loop.call_soon_threadsafe(self._queue.put_nowait, _text(line))
            if rest:
                loop.call_soon_threadsafe(self._queue.put_nowait, _text(rest))
            loop.call_soon_threadsafe(self._queue.put_nowait, None)
        except OSError:
            # The terminal went away.
            loop.call_soon_threadsafe(self._queue.put_nowait, None)
        except RuntimeError:
            # The loop was closed: nobody reads any more.
            return


def _text(line: bytes) -> str:
    return line.decode("utf-8", "replace").rstrip("\r")
