"""A message as it arrived, components and all, as text for a terminal of any width.

What is shown is made from the raw JSON a chat client would receive and from nothing else, so that a transcript proves
what the bot really sent. Buttons get numbers; pressing one is the business of `front`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bot.practice import values
from bot.practice.words import Screen, columns, paragraphs, printable, wrapped

Component = Mapping[str, Any]


_EDGE = "│ "


@dataclass(frozen=True, slots=True)
class Press:
    """Something that can be pressed: its number, what it says, what the bot is told. `chosen` is a list's entry."""

    number: int
    label: str
    custom_id: str
    chosen: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """A message as text, with what can be pressed on it."""

    text: str
    presses: tuple[Press, ...]


def show(
    content: str,
    components: Sequence[Component],
    screen: Screen,
    *,
    first: int = 1,
    speaker: str = "Mancabook",
    private: bool = False,
) -> Shown:
    """A message as text. `first` is the number its first button gets."""
    page = _Page(first)
    heading = f"{speaker}{' (only you see this)' if private else ''}:"
    rows = [*wrapped(printable(heading), screen.width), *paragraphs(content, screen)]
    for component in components:
        rows += page.rows(component, screen)
    return Shown("\n".join(rows), tuple(page.presses))


def edge_colours(components: Sequence[Component]) -> frozenset[int]:
    """The colours of the edges of a message's containers, as 24-bit numbers."""
    colours = (component.get("accent_color") for component in components if component.get("type") == values.CONTAINER)
    return frozenset(colour for colour in colours if isinstance(colour, int))


class _Page:
    """One message being written: counts its buttons as they come."""

    def __init__(self, first: int) -> None:
        self._next = first
        self.presses: list[Press] = []

    def rows(self, component: Component, screen: Screen) -> list[str]:
        """The rows of one component."""
        match component.get("type"):
            case values.CONTAINER:
                return self._container(component, screen)
            case values.SECTION:
                return self._section(component, screen)
            case values.ACTION_ROW:
                return self._row(component, screen)
            case _:
                return self._leaf(component, screen)

    def _leaf(self, component: Component, screen: Screen) -> list[str]:
        match component.get("type"):
            case values.TEXT_DISPLAY:
                return paragraphs(str(component.get("content", "")), screen)
            case values.SEPARATOR:
                return ["─" * min(screen.width, 24)] if component.get("divider", True) else [""]
            case values.GALLERY:
                return [row for item in component.get("items", ()) for row in _picture(item, screen)]
            case values.THUMBNAIL:
                return _picture(component, screen)
            case values.FILE:
                return wrapped(f"[file {_file_name(component.get('file'))}]", screen.width)
            case kind:
                return wrapped(f"[a part of kind {kind} that a terminal cannot show]", screen.width)

    def _container(self, component: Component, screen: Screen) -> list[str]:
        inside = replace(screen, width=max(1, screen.width - len(_EDGE)))
        rows = [row for child in component.get("components", ()) for row in self.rows(child, inside)]
        return [(_EDGE + row).rstrip() for row in rows]

    def _section(self, component: Component, screen: Screen) -> list[str]:
        rows = [row for child in component.get("components", ()) for row in self.rows(child, screen)]
        accessory = component.get("accessory") or {}
        if accessory.get("type") == values.BUTTON:
            return rows + wrapped(self._button(accessory), screen.width)
        return rows + (self.rows(accessory, screen) if accessory else [])

    def _row(self, component: Component, screen: Screen) -> list[str]:
        """The buttons of a row beside each other as far as they fit, a button never broken while it fits a line."""
        rows: list[str] = []
        line = ""
        for child in component.get("components", ()):
            if child.get("type") != values.BUTTON:
                rows += self._select(child, screen)
                continue
            label = self._button(child)
            if line and columns(line) + 2 + columns(label) > screen.width:
                rows += wrapped(line, screen.width)
                line = ""
            line = f"{line}  {label}" if line else label
        return rows + (wrapped(line, screen.width) if line else [])

    def _button(self, button: Component) -> str:
        emoji = (button.get("emoji") or {}).get("name") or ""
        label = printable(" ".join(filter(None, (emoji, button.get("label") or "")))).replace("\n", " ")
        if button.get("url"):
            return f"{label}: {printable(str(button['url']))}"
        if button.get("disabled") or not button.get("custom_id"):
            return f"[–] {label}"
        return f"[{self._number(label, str(button['custom_id']))}] {label}"

    def _select(self, select: Component, screen: Screen) -> list[str]:
        title = printable(str(select.get("placeholder") or "Choose"))
        if select.get("type") in values.SELECTS - {values.STRING_SELECT}:
            return wrapped(f"[–] {title} (a list of the chat's own that a terminal cannot show)", screen.width)
        if select.get("type") != values.STRING_SELECT:
            return self._leaf(select, screen)
        rows = wrapped(f"{title}:", screen.width)
        for option in select.get("options", ()):
            label = printable(str(option.get("label", "")))
            number = self._number(label, str(select.get("custom_id", "")), (str(option.get("value", "")),))
            rows += wrapped(f"- [{number}] {label}", screen.width)
        return rows

    def _number(self, label: str, custom_id: str, chosen: tuple[str, ...] = ()) -> int:
        number = self._next
        self._next += 1
        self.presses.append(Press(number, label, custom_id, chosen))
        return number


def _picture(item: Component, screen: Screen) -> list[str]:
    name = _file_name(item.get("media"))
    words = printable(str(item.get("description") or "no description")).replace("\n", " ")
    return wrapped(f"[picture {name}: {words}]", screen.width)


def _file_name(media: object) -> str:
    address = str(media.get("url", "")) if isinstance(media, Mapping) else ""
    return printable(address.split("?")[0].rstrip("/").rsplit("/", 1)[-1]).replace("\n", " ")
