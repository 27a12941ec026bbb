"""How refusals of marks and of backups are said, and what can be pressed instead."""

from bot.cards import verbs, words
from bot.cards.card import Button, Weight
from bot.cards.leads import did_you_mean, lead
from bot.services import refusals_marks as r
from bot.services.refusals import BinLabel, Refusal

SURE, LOOKED = "sure", "looked"
"""The keys under which a person says that they mean it, and what they saw."""


def _name(label: BinLabel) -> str:
    return words.bin_name(label.code, label.name)


@lead.register
def _(refusal: r.HeldAlready) -> str:
    return f"{_name(refusal.label)} is on hold for that already, {words.when(refusal.since)}. To lift it, type `/bin release`."


@lead.register
def _(refusal: r.NothingToEnd) -> str:
    return f"{_name(refusal.label)} is neither on hold nor in quarantine, so there is nothing to end."


@lead.register
def _(refusal: r.NotLookedAt) -> str:
    if refusal.look is None:
        said = "Nobody has noted a look at it yet."
    else:
        said = f"The last look, {words.when(refusal.look.at)}, saw something."
    return (
        f"Before the quarantine of {_name(refusal.label)} ends: {said} Look it over for blue or violet animals, mites and "
        "nematodes. Is it clean?"
    )


@lead.register
def _(refusal: r.EndsEarly) -> str:
    return f"The quarantine of {_name(refusal.label)} runs until {words.when(refusal.until, 'D')}. End it now all the same?"


@lead.register
def _(refusal: r.WaitsForSteward) -> str:
    return (
        f"{_name(refusal.label)} is on hold for a suspected disease {words.when(refusal.since)}, so it is not handed on. "
        "Ask a steward: they can lift that with `/bin release`."
    )


@lead.register
def _(refusal: r.OwnBackup) -> str:
    if refusal.label == refusal.other:
        return f"{_name(refusal.label)} can't be its own backup. Name the bin that it stands in for."
    return (
        f"{_name(refusal.other)} is the backup of {_name(refusal.label)} already. Two bins can't each be the other's."
    )


@lead.register
def _(refusal: r.NoBackup) -> str:
    return f"{_name(refusal.label)} is no other bin's backup. Say of which it is one, like of:B-3."


@lead.register
def _(refusal: r.NoSuchBatch) -> str:
    said = f"I know no batch of litter called {words.inline(refusal.text, 60)}."
    near = did_you_mean(words.inline(name, 60) for name in refusal.known)
    return said + (near or " Name one with `/bin litter` when a bin gets some.")


def ways_on(refusal: Refusal, draft: int | None) -> tuple[Button, ...]:
    """What can be pressed, where what was typed was kept."""
    if draft is None:
        return ()
    if isinstance(refusal, r.NotLookedAt):
        return (Button("It is clean", verbs.DRAFT_USE, f"{draft}|{LOOKED}|clean", Weight.MAIN),)
    if isinstance(refusal, r.EndsEarly):
        return (Button("End it now", verbs.DRAFT_USE, f"{draft}|{SURE}|yes", Weight.MAIN),)
    return ()
