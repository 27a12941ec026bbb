"""Cards, forms and pings as the chat's own parts. The one place that knows how much the platform takes.

What does not fit a phone screen is split into pages when the card says how it can be shown again, and cut otherwise.
"""

import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import discord
from discord import ui

from bot.cards import verbs
from bot.cards.card import MOST_FIELDS, Button, Card, Document, Field, Form, Picture, Ping, Tone, Weight
from bot.cards.ids import CustomId

REFUSAL_ACCENT = 0xB3541E
GOOD_ACCENT = 0x2E7D6B
PLAIN_ACCENT = 0x8A8172

SCREEN_CHARACTERS = 1_400
"""About one phone screen of a reply, at forty characters a line."""
MOST_CHARACTERS = 3_800
"""The platform shows about 4,000 characters of a layout; the rest is left for headings and buttons."""
PING_CHARACTERS = 2_000
_LABEL, _FORM_TITLE, _FIELD_LABEL, _FIELD_NOTE, _FIELD_VALUE = 80, 45, 45, 100, 4_000
_ROW, _MOST_BUTTONS = 5, 25
_OPTION, _MOST_OPTIONS = 100, 25
MOST_PICTURES = 10
"""The most pictures of a reply."""
_ALTERNATIVE = 1_024

_ACCENTS = {Tone.PLAIN: PLAIN_ACCENT, Tone.GOOD: GOOD_ACCENT, Tone.REFUSAL: REFUSAL_ACCENT}
_STYLES = {
    Weight.MAIN: discord.ButtonStyle.primary,
    Weight.SIDE: discord.ButtonStyle.secondary,
}


@dataclass(frozen=True, slots=True)
class Page:
    """A page of a card that was asked for again: which (from 0), and of what route and argument."""

    number: int
    verb: str
    argument: str

    def custom_id(self) -> CustomId:
        """The id of the button that asks for this page."""
        return CustomId(verbs.PAGE, f"{self.number}|{self.verb}|{self.argument}")

    @classmethod
    def read(cls, argument: str) -> "Page | None":
        """The page that the argument of a `page` button spells, or None."""
        number, _, rest = argument.partition("|")
        verb, bar, inner = rest.partition("|")
        return cls(int(number), verb, inner) if bar and number.isdecimal() and len(number) < 4 else None


def cut(text: str, most: int) -> str:
    """`text`, shortened to `most` characters with an ellipsis where it is longer."""
    return text if len(text) <= most else text[: _before_escape(text, most - 1)].rstrip() + "…"


def _before_escape(text: str, at: int) -> int:
    """`at`, or one less where cutting there would part a backslash from the mark that it makes harmless."""
    head = text[:at]
    return at - (len(head) - len(head.rstrip("\\"))) % 2


def _set(text: str) -> str:
    """The words as they are shown: a figure keeps its per cent sign on its line."""
    return text.replace(" %", "\u00a0%")


def pages(card: Card) -> tuple[str, ...]:
    """The card's words, a phone screen a page, split between blocks where that is possible. At least one page."""
    if card.page is None:
        return (cut("\n\n".join((card.lead, *card.blocks)), MOST_CHARACTERS),)
    done: list[str] = []
    current = ""
    for piece in _pieces((card.lead, *card.blocks)):
        joined = f"{current}\n\n{piece}" if current else piece
        if current and len(joined) > SCREEN_CHARACTERS:
            done.append(current)
            current = piece
        else:
            current = joined
    return (*done, current)


def _pieces(blocks: Iterable[str]) -> Iterator[str]:
    for block in blocks:
        rest = block
        while len(rest) > SCREEN_CHARACTERS:
            at = max(rest.rfind("\n", 0, SCREEN_CHARACTERS), rest.rfind(" ", 0, SCREEN_CHARACTERS))
            # A block without a space in a whole screen is cut where the screen ends.
            at = at if at > SCREEN_CHARACTERS // 2 else _before_escape(rest, SCREEN_CHARACTERS)
            yield rest[:at].rstrip()
            rest = rest[at:].lstrip()
        yield rest


