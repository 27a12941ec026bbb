"""The command line: `mancabook practice`, `mancabook ask`, `mancabook serve`."""

# Each subcommand imports what it needs: a practice room has no use for the settings, a server none for the stand-in.

import argparse
import asyncio
import logging
import signal
import sys
from collections.abc import Callable, Coroutine, Sequence
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")

_INTERRUPTED = 130  # what shells give for a program that Ctrl-C ended
_PREFIX = "Value error, "  # what pydantic puts before a sentence of ours


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one subcommand; returns the exit status."""
    asked = _parser().parse_args(arguments)
    run = {"practice": _practice, "ask": _ask, "serve": _serve}[asked.command]
    try:
        return run(asked)
    except KeyboardInterrupt:
        return _INTERRUPTED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="mancabook", description="A shared colony book in a chat server.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    practice = commands.add_parser(
        "practice", help="open the practice room: the real bot on a stand-in for the chat service, without an account"
    )
    _book_options(practice)
    practice.add_argument(
        "--pictures", type=Path, default=Path("pictures"), help="the folder for the bot's pictures (default: pictures)"
    )
    ask = commands.add_parser("ask", help="send one command, print the reply, and leave")
    ask.add_argument("line", help="the command as typed in the chat, like '/odds cross:het ember x het ember'")
    _book_options(ask)
    ask.add_argument(
        "--pictures", type=Path, default=Path(), help="the folder for the bot's pictures (default: this folder)"
    )
    commands.add_parser("serve", help="run the bot on the chat service; reads MANCABOOK_TOKEN and MANCABOOK_DATABASE")
    return parser


def _book_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--book", type=Path, help="an SQLite file to keep the book in (default: the demo book, new each time)"
    )
    parser.add_argument("--server", type=int, help="the server's id, if the book holds several")
    parser.add_argument("--as", dest="person", help="the keeper who speaks (default: the first in the book)")


def _finished(work: Callable[[], Coroutine[Any, Any, T]]) -> T:
    """What `work` comes to, in an event loop of its own.

    Ctrl-C waits while the loop is being made: a loop that is interrupted half made complains when it is thrown away.
    """
    waits = hasattr(signal, "pthread_sigmask")
    if waits:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})

    async def begun() -> T:
        if waits:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
        return await work()

    return asyncio.run(begun())


def _practice(asked: argparse.Namespace) -> int:
    from bot.rehearsal import practise

    logging.basicConfig(level=logging.ERROR)
    return _finished(lambda: practise(asked.book, asked.server, asked.person, asked.pictures))


def _ask(asked: argparse.Namespace) -> int:
    from bot.rehearsal import ask

    logging.basicConfig(level=logging.ERROR)
    return _finished(lambda: ask(asked.line, asked.book, asked.server, asked.person, asked.pictures))


def _serve(_: argparse.Namespace) -> int:
    from pydantic import ValidationError

    from bot.records import BadAddress, NotOpened
    from bot.settings import Settings
    from bot.wiring import NoTokenError, ServiceAwayError, TokenRefusedError, serve, set_up_logging

    try:
        settings = Settings()
        set_up_logging(settings.log_level)
        _finished(lambda: serve(settings))
    except NoTokenError:
        why = "No token. Set MANCABOOK_TOKEN to the bot's token, in the environment or in a file .env."
    except TokenRefusedError:
        why = "The chat service does not know the token in MANCABOOK_TOKEN. Get a new one, and set that."
    except ServiceAwayError as error:
        why = f"The chat service can't be reached: {error}."
    except BadAddress as error:
        why = f"MANCABOOK_DATABASE can't be used: {error}."
    except NotOpened as error:
        why = f"The book can't be opened: {error}."
    except ValidationError as error:
        problems = [f"MANCABOOK_{e['loc'][0]}".upper() + f": {e['msg'].removeprefix(_PREFIX)}" for e in error.errors()]
        why = f"These settings can't be used: {'; '.join(problems)}."
    else:
        return 0
    sys.stderr.write(f"{why}\n")
    return 2


if __name__ == "__main__":
    sys.exit(main())
