"""Why kinship was not told, or its settings not taken."""

from dataclasses import dataclass
from fractions import Fraction

from bot.services.refusals import BinLabel, Refusal
from genetics import KinshipFault


@dataclass(eq=False)
class KinshipNotTold(Refusal):
    """Kinship in a species that cannot be worked out: for its way of making sexes, or for a contradiction in the book.

    `culprits` are the bins among which the contradiction lies, where it is one.
    """

    fault: KinshipFault
    species: str
    culprits: tuple[BinLabel, ...] = ()


@dataclass(eq=False)
class WarningsCrossed(Refusal):
    """A first remark that would come at a higher F than the warning."""

    note: Fraction
    warning: Fraction
