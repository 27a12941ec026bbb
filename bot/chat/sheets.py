"""Commands whose answers can also be typed into a form, and typed again after a refusal.

A sheet is one thing a person fills in: by a slash command's options, or by a form. Both end in the same service call. When
it is refused, what was typed is kept as a draft, and *Edit* opens the form with it.
"""

from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, replace

from bot.cards import verbs
from bot.cards.card import MOST_FIELDS, Card, Field, Form
from bot.services.desk import Desk
from bot.services.request import Request

TYPED = "typed"
"""Where the values of a sheet keep what a person typed before they chose one of its meanings."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A kind of thing to fill in. `work` takes every value by field key; a value left out is absent or empty.

    `fields` are the questions, one for each option of the command, those that may be misread before those that may not.
    """

    kind: str
    title: str
    fields: tuple[Field, ...]
    work: Callable[[Desk, Request, Mapping[str, str]], Awaitable[Card]]

    def form(self, values: Mapping[str, str], draft: int | None = None) -> Form:
        """The form with these values standing in it; `draft` names the row that holds what the form does not show.

        Of more questions than a form takes, the needed ones stand in it, then those that were answered, then the first.
        """
        ranked = sorted(self.fields, key=lambda f: (not f.required, not values.get(f.key)))[:MOST_FIELDS]
        fields = tuple(replace(f, value=values.get(f.key, f.value)) for f in self.fields if f in ranked)
        return Form(self.title, verbs.FILL, self.kind if draft is None else f"{self.kind}/{draft}", fields)

    def shown(self, values: Mapping[str, str]) -> dict[str, str]:
        """The values that a person typed: the answers to this sheet's questions."""
        keys = {field.key for field in self.fields}
        return {key: value for key, value in values.items() if key in keys}

    def answered(self, values: Mapping[str, str], key: str, value: str) -> dict[str, str]:
        """The values with one of them as a button said; what was typed there first is kept under `TYPED`."""
        return {**values, TYPED: values.get(TYPED) or values.get(key, ""), key: value}


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person had filled in when something went wrong."""

    sheet: Sheet
    values: Mapping[str, str]
