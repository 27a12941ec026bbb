"""Custom ids of buttons and forms: `m1:<verb>:<argument>`, made here and read here, nowhere else.

The chat service gives a custom id 100 characters and hands it back with a press. It carries identifiers only: whatever it
says is checked again against the book.
"""

import re
from dataclasses import dataclass

PREFIX = "m1"
LONGEST_ARGUMENT = 60
_VERB = re.compile(r"[a-z]+(?:\.[a-z]+)*")
_LONGEST_VERB = 30


@dataclass(frozen=True, slots=True)
class CustomId:
    """A verb of the router with its argument.

    Raises:
        ValueError: the verb is not dotted lower-case words of at most 30 characters, or the argument is over 60.
    """

    verb: str
    argument: str = ""

    def __post_init__(self) -> None:
        if not _VERB.fullmatch(self.verb) or len(self.verb) > _LONGEST_VERB:
            raise ValueError(f"not a verb: {self.verb!r}")
        if len(self.argument) > LONGEST_ARGUMENT:
            raise ValueError(
                f"an argument of {len(self.argument)} characters, over {LONGEST_ARGUMENT}: {self.argument!r}"
            )

    def __str__(self) -> str:
        return f"{PREFIX}:{self.verb}:{self.argument}"


def read(text: str) -> CustomId | None:
    """The custom id that `text` spells, or None if it is none of ours."""
    parts = text.split(":", 2)
    if len(parts) != 3 or parts[0] != PREFIX:
        return None
    try:
        return CustomId(parts[1], parts[2])
    except ValueError:
        return None
