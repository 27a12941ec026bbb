"""What a person is told when the bot itself failed, or is about to stop."""

from collections.abc import Mapping
from dataclasses import replace

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone


def broken(reference: str, typed: Mapping[str, str], draft: int | None) -> Card:
    """Something failed that should not; what was typed is kept and shown."""
    blocks = [
        "Look whether it is in the book already, then try again in a minute. "
        f"If it happens again, tell whoever runs the bot this number: **{reference}**."
    ]
    return Card(
        lead="Something went wrong on my side.",
        blocks=(*blocks, *typed_block(typed)),
        buttons=edit_button(draft),
        tone=Tone.REFUSAL,
        private=True,
    )


def outdated() -> Card:
    """The command was sent in a form that the bot does not know (any more)."""
    return Card(
        lead="That command has changed. Type it again; if it still fails, restart your chat app.",
        tone=Tone.REFUSAL,
        private=True,
    )


def overdue(deadline: float, typed: Mapping[str, str], draft: int | None) -> Card:
    """Working it out, or drawing it, took longer than it may."""
    return Card(
        lead=f"That takes me too long: I stopped after {words.plural(round(deadline), 'second')}.",
        blocks=("Ask for less at once: fewer traits, animals or bins. Nothing was changed.", *typed_block(typed)),
        buttons=edit_button(draft),
        tone=Tone.REFUSAL,
        private=True,
    )


def not_worked_out(typed: Mapping[str, str], draft: int | None) -> Card:
    """Nobody could work it out just now: too many others wait, or the process that did was lost."""
    return Card(
        lead="I have too much to work out just now. Try again in a minute.",
        blocks=("Nothing was changed.", *typed_block(typed)),
        buttons=edit_button(draft),
        tone=Tone.REFUSAL,
        private=True,
    )


def without_pictures(card: Card) -> Card:
    """The card without its pictures, saying that they are missing."""
    return replace(
        card, drawings=(), blocks=(*card.blocks, "I could not draw the picture this time. Ask again in a minute.")
    )


def too_slow_for_a_form() -> Card:
    """The form was ready too late to be opened."""
    return Card(
        lead="I was too slow to open the form. Press or type it again.",
        tone=Tone.REFUSAL,
        private=True,
    )


def restarting() -> Card:
    """The bot takes nothing new while it is stopping."""
    return Card(lead="I am restarting. Try again in a minute.", tone=Tone.REFUSAL, private=True)


def typed_block(typed: Mapping[str, str]) -> tuple[str, ...]:
    """What a person typed, so that it is not lost."""
    lines = "\n".join(f"{key}: {value}" for key, value in typed.items() if value)
    return ("You typed:\n" + words.quoted(lines),) if lines else ()


def edit_button(draft: int | None) -> tuple[Button, ...]:
    """The button that opens the form with what was typed, if it was kept."""
    return () if draft is None else (Button("Edit", verbs.DRAFT_EDIT, str(draft)),)
