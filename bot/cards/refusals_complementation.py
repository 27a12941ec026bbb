"""How it is said that two traits cannot be compared."""

from bot.cards import words
from bot.cards.leads import lead
from bot.services import refusals_complementation as r


@lead.register
def _(refusal: r.OneTraitTwice) -> str:
    name = words.plain(refusal.trait)
    return f"That is {name} twice. Name two: each line's trait stands in the book by a name of its own, until they are shown to be one."


@lead.register
def _(refusal: r.TwoSpeciesTraits) -> str:
    first, second = words.plain(refusal.first), words.plain(refusal.second)
    return f"{first} and {second} are traits of two species. Only lines of one species can be crossed; `/trait list` shows whose each is."
