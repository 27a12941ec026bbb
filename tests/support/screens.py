"""What the platform takes of a reply, a form and a ping; each figure from its documentation of messages and components."""

from typing import Any

from bot.cards.card import Card, Form
from bot.cards.render import layout, modal, pages
from tests.support.markup import components


def assert_card_fits(card: Card) -> None:
    """Every page of the card is a layout that the platform takes."""
    for number in range(len(pages(card))):
        sent = layout(card, number).to_components()
        parts = components(sent)
        assert len(parts) <= 40
        shown = [part["content"] for part in parts if "content" in part]
        assert shown
        assert all(shown)
        assert sum(map(len, shown)) <= 4000
        assert_buttons_fit(sent)


def assert_buttons_fit(sent: list[Any]) -> None:
    """Rows of one to five buttons, each with a short enough label and an id of its own."""
    found = components(sent)
    rows = [part["components"] for part in found if part["type"] == 1]
    assert all(1 <= len(row) <= 5 for row in rows)
    buttons = [part for part in found if part["type"] == 2]
    assert all(len(button["label"]) <= 80 for button in buttons)
    ids = [button["custom_id"] for button in buttons]
    assert all(1 <= len(one) <= 100 for one in ids)
    assert len(set(ids)) == len(ids)


def assert_form_fits(form: Form) -> None:
    """The form as a modal that the platform takes."""
    made = modal(form).to_dict()
    assert 1 <= len(made["title"]) <= 45
    assert 1 <= len(made["custom_id"]) <= 100
    assert 1 <= len(made["components"]) <= 5
    for label in made["components"]:
        assert 1 <= len(label["label"]) <= 45
        assert len(label.get("description") or "") <= 100
        entry = label["component"]
        assert 1 <= len(entry["custom_id"]) <= 100
        assert 1 <= entry["max_length"] <= 4000
        assert 0 <= entry.get("min_length", 0) <= entry["max_length"]
        assert len(entry.get("value") or "") <= entry["max_length"]
        assert len(entry.get("placeholder") or "") <= 100
