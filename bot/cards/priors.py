"""How priors and figures are said, beside the defaults; and the table of explanations, for help."""

from fractions import Fraction

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone
from bot.cards.priors_words import figure, spanned
from bot.cards.verdicts import CAUSES, said_after_undo
from bot.services.priors import Priors
from bot.services.tuning import BOUNDS, default_priors
from bot.services.tuning_text import name_of_cause, name_of_figure
from bot.services.verdicts import Noted
from genetics.evidence.explanations import PREDICTS, Cause, Figure

_DEFAULTS = {
    Figure.PENETRANCE: "anything, mostly over half",
    Figure.PHENOCOPIES: "0.1 % or 1 %",
    Figure.MISREAD: "0.2 % or 2 %",
    Figure.SURVIVAL: "40 % to 110 %, mostly 85 %",
}


def priors_card(priors: Priors, noted: Noted | None = None) -> Card:
    """The reply to `/trait priors`; `noted` is the verdict after they were set."""
    name = words.plain(priors.trait.name, 60)
    usual, shares = default_priors(), priors.tuning.shares
    lines = [_line(cause, shares[cause], usual[cause]) for cause in Cause]
    spans = {span.figure: span for span in priors.tuning.spans}
    rest = [
        f"· {spanned(spans[which])} (default {_DEFAULTS[which]})"
        if which in spans
        else f"· {name_of_figure(which)}: {_DEFAULTS[which]}"
        for which in BOUNDS
    ]
    return Card(
        lead=_lead(name, priors),
        blocks=tuple(
            block
            for block in (
                said_after_undo(priors.trait, noted) if noted is not None else "",
                "\n".join(lines),
                "\n".join(rest),
            )
            if block
        ),
        buttons=_buttons(priors),
        tone=Tone.PLAIN if priors.event is None else Tone.GOOD,
    )


def _lead(name: str, priors: Priors) -> str:
    if priors.event is not None:
        summed = f" Together they came to {figure(priors.came)}, so I brought all to 100 %." if priors.came != 1 else ""
        what = "the defaults again" if priors.tuning.is_default else "these priors and figures from now on"
        return f"**{name}** is weighed with {what}.{summed}"
    if priors.tuning.is_default:
        return f"**{name}** is weighed with the defaults: how likely each explanation is before any brood."
    return f"**{name}** is weighed with priors or figures of your own; the defaults stand in brackets."


def _line(cause: Cause, prior: Fraction, usual: Fraction) -> str:
    own = f" (default {figure(usual)})" if prior != usual else ""
    return f"· {name_of_cause(cause)}: {figure(prior)}{own}"


def _buttons(priors: Priors) -> tuple[Button, ...]:
    trait = str(priors.trait.id)
    return (
        Button("Change", verbs.PRIORS_FORM, trait),
        *((Button("Back to the defaults", verbs.PRIORS_RESET, trait),) if not priors.tuning.is_default else ()),
        Button("What each predicts", verbs.HELP, "explanations"),
        Button("Evidence", verbs.TRAIT_EVIDENCE, trait),
        *((Button("Undo", verbs.UNDO, str(priors.event)),) if priors.event is not None else ()),
    )


TRIED = (
    "How often the words were right, tried on made-up animals in November 2026: of 2,000 programmes drawn from these priors "
    "*established* was wrong in 0 of 76 and *supported* in 2 of 306. In nine worlds that break what is taken for granted "
    "*established* was wrong in 0 of 142. But where warmth or food differed between bins, *supported* was wrong in 16 of 89: "
    "there wait for *established*. A dominant that no animal outlives in two doses was never named beyond *leaning*, and "
    "then nearly always as something else."
)
"""Measured, not computed: to be written anew when the weighing or the word changes."""


def explanations() -> tuple[str, ...]:
    """The table of explanations, a row each: name, prior, and what it predicts; and how often the words were right."""
    usual = default_priors()
    rows = tuple(
        f"**{name_of_cause(cause)}**, {figure(usual[cause])}: it is {CAUSES[cause]}. {_predicts(cause)}"
        for cause in Cause
    )
    return (*rows, TRIED)


def _predicts(cause: Cause) -> str:
    said = PREDICTS[cause]
    return f"{said[:1].upper()}{said[1:]}."
