"""What the chat service refuses in the components of a message.

Limits after its public documentation, "Component Reference": 40 components in a layout, 5 rows without the layout flag,
a row of 5 buttons or 1 select, custom ids of 1 to 100 characters and each once in a message, labels of 80.
"""

from bot.practice import values as v
from bot.practice.errors import Problems
from bot.practice.values import Json, walk

Path = tuple[str | int, ...]

LEGACY_TOP = frozenset({v.ACTION_ROW})
INSIDE_CONTAINER = frozenset({v.ACTION_ROW, v.SECTION, v.TEXT_DISPLAY, v.GALLERY, v.FILE, v.SEPARATOR})
LAYOUT_TOP = INSIDE_CONTAINER | {v.CONTAINER}
IN_ROW = frozenset({v.BUTTON}) | v.SELECTS
MOST_COMPONENTS = 40
MOST_SHOWN_CHARACTERS = 4000
LINK, PREMIUM = 5, 6


def check_components(problems: Problems, components: object, *, layout: bool) -> None:
    """Note all that is wrong with the components of a message; `layout`: whether it carries the layout flag."""
    parts = problems.amount(("components",), components, 0, MOST_COMPONENTS if layout else 5)
    for index, part in enumerate(parts):
        at: Path = ("components", index)
        if problems.kind((*at, "type"), part.get("type"), LAYOUT_TOP if layout else LEGACY_TOP):
            _check_block(problems, at, part)
    _check_whole(problems, parts)


def check_unique(problems: Problems, parts: list[Json]) -> None:
    """Note custom ids and component ids that occur twice. Used for messages and forms alike."""
    for key, code, message in (
        ("custom_id", "COMPONENT_CUSTOM_ID_DUPLICATED", "Component custom id cannot be duplicated"),
        ("id", "COMPONENT_ID_DUPLICATED", "Component id cannot be duplicated"),
    ):
        seen: set[object] = set()
        for part in walk(parts):
            value = part.get(key)
            if not value:
                continue
            if value in seen:
                problems.add(("components",), code, f"{message}: {value!r}")
            seen.add(value)


def check_select(problems: Problems, at: Path, part: Json) -> None:
    """Note what is wrong with a select menu of any type."""
    problems.text((*at, "custom_id"), part.get("custom_id"), 1, 100)
    problems.text((*at, "placeholder"), part.get("placeholder"), 0, 150)
    problems.number((*at, "min_values"), part.get("min_values"), 0, 25)
    problems.number((*at, "max_values"), part.get("max_values"), 1, 25)
    if part.get("type") == v.STRING_SELECT:
        options = problems.amount((*at, "options"), part.get("options"), 1, 25)
        check_options(problems, (*at, "options"), options)


def check_options(problems: Problems, at: Path, options: list[Json]) -> None:
    """Note what is wrong with the options of a select, a radio group or a checkbox group."""
    seen: set[object] = set()
    for index, option in enumerate(options):
        problems.text((*at, index, "label"), option.get("label"), 1, 100)
        problems.text((*at, index, "value"), option.get("value"), 1, 100)
        problems.text((*at, index, "description"), option.get("description"), 0, 100)
        value = option.get("value")
        if isinstance(value, str) and value in seen:
            problems.add(
                (*at, index, "value"),
                "SELECT_COMPONENT_OPTION_VALUE_DUPLICATED",
                "The specified option value is already used",
            )
        seen.add(value if isinstance(value, str) else index)


def _check_whole(problems: Problems, parts: list[Json]) -> None:
    """The limits that hold over the whole message: how many components, how much text, nothing twice."""
    everything = list(walk(parts))
    if len(everything) > MOST_COMPONENTS:
        problems.add(
            ("components",),
            "COMPONENT_MAX_TOTAL_COMPONENTS_EXCEEDED",
            f"The total number of components cannot exceed {MOST_COMPONENTS} ({len(everything)})",
        )
    shown = sum(len(str(part.get("content"))) for part in everything if part.get("type") == v.TEXT_DISPLAY)
    if shown > MOST_SHOWN_CHARACTERS:
        problems.add(
            ("components",),
            "COMPONENT_DISPLAYABLE_TEXT_SIZE_EXCEEDED",
            f"Components displayable text size exceeds maximum size of {MOST_SHOWN_CHARACTERS}",
        )
    check_unique(problems, parts)