def layout(card: Card, page: int = 0) -> ui.LayoutView:
    """The card as a layout, already stopped: the router answers its buttons, nothing waits for them in memory."""
    every = pages(card)
    page = min(page, len(every) - 1)
    words: ui.Container[ui.LayoutView] = ui.Container(
        ui.TextDisplay(_set(every[page])), accent_colour=_ACCENTS[card.tone]
    )
    shown = _shown(card, page)
    if shown:
        words.add_item(
            ui.MediaGallery(
                *(
                    discord.MediaGalleryItem(f"attachment://{p.name}", description=cut(p.alternative, _ALTERNATIVE))
                    for p in shown
                )
            )
        )
    for document in _enclosed(card, page):
        words.add_item(ui.File(f"attachment://{document.name}"))
    view = ui.LayoutView(timeout=None)
    view.add_item(words)
    buttons = [_button(b) for b in card.buttons[: _MOST_BUTTONS - 2]]
    if card.page is not None and len(every) > 1:
        buttons += _turners(card.page, page, len(every))
    for start in range(0, len(buttons), _ROW):
        view.add_item(ui.ActionRow(*buttons[start : start + _ROW]))
    view.stop()
    return view


def _turners(where: tuple[str, str], page: int, count: int) -> list[ui.Button[ui.LayoutView]]:
    turns = [(page - 1, f"Back ({page} of {count})")] * (page > 0)
    turns += [(page + 1, f"More ({page + 2} of {count})")] * (page + 1 < count)
    return [ui.Button(label=label, custom_id=str(Page(number, *where).custom_id())) for number, label in turns]


def _button(button: Button) -> "ui.Button[ui.LayoutView]":
    return ui.Button(
        label=cut(button.label, _LABEL),
        style=_STYLES[button.weight],
        custom_id=str(CustomId(button.verb, button.argument)),
    )


def ping_view(buttons: Sequence[Button]) -> ui.View:
    """The buttons of a ping as plain rows, already stopped."""
    view = ui.View(timeout=None)
    for place, button in enumerate(buttons[:_MOST_BUTTONS]):
        item: ui.Button[ui.View] = ui.Button(
            label=cut(button.label, _LABEL),
            style=_STYLES[button.weight],
            custom_id=str(CustomId(button.verb, button.argument)),
            row=place // _ROW,
        )
        view.add_item(item)
    view.stop()
    return view


def ping_text(ping: Ping) -> str:
    """The words of a ping, cut to what a message takes."""
    return cut(_set(ping.text), PING_CHARACTERS)


def mentions(ping: Ping) -> discord.AllowedMentions:
    """Only the keepers whom the ping is for can be mentioned by it."""
    return discord.AllowedMentions(
        everyone=False, roles=False, replied_user=False, users=[discord.Object(keeper) for keeper in ping.keepers]
    )


def modal(form: Form) -> ui.Modal:
    """The form as a modal, already stopped: its answers come to the router by its custom id.

    Raises:
        ValueError: it has no field, or more than five.
    """
    if not 1 <= len(form.fields) <= MOST_FIELDS:
        raise ValueError(f"a form of {len(form.fields)} fields")
    made = ui.Modal(title=cut(form.title, _FORM_TITLE), timeout=None, custom_id=str(CustomId(form.verb, form.argument)))
    for field in form.fields:
        made.add_item(
            ui.Label(
                text=cut(field.label, _FIELD_LABEL),
                description=cut(field.description, _FIELD_NOTE) or None,
                component=_choice(field) if field.options else _entry(field),
            )
        )
    made.stop()
    return made


def _entry(field: Field) -> "ui.TextInput[ui.Modal]":
    return ui.TextInput(
        custom_id=field.key,
        style=discord.TextStyle.paragraph if field.long else discord.TextStyle.short,
        default=cut(field.value, min(field.most, _FIELD_VALUE)) or None,
        required=field.required,
        max_length=min(field.most, _FIELD_VALUE),
    )


def _choice(field: Field) -> "ui.Select[ui.Modal]":
    return ui.Select(
        custom_id=field.key,
        required=field.required,
        min_values=1 if field.required else 0,
        options=[
            discord.SelectOption(label=cut(shown, _OPTION), value=value, default=value == field.value)
            for shown, value in field.options[:_MOST_OPTIONS]
        ],
    )


def files(card: Card, page: int = 0) -> list[discord.File]:
    """The pictures and documents of a page as uploads, under the names by which its layout shows them. Each can be sent once."""
    pictures = [
        discord.File(io.BytesIO(p.content), filename=p.name, description=cut(p.alternative, _ALTERNATIVE))
        for p in _shown(card, page)
    ]
    return [*pictures, *(discord.File(io.BytesIO(d.content), filename=d.name) for d in _enclosed(card, page))]


def _shown(card: Card, page: int) -> tuple[Picture, ...]:
    return card.pictures[:MOST_PICTURES] if page == 0 else ()


def _enclosed(card: Card, page: int) -> tuple[Document, ...]:
    return card.documents if page == 0 else ()
