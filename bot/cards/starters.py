"""How starter sets of care are said."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.care_words import comes_round, kind_name
from bot.services.starters import StartersAdded, StarterSet


def offer_card(offer: StarterSet) -> Card:
    """What a bin could start with, and the button that sets it."""
    name = words.bin_name(offer.label.code, offer.label.name)
    if not offer.tasks:
        return Card(lead=f"{name} has all the care I would propose. `/care list` shows it.", private=True)
    tasks = "\n".join(f"· {kind_name(task.kind)} {comes_round(task.cadence)}" for task in offer.tasks)
    kinds = "species in general" if offer.group == "other" else f"*{offer.group.capitalize()}* and its like"
    return Card(
        lead=f"For {name} I propose **{words.plural(len(offer.tasks), 'care task')}**.",
        blocks=(
            tasks,
            f"*{offer.species}*: common practice for {kinds}, no study behind it. Change or end any of them later; your "
            "own eye on the bin goes before any of it.",
        ),
        buttons=(Button("Set these", verbs.CARE_STARTER_ADD, offer.label.code, Weight.MAIN),),
        private=True,
    )


def started_card(added: StartersAdded) -> Card:
    """The reply once they are set."""
    name = words.bin_name(added.label.code, added.label.name)
    kinds = words.listed(kind_name(task.kind) for task in added.tasks)
    return Card(
        lead=f"{name}: **{words.plural(len(added.tasks), 'care task')}** set, first {words.when(added.due_at, 'F')}.",
        blocks=(f"{kinds[:1].upper()}{kinds[1:]}. In your time zone, {words.plain(added.zone)}.",),
        buttons=(Button("Undo", verbs.UNDO, str(added.event)),),
        tone=Tone.GOOD,
        private=True,
    )
