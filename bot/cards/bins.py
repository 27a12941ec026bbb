"""How a bin is shown."""

from bot.cards import counts, verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.care import kind_name, weekly
from bot.cards.sharing import kept_by
from bot.records import ParentRole, Privacy
from bot.services.bins import BinView, Founders


def opened_card(view: BinView) -> Card:
    """The reply to `/bin open`."""
    row = view.row
    return Card(
        lead=f"Bin **{row.code}** is open{f': {words.plain(row.name)}' if row.name else ''}. Write {row.code} on its lid.",
        blocks=_blocks(view),
        buttons=(
            Button("Log count", verbs.COUNT_FORM, row.code, Weight.MAIN),
            Button("Show bin", verbs.BIN_SHOW, row.code),
            Button("Undo", verbs.UNDO, str(view.event)),
        ),
        tone=Tone.GOOD,
        page=(verbs.BIN_SHOW, row.code),
    )


def bin_card(view: BinView) -> Card:
    """The reply to `/bin show`: how many, what, whose, from where, what care, what note."""
    row = view.row
    latest = (
        f"**{counts.said(view.counts[0])}** counted {words.when(view.counts[0].at)}"
        if view.counts
        else "not counted yet"
    )
    return Card(
        lead=f"**{words.bin_name(row.code, row.name)}**: {latest}.",
        blocks=_blocks(view),
        buttons=(Button("Log count", verbs.COUNT_FORM, row.code, Weight.MAIN),),
        page=(verbs.BIN_SHOW, row.code),
    )


def _blocks(view: BinView) -> tuple[str, ...]:
    row = view.row
    facts = [
        f"*{view.species.name}* · kept by {kept_by(row.keeper_name, view.co_keepers)} · open since {words.when(row.opened_at, 'D')}",
        *(_founders(f) for f in view.founders),
    ]
    if view.parents:
        facts.append(f"From {words.listed(_parent(p.code, p.role) for p in view.parents)}")
    blocks = ["\n".join(facts)]
    if len(view.counts) > 1:
        earlier = ", ".join(f"{counts.said(c)} ({words.when(c.at)})" for c in view.counts[1:])
        blocks.append(f"Earlier counts: {earlier}")
    if view.counts and view.counts[0].note:
        blocks.append(f"At the last count: {words.plain(view.counts[0].note)}")
    if view.tasks:
        blocks.append("Care: " + words.listed(f"{kind_name(t.kind)} {weekly(t)}" for t in view.tasks))
    if row.note:
        blocks.append(f"Note: {words.plain(row.note)}")
    if row.privacy is not Privacy.OPEN:
        blocks.append("Its notes are private." if row.privacy is Privacy.NOTES else "Private: only its keepers see it.")
    return tuple(blocks)


def _founders(founders: Founders) -> str:
    row = founders.row
    parts = [words.plural(row.number, "founder") if row.number is not None else "founders not counted"]
    parts.append(words.plain(founders.stated) if founders.stated is not None else "traits not said")
    if row.length_mm is not None:
        parts.append(words.length(row.length_mm))
    if row.origin:
        parts.append(f"from {words.plain(row.origin)}")
    return " · ".join(parts)


def _parent(code: str, role: ParentRole) -> str:
    if not code:
        return "a bin that is kept private"
    return {ParentRole.BOTH: f"{code}", ParentRole.DAM: f"dams of {code}", ParentRole.SIRE: f"sires of {code}"}[role]
