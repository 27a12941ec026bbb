"""How a defined trait is said."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone
from bot.services.traits import TraitDefined
from genetics import Dominance


def defined_card(defined: TraitDefined) -> Card:
    """The reply to `/trait define`, with how to use the trait in a question."""
    row = defined.trait
    name = words.plain(row.name)
    return Card(
        lead=f"**{name}** stands in the book as {row.dominance}, with the gene symbol `{row.symbol}`.",
        blocks=(_meaning(name, row.dominance), f"Ask with it: {words.inline(_example(row.name, row.dominance))}"),
        buttons=(Button("Undo", verbs.UNDO, str(defined.event)),),
        tone=Tone.GOOD,
    )


def _meaning(name: str, dominance: Dominance) -> str:
    return {
        Dominance.RECESSIVE: f"An animal shows {name} with two copies; with one it looks wild and carries it.",
        Dominance.DOMINANT: f"An animal shows {name} with one copy or two, and looks the same either way.",
        Dominance.INCOMPLETE: f"An animal shows {name} with one copy, and shows it more strongly with two.",
    }[dominance]


def _example(name: str, dominance: Dominance) -> str:
    return f"/odds cross:het {name} x {'het ' + name if dominance is Dominance.RECESSIVE else 'wild'}"
