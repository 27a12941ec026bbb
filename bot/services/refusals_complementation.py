"""Why two traits cannot be compared."""

from dataclasses import dataclass

from bot.services.refusals import Refusal


@dataclass(eq=False)
class OneTraitTwice(Refusal):
    """The same trait was named twice."""

    trait: str


@dataclass(eq=False)
class TwoSpeciesTraits(Refusal):
    """The traits belong to two species, so that they cannot be crossed."""

    first: str
    second: str
