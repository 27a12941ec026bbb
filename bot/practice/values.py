"""The people, rooms and messages of the stand-in, as frozen values."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

Json = dict[str, Any]

EPHEMERAL = 1 << 6
LOADING = 1 << 7
LAYOUT = 1 << 15

ACTION_ROW, BUTTON, STRING_SELECT, TEXT_INPUT = 1, 2, 3, 4
USER_SELECT, ROLE_SELECT, MENTIONABLE_SELECT, CHANNEL_SELECT = 5, 6, 7, 8
SECTION, TEXT_DISPLAY, THUMBNAIL, GALLERY, FILE, SEPARATOR = 9, 10, 11, 12, 13, 14
CONTAINER, LABEL, FILE_UPLOAD, RADIO_GROUP, CHECKBOX_GROUP, CHECKBOX = 17, 18, 19, 21, 22, 23
SELECTS = frozenset({STRING_SELECT, USER_SELECT, ROLE_SELECT, MENTIONABLE_SELECT, CHANNEL_SELECT})


@dataclass(frozen=True, slots=True)
class Person:
    """Someone in a server. A `manager` has the permission to manage the server (bit 0x20) in what the bot receives."""

    id: int
    name: str
    manager: bool = False


@dataclass(frozen=True, slots=True)
class Room:
    """A text channel, with what the bot may do in it: see it at all, read what was said before, write."""

    id: int
    name: str
    readable: bool = True
    writable: bool = True
    visible: bool = True


@dataclass(frozen=True, slots=True)
class Place:
    """A server: `id` is the guild id, unique over all places, as are the ids of its rooms."""

    id: int
    name: str
    rooms: Sequence[Room]
    people: Sequence[Person]


@dataclass(frozen=True, slots=True)
class Picked:
    """Somebody or a room of the place, by name, as an answer to an option that is picked from a list."""

    name: str


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file: as a person gives it to a command option (`id` and `url` empty then), or as it stands in a message."""

    filename: str
    content: bytes = field(repr=False)
    content_type: str = "application/octet-stream"
    description: str | None = None
    id: int = 0
    url: str = ""


@dataclass(frozen=True, slots=True)
class Pressable:
    """A button as a person sees it. `custom_id` is empty for a link, `url` for all others."""

    label: str
    custom_id: str
    style: int
    disabled: bool
    url: str


@dataclass(frozen=True, slots=True)
class Message:
    """A message as it stands at one moment; an edit makes a new value with the same id.

    `viewer_id` is the one person who can see it (an ephemeral message), or None. `components` is the JSON the bot sent,
    with component ids filled in and `attachment://` addresses resolved. `pinged` are the people who are notified.
    """

    id: int
    channel_id: int
    author_id: int
    content: str
    flags: int
    components: list[Json]
    embeds: list[Json]
    attachments: tuple[Attachment, ...]
    pinged: tuple[int, ...]
    pings_everyone: bool
    allowed_mentions: Json | None
    created: float
    edited: float | None = None
    nonce: str | None = None
    viewer_id: int | None = None
    interaction_id: int | None = None

    @property
    def ephemeral(self) -> bool:
        """Whether only one person sees it."""
        return bool(self.flags & EPHEMERAL)

    @property
    def loading(self) -> bool:
        """Whether it still says that the bot is thinking: a deferred answer that has not come."""
        return bool(self.flags & LOADING)

    @property
    def layout(self) -> bool:
        """Whether the whole message is a component layout."""
        return bool(self.flags & LAYOUT)

    @property
    def text(self) -> str:
        """All text in reading order, a line each: the content, then every text display."""
        shown = [str(part["content"]) for part in walk(self.components) if part.get("type") == TEXT_DISPLAY]
        return "\n".join([self.content, *shown] if self.content else shown)

    @property
    def buttons(self) -> tuple[Pressable, ...]:
        """The buttons in reading order."""
        return tuple(
            Pressable(
                label=part.get("label") or (part.get("emoji") or {}).get("name") or "",
                custom_id=part.get("custom_id") or "",
                style=part["style"],
                disabled=bool(part.get("disabled")),
                url=part.get("url") or "",
            )
            for part in walk(self.components)
            if part.get("type") == BUTTON
        )

    def button(self, label: str) -> Pressable:
        """The first button that reads `label`. Raises LookupError, naming those there are."""
        for button in self.buttons:
            if button.label == label:
                return button
        raise LookupError(f"no button {label!r}; there are {[button.label for button in self.buttons]}")


@dataclass(frozen=True, slots=True)
class Choice:
    """A choice of an autocomplete answer or of a select: what is read, and what is sent."""

    name: str
    value: str | int | float


@dataclass(frozen=True, slots=True)
class FormField:
    """A question of a form. `kind` is the component type; `value` is what stands in it when the form opens.

    `least` and `most` are characters for a text, and numbers of chosen `options` for the others.
    """

    custom_id: str
    label: str
    description: str
    kind: int
    value: str
    required: bool
    least: int
    most: int
    long: bool = False
    placeholder: str = ""
    options: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class FormShown:
    """A form on a person's screen. It stays there, whatever becomes of the bot, until it is submitted or closed.

    `components` is the JSON as sent. `message_id` is the message whose button opened it, if one did.
    """

    custom_id: str
    title: str
    fields: tuple[FormField, ...]
    components: list[Json]
    person_id: int
    place_id: int | None
    channel_id: int
    message_id: int | None
    interaction_id: int


class NotOffered(ValueError):
    """The chat's own screen would not let a person do this: an unknown button, a required field left empty."""


def walk(components: Sequence[Json]) -> Iterator[Json]:
    """Every component, parents before children, a section's texts before its accessory."""
    for part in components:
        yield part
        inner = part.get("components")
        if isinstance(inner, list):
            yield from walk([child for child in inner if isinstance(child, dict)])
        for key in ("accessory", "component"):
            child = part.get(key)
            if isinstance(child, dict):
                yield from walk([child])
