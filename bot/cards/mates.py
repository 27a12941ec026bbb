"""How the least related mates of a bin are said, and from which inbreeding on a server warns."""

from fractions import Fraction

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.kinship_words import as_kin, degree, rests_on
from bot.services.mates import Mate, Mates, Warnings, WarningsSet

_MOST = 25
"""The most mates of one reply; the least related come first, and the rest are counted."""


def mates_card(mates: Mates) -> Card:
    """The reply to `/line mates`: the least related mate, the others, the bin within itself, and what the figures rest on."""
    name = words.bin_name(mates.label.code, mates.label.name)
    assumed = frozenset().union(mates.assumed, *(mate.assumed for mate in mates.mates[:_MOST]))
    blocks = [_table(mates), _within(mates), rests_on(assumed, mates.warnings.origin)]
    if mates.mates:
        best = mates.mates[0]
        lead = (
            f"Least related to {name}: **{words.bin_name(best.label.code, best.label.name)}**, {degree(best.kinship)}. "
            f"Expected inbreeding of their young: **{words.fine_percent(best.kinship)}**{_mark(best.kinship, mates.warnings)}."
        )
    else:
        lead = f"There is no other bin of *{mates.species.name}* to find a mate for {name} in."
    return Card(
        lead=lead,
        blocks=tuple(block for block in blocks if block),
        buttons=(
            Button("Family", verbs.LINE_FAMILY, mates.label.code, Weight.MAIN),
            Button("Show bin", verbs.BIN_SHOW, mates.label.code),
        ),
        page=(verbs.LINE_MATES, mates.label.code),
    )


def _table(mates: Mates) -> str:
    lines = [_line(mate, mates.warnings) for mate in mates.mates[:_MOST]] if len(mates.mates) > 1 else []
    if len(mates.mates) > _MOST:
        lines.append(f"and {words.plural(len(mates.mates) - _MOST, 'bin')} more, all closer.")
    if mates.left_out:
        lines.append(f"{words.plural(mates.left_out, 'bin')} left out: animals of the same sex only.")
    return "\n".join(lines)


def _line(mate: Mate, warnings: Warnings) -> str:
    keeper = words.plain(mate.keeper_name)
    whose = f" of {keeper}" if keeper else ""
    figure = f"{words.fine_percent(mate.kinship)}{_mark(mate.kinship, warnings)}"
    return f"· {words.bin_name(mate.label.code, mate.label.name)}{whose}: {degree(mate.kinship)}, young {figure}"


def _within(mates: Mates) -> str:
    own = f"Its own animals are inbred by {words.fine_percent(mates.inbreeding)}."
    if mates.within is None:
        return f"{own} It holds one animal, so there is no mate within it."
    figure = f"{words.fine_percent(mates.within)}{_mark(mates.within, mates.warnings)}"
    return (
        f"{own} Two of them are {degree(mates.within)}: bred within the bin, their young would be inbred by {figure}."
    )


def _mark(inbreeding: Fraction, warnings: Warnings) -> str:
    if inbreeding >= warnings.warning:
        return " (⚠ too close, by this server's warning)"
    return " (close)" if inbreeding >= warnings.note else ""


def warnings_card(found: WarningsSet) -> Card:
    """The reply to `/line warn`: what holds in this server."""
    now = found.warnings
    lead = f"A pairing is called close from **{words.fine_percent(now.note)}** expected inbreeding of the young on, and too close from **{words.fine_percent(now.warning)}** on."
    blocks = (
        f"Two animals of one origin count as {as_kin(now.origin)}.",
        "Full sibs or parent and young give 25 %, half sibs 12.5 %, first cousins 6.2 %. "
        "What a line bears differs: watch for moulting failures and weak young.",
    )
    if found.event is None:
        return Card(lead=lead, blocks=blocks)
    return Card(lead=lead, blocks=blocks, buttons=(Button("Undo", verbs.UNDO, str(found.event)),), tone=Tone.GOOD)