def _check_block(problems: Problems, at: Path, part: Json) -> None:
    """A component that may stand at the top or in a container."""
    kind = part["type"]
    if kind == v.ACTION_ROW:
        _check_row(problems, at, part)
    elif kind == v.SECTION:
        _check_section(problems, at, part)
    elif kind == v.TEXT_DISPLAY:
        problems.text((*at, "content"), part.get("content"), 1, MOST_SHOWN_CHARACTERS)
    elif kind == v.GALLERY:
        for index, item in enumerate(problems.amount((*at, "items"), part.get("items"), 1, 10)):
            _check_media(problems, (*at, "items", index), item, "media")
    elif kind == v.FILE:
        _check_media(problems, at, part, "file")
    elif kind == v.SEPARATOR:
        problems.number((*at, "spacing"), part.get("spacing"), 1, 2)
    else:
        problems.number((*at, "accent_color"), part.get("accent_color"), 0, 0xFFFFFF)
        inner = problems.amount((*at, "components"), part.get("components"), 1, MOST_COMPONENTS)
        for index, child in enumerate(inner):
            inside: Path = (*at, "components", index)
            if problems.kind((*inside, "type"), child.get("type"), INSIDE_CONTAINER):
                _check_block(problems, inside, child)


def _check_row(problems: Problems, at: Path, part: Json) -> None:
    """A row holds one to five buttons, or one select alone."""
    inner = problems.amount((*at, "components"), part.get("components"), 1, 5)
    if len(inner) > 1 and any(child.get("type") in v.SELECTS for child in inner):
        problems.add(
            (*at, "components"), "COMPONENT_LAYOUT_WIDTH_EXCEEDED", "The specified component exceeds the maximum width"
        )
    for index, child in enumerate(inner):
        inside: Path = (*at, "components", index)
        if not problems.kind((*inside, "type"), child.get("type"), IN_ROW):
            continue
        if child["type"] == v.BUTTON:
            _check_button(problems, inside, child)
        else:
            check_select(problems, inside, child)


def _check_button(problems: Problems, at: Path, part: Json) -> None:
    style = part.get("style")
    if not problems.kind((*at, "style"), style, frozenset({1, 2, 3, 4, LINK, PREMIUM})):
        return
    problems.text((*at, "label"), part.get("label"), 0, 80)
    if style == LINK:
        problems.text((*at, "url"), part.get("url"), 1, 512)
        if part.get("custom_id"):
            problems.add(
                (*at, "custom_id"), "BUTTON_COMPONENT_CUSTOM_ID_URL_MUTUALLY_EXCLUSIVE", "A link has no custom id"
            )
    elif style != PREMIUM:
        problems.text((*at, "custom_id"), part.get("custom_id"), 1, 100)
        if part.get("url"):
            problems.add((*at, "url"), "BUTTON_COMPONENT_CUSTOM_ID_URL_MUTUALLY_EXCLUSIVE", "Only a link has a url")
        if not part.get("label") and not part.get("emoji"):
            problems.add(at, "BUTTON_COMPONENT_INVALID_EMOJI_OR_LABEL", "A button must have a label or an emoji")


def _check_section(problems: Problems, at: Path, part: Json) -> None:
    """A section holds one to three texts and one accessory, a button or a thumbnail."""
    inner = problems.amount((*at, "components"), part.get("components"), 1, 3)
    for index, child in enumerate(inner):
        inside: Path = (*at, "components", index)
        if problems.kind((*inside, "type"), child.get("type"), frozenset({v.TEXT_DISPLAY})):
            problems.text((*inside, "content"), child.get("content"), 1, MOST_SHOWN_CHARACTERS)
    accessory = part.get("accessory")
    beside: Path = (*at, "accessory")
    if not isinstance(accessory, dict):
        problems.add(beside, "BASE_TYPE_REQUIRED", "This field is required")
    elif problems.kind((*beside, "type"), accessory.get("type"), frozenset({v.BUTTON, v.THUMBNAIL})):
        if accessory["type"] == v.BUTTON:
            _check_button(problems, beside, accessory)
        else:
            _check_media(problems, beside, accessory, "media")


def _check_media(problems: Problems, at: Path, part: Json, key: str) -> None:
    media = part.get(key)
    problems.text((*at, key, "url"), media.get("url") if isinstance(media, dict) else None, 1, 2048)
    problems.text((*at, "description"), part.get("description"), 0, 1024)
