"""A sample of each refusal about kinship, with what it must say."""

from fractions import Fraction

from bot.services import refusals_kinship as k
from bot.services.refusals import BinLabel, Refusal
from genetics import KinshipFault

B3, B4 = BinLabel("B-3", "ember F1"), BinLabel("B-4")

SAID: list[tuple[Refusal, str]] = [
    (k.KinshipNotTold(KinshipFault.HAPLODIPLOID, "Icerya purchasi"), "makes males from unfertilised eggs"),
    (
        k.KinshipNotTold(KinshipFault.OWN_ANCESTOR, "Porcellio scaber", (B3, B4)),
        "B-3 (ember F1) and B-4 would come from itself. Look at the parents with `/bin show` and correct one.",
    ),
    (k.KinshipNotTold(KinshipFault.OWN_ANCESTOR, "Porcellio scaber"), "a bin would come from itself"),
    (k.KinshipNotTold(KinshipFault.ONE_ANIMAL, "Porcellio scaber", (B4,)), "contradict each other at B-4"),
    (k.KinshipNotTold(KinshipFault.TOO_MANY, "Porcellio scaber"), "The records contradict each other: one animal"),
    (k.WarningsCrossed(Fraction(3, 10), Fraction(1, 4)), "at 30 %, after the warning at 25 %. Type a `note`"),
]
