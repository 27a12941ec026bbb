"""A sample of each refusal of a verdict, with what it must say."""

from fractions import Fraction

from bot.services import refusals_evidence as e
from bot.services.programme import Omitted
from bot.services.refusals import Refusal
from genetics.errors import EvidenceFault, EvidenceRefused

SAID: list[tuple[Refusal, str]] = [
    (e.NothingToWeigh("ember"), "Set up a pairing with `/pair setup`"),
    (e.NothingToWeigh("ember", (("P-1.1", Omitted.UNSCORED),)), "P-1.1 (not scored yet). Score one with"),
    (
        e.RecordsContradict("ember", EvidenceRefused(EvidenceFault.TOO_WIDE, "g3"), "12 dams of P-4"),
        "It is about 12 dams of P",
    ),
    (e.PriorsNotRead("recessive much"), "not inherited 50, recessive 20"),
    (e.SpanNotPossible("penetrance", Fraction(1), Fraction(1, 2), Fraction(1, 20), Fraction(1)), "from 5 % to 100 %"),
    (e.NotFollowed("ember"), "`/trait follow`, typed in one"),
    (e.TooLong("ember", 60.0, "12 dams of P-4"), "took over 60 seconds, so I gave it up"),
    *((e.RecordsContradict("ember", EvidenceRefused(fault, "g3")), "cannot be weighed:") for fault in EvidenceFault),
]
