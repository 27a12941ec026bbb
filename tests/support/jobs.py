"""Jobs for worker processes: a job is found by its name, so it stands in a module that both processes can import."""

import os
import signal
import sys
import time
from pathlib import Path


class OwnError(Exception):
    """An error that carries a fact across the border between two processes."""

    def __init__(self, fact: int) -> None:
        super().__init__(fact)
        self.fact = fact


def total(*numbers: int) -> int:
    """The sum."""
    return sum(numbers)


def process_id() -> int:
    """The process that does the job."""
    return os.getpid()


def fail(fact: int) -> None:
    """Raise `OwnError`."""
    raise OwnError(fact)


def say_and_sleep(file: Path, seconds: float) -> str:
    """Write one's process id into `file`, sleep, and answer."""
    unfinished = file.with_suffix(".part")
    unfinished.write_text(str(os.getpid()))
    unfinished.rename(file)
    time.sleep(seconds)
    return "slept"


def busy(file: Path, seconds: float) -> str:
    """The same, counting instead of sleeping and deaf to the signal that asks to end."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    say_and_sleep(file, 0)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        sum(range(10_000))
    return "counted"


def loaded(*names: str) -> list[str]:
    """Which of the modules are loaded in the process that does the job."""
    return [name for name in names if name in sys.modules]


def wait_busily(mine: Path, theirs: Path) -> str:
    """Say by the file `mine` that the job runs, then keep the processor busy until the file `theirs` is there."""
    mine.write_text(str(os.getpid()))
    while not theirs.exists():
        sum(range(10_000))
    return "met"
