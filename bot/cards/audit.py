"""How the changes of a server are said, newest first."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card
from bot.cards.changes import done
from bot.services.audit import Audit, Change
from bot.services.refusals import BinLabel


def audit_card(audit: Audit) -> Card:
    """The reply to `/records audit`: who, what, when, a line each, and how to see the older ones."""
    of = _of(audit)
    if not audit.changes:
        return Card(lead=f"Nothing is recorded{of} yet.", private=True)
    older = audit.older
    return Card(
        lead=f"What was done{of}, the newest first:",
        blocks=("\n".join(_line(change) for change in audit.changes), "To take one back: `/records undo`."),
        buttons=(Button("Older", verbs.AUDIT, argument(audit, older)),) if older is not None else (),
        private=True,
    )


def argument(audit: Audit, before: int) -> str:
    """What the button to the changes before a number carries: that number, the bin and the keeper."""
    return f"{before}/{audit.bin_id or ''}/{audit.keeper_id or ''}"


def choice(change: Change) -> str:
    """A change as one of several to choose from, where no markup is read: "#41 logged a count of B-3"."""
    return f"#{change.seq} {_deed(change)} {words.listed(b.code for b in change.bins)}".rstrip()


def _line(change: Change) -> str:
    who = words.plain(change.keeper_name) or "a former keeper"
    line = f"#{change.seq} {words.when(change.at)} · {who} {_said(change)}"
    return f"~~{line}~~ (undone)" if change.undone else line


def _said(change: Change) -> str:
    if change.undid is not None:
        return f"{done('undo')} #{change.undid}{_named(change.bins, ' of ')}"
    return f"{_deed(change)}{_named(change.bins, ' ')}"


def _deed(change: Change) -> str:
    """What was done, up to the bins; without bins its "of" or "in" would wait for a word that never comes."""
    said = done(change.kind)
    return said if change.bins else said.removesuffix(" of").removesuffix(" in").removesuffix(" for")


def _named(bins: tuple[BinLabel, ...], before: str) -> str:
    return before + words.listed(words.bin_name(b.code, b.name) for b in bins) if bins else ""


def _of(audit: Audit) -> str:
    of = f" to {words.bin_name(audit.label.code, audit.label.name)}" if audit.label else ""
    return of + (f" by {words.plain(audit.keeper_name) or 'that keeper'}" if audit.keeper_name is not None else "")
