"""How it is said that a trait is weighed with other priors or figures than the defaults."""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from bot.cards import words
from bot.cards.verdicts import CAUSES
from bot.services.tuning import Span, Tuning, default_priors
from genetics.evidence.explanations import Figure

FIGURES: Final[Mapping[Figure, str]] = MappingProxyType(
    {
        Figure.PENETRANCE: "of those that should show, do",
        Figure.PHENOCOPIES: "of the others, look so all the same",
        Figure.MISREAD: "of the young, scored wrongly",
        Figure.SURVIVAL: "survival of those that show, against the others",
    }
)
"""The figures that can be set, in a keeper's words, after the share."""


def tuned(tuning: Tuning) -> str:
    """What was set, beside the default; empty if nothing was."""
    if tuning.is_default:
        return ""
    usual = default_priors()
    lines = [
        f"· {CAUSES[cause]}: {figure(prior)} (default {figure(usual[cause])})"
        for cause, prior in tuning.shares.items()
        if prior != usual[cause]
    ]
    lines += [f"· {spanned(span)}" for span in tuning.spans]
    return "Set by this society instead of the defaults:\n" + "\n".join(lines)


def spanned(span: Span) -> str:
    """A figure with its range: "60 % to 100 % of those that should show, do"."""
    low, high = words.fine_percent(span.low), words.fine_percent(span.high)
    return f"{low if span.low == span.high else f'{low} to {high}'} {FIGURES[span.figure]}"


def figure(prior: Fraction) -> str:
    """A prior as a percentage."""
    return words.fine_percent(prior)
