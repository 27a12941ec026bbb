"""How it is said that a trait is weighed with other priors or figures than the defaults."""

from fractions import Fraction

from bot.cards import words
from bot.cards.verdicts import CAUSES
from bot.services.tuning import Span, Tuning, default_priors
from bot.services.tuning_text import name_of_figure


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
    """A figure with its range: "penetrance: 60 % to 100 %"."""
    low, high = words.fine_percent(span.low), words.fine_percent(span.high)
    return f"{name_of_figure(span.figure)}: {low if span.low == span.high else f'{low} to {high}'}"


def figure(prior: Fraction) -> str:
    """A prior as a percentage."""
    return words.fine_percent(prior)
