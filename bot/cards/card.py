"""What a reply, a form and a ping are, as data.

A card knows no chat library. The same card becomes a layout in the chat, and text in a terminal by way of what arrived.
"""

import re
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

MOST_FIELDS = 5
"""The most questions of a form."""


class Tone(StrEnum):
    """How a card is meant, for its edge; the words carry the meaning, the tone only repeats it."""

    PLAIN = "plain"
    GOOD = "good"
    REFUSAL = "refusal"


class Weight(StrEnum):
    """How a button stands beside the others."""

    MAIN = "main"
    SIDE = "side"


@dataclass(frozen=True, slots=True)
class Button:
    """A button: what it says, and what a press asks for: a route of the router and an identifier for it.

    `argument` is at most 60 characters: an identifier or a short typed text, never something the bot would believe.
    """

    label: str
    verb: str
    argument: str = ""
    weight: Weight = Weight.SIDE


@dataclass(frozen=True, slots=True)
class Picture:
    """A PNG or a JPEG with its file name and the words that say what it shows.

    Raises:
        ValueError: the name is not one that the chat keeps as it is, or nothing says what the picture shows.
    """

    name: str
    content: bytes
    alternative: str

    def __post_init__(self) -> None:
        # The chat rewrites other characters, and then the layout would name a file that is not there.
        if not re.fullmatch(r"[a-z0-9-]{1,60}\.(?:png|jpg)", self.name):
            raise ValueError(f"not a picture's name: {self.name!r}")
        if not self.alternative.strip():
            raise ValueError(f"{self.name} has no words for those who can't see it")


@dataclass(frozen=True, slots=True)
class Document:
    """A file to download, like a PDF to print: its name and its bytes.

    Raises:
        ValueError: the name is not one that the chat keeps as it is.
    """

    name: str
    content: bytes

    def __post_init__(self) -> None:
        if not re.fullmatch(r"[a-z0-9-]{1,60}\.pdf", self.name):
            raise ValueError(f"not a document's name: {self.name!r}")


class Drawing(Protocol):
    """What a picture will show, as plain frozen values that can be sent to another process and drawn there."""

    @property
    def name(self) -> str:
        """The name of its file: small letters, figures and hyphens, ending in `.png`."""

    @property
    def alternative(self) -> str:
        """What it shows, in words: the finding first."""

    def png(self) -> bytes:
        """The picture. It takes a good part of a second and loads much, so it is for a worker to call."""


@dataclass(frozen=True, slots=True)
class Card:
    """A reply: the answer first, then what it rests on, then what can be pressed.

    `lead` and `blocks` are chat markdown in which text from people is already escaped. `page` names the route and argument
    that show this card again, so that what does not fit on one screen can be turned to; without it long text is cut.
    `drawings` become `pictures` before the card is sent; what can't be drawn is left out, and the card says so.

    Raises:
        ValueError: two drawings or two pictures have one name.
    """

    lead: str
    blocks: tuple[str, ...] = ()
    buttons: tuple[Button, ...] = ()
    tone: Tone = Tone.PLAIN
    private: bool = False
    page: tuple[str, str] | None = None
    pictures: tuple[Picture, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    documents: tuple[Document, ...] = ()

    def __post_init__(self) -> None:
        for named in (self.pictures, self.drawings):
            if len({each.name for each in named}) < len(named):
                raise ValueError(f"a name twice among {[each.name for each in named]}")


@dataclass(frozen=True, slots=True)
class Field:
    """One question of a form. `value` is what stands in it when it opens; `most` is the longest answer in characters.

    With `options`, each as it is shown and as it is answered, one of them is picked instead of typing.
    """

    key: str
    label: str
    description: str = ""
    value: str = ""
    required: bool = True
    most: int = 100
    long: bool = False
    options: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Form:
    """A form: at most `MOST_FIELDS` fields. Its answers go to the route `verb` with `argument`."""

    title: str
    verb: str
    argument: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class Ping:
    """A message the bot sends by itself: plain text, because that is what a lock screen shows, with plain buttons.

    `keepers` are the only people it may mention.
    """

    text: str
    buttons: tuple[Button, ...] = field(default=())
    keepers: tuple[int, ...] = ()
