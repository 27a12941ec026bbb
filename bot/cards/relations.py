"""How traits that belong together are said: linked, alleles of one locus, makers of one look."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone
from bot.cards.models import relation_said
from bot.services.relations import Parted, Tied
from bot.services.trait_models import Linkage, Series


def tied_card(tied: Tied) -> Card:
    """The reply to `/trait link`, `/trait series` and `/trait combine`."""
    relation = tied.relation
    names = [words.plain(trait.name) for trait in relation.traits]
    if isinstance(relation.says, Linkage):
        lead = f"**{words.listed(names)}** are linked from now on."
        more = (
            "Which of them came together from one parent matters then. Gene notation says it: `+ +/a b` has both on "
            "one chromosome, `+ b/a +` one on each. Without it both cases are averaged."
        )
    elif isinstance(relation.says, Series):
        lead = f"**{words.listed(names)}** are alleles of one locus from now on."
        more = "An animal has two of them at most, and shows the one that stands first in this order."
    else:
        lead = f"**{words.listed(names)}** make {words.plain(relation.name)} together from now on."
        more = "A cross that names one of them is answered by these looks."
    return Card(
        lead=lead,
        blocks=(f"{_capital(relation_said(relation))}.", more),
        buttons=(Button("Undo", verbs.UNDO, str(tied.event)),),
        tone=Tone.GOOD,
    )


def parted_card(parted: Parted) -> Card:
    """The reply to `/trait part`."""
    names = words.listed(words.plain(name) for name in parted.traits)
    return Card(
        lead=f"**{names}** are parted: a cross takes each by itself again.",
        buttons=(Button("Undo", verbs.UNDO, str(parted.event)),),
        tone=Tone.GOOD,
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
