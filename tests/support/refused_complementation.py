"""A sample of each refusal to compare two traits, with what it must say."""

from bot.services import refusals_complementation as c
from bot.services.refusals import Refusal

SAID: list[tuple[Refusal, str]] = [
    (c.OneTraitTwice("ember"), "That is ember twice. Name two"),
    (c.TwoSpeciesTraits("ember", "frost"), "Only lines of one species can be crossed"),
]
