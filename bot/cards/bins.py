"""How a bin is shown: what lives in it, where from, how its counts went, and what it needs."""

from bot.cards import counts, verbs, words
from bot.cards.bin_life import backups_of, litter_of, warmth
from bot.cards.bin_state import HIDDEN, accidents, looked, notes, standing
from bot.cards.card import Button, Card, Drawing, Tone, Weight
from bot.cards.care_words import task_said
from bot.cards.find_words import find_line
from bot.cards.refusals_bins import last_disturbed
from bot.cards.sharing import kept_by
from bot.pictures.counts import CountPoint, count_chart
from bot.records import CloseReason, CountRow, DeathRow, Exactness, ParentRole, Privacy, Stage, TransferRow, Units
from bot.services.bin_views import BinView
from bot.services.count_items import Item
from bot.services.founding import Founders
from bot.services.rearing import Mixed

_EARLIER = 4
REASONS = {
    CloseReason.MERGED: "emptied into another bin",
    CloseReason.MOVED_ON: "gone to another keeper",
    CloseReason.EMPTY: "no animals left",
    CloseReason.LINE_ENDED: "its line ended",
    CloseReason.OTHER: "for another reason",
}
"""Why a bin is closed, in words."""


def opened_card(view: BinView) -> Card:
    """The reply to `/bin open`."""
    row = view.row
    return Card(
        lead=f"Bin **{row.code}** is open{f': {words.plain(row.name)}' if row.name else ''}. Write {row.code} on its lid.",
        blocks=(*((standing(view.state),) if not view.state.free else ()), *_blocks(view)),
        buttons=(
            Button("Log count", verbs.COUNT_FORM, row.code, Weight.MAIN),
            Button("Set up care", verbs.CARE_STARTER, row.code),
            Button("Show bin", verbs.BIN_SHOW, row.code),
            *((Button("Quarantine", verbs.BIN_QUARANTINE, row.code),) if _is_new_stock(view) else ()),
            Button("Undo", verbs.UNDO, str(view.event)),
        ),
        tone=Tone.GOOD,
        page=(verbs.BIN_SHOW, row.code),
    )


def bin_card(view: BinView) -> Card:
    """The reply to `/bin show`: how many, how they went, what, whose, from where, what care, what disturbed it, what note."""
    row = view.row
    name = f"**{words.bin_name(row.code, row.name)}**"
    if row.closed_at is not None:
        lead = f"{name} is closed since {words.when(row.closed_at, 'D')}: {_why(view)}."
    elif view.counts:
        lead = (
            f"{name}: **{counts.said(view.counts[0])}** {_how_known(view.counts[0])} {words.when(view.counts[0].at)}."
        )
    else:
        lead = f"{name}: not counted yet."
    state = standing(view.state) if row.closed_at is None else ""
    return Card(
        lead=f"{state} {lead}".lstrip(),
        blocks=_blocks(view),
        buttons=_buttons(view),
        page=(verbs.BIN_SHOW, row.code),
        drawings=chart_of(view) if len(view.counts) > 1 else (),
    )


def _is_new_stock(view: BinView) -> bool:
    """Animals from elsewhere are kept apart at first."""
    return not view.parents and any(founders.row.origin for founders in view.founders)


def _how_known(count: CountRow) -> str:
    return "worked out" if count.exactness is Exactness.WORKED_OUT else "counted"


def _why(view: BinView) -> str:
    closing = view.closing
    if closing is None:
        return REASONS[CloseReason.OTHER]
    if closing.into_code:
        return f"emptied into {closing.into_code}"
    return REASONS[closing.reason]


def _buttons(view: BinView) -> tuple[Button, ...]:
    row = view.row
    history = (
        Button("History", verbs.BIN_HISTORY, f"{row.id}/"),
        *((Button(f"Photos ({view.photos})", verbs.PHOTO_LIST, f"b{row.id}"),) if view.photos else ()),
    )
    if row.closed_at is not None:
        return history
    release = (Button("Release", verbs.BIN_RELEASE, row.code),) if not view.state.free else ()
    looks = (Button("Looked: clean", verbs.BIN_LOOKED, row.code),) if view.state.quarantine is not None else ()
    correct = (
        (Button("Correct last count", verbs.COUNT_CORRECT, str(view.counts[0].id)),)
        if view.counts and view.counts[0].typed is not None
        else ()
    )
    first = (Button("Log count", verbs.COUNT_FORM, row.code, Weight.MAIN), *looks, *release, *correct, *history)
    return (*first, *hurried(row.code))


def hurried(code: str) -> tuple[Button, ...]:
    """What can be noted of a bin with one press; the rest is asked for in the evening."""
    return (
        Button("Seen young", verbs.NOTE_YOUNG, code),
        Button("Dead one", verbs.NOTE_DEAD, code),
        Button("Photo later", verbs.NOTE_PHOTO, code),
    )


def chart_of(view: BinView) -> tuple[Drawing, ...]:
    """The counts of a bin as a chart; none without a count."""
    if not view.counts:
        return ()
    points = [_point(view, count) for count in view.counts]
    return (count_chart(points, words.bin_name(view.row.code, view.row.name), name=f"counts-{view.row.id}.png"),)


def chart_card(view: BinView) -> Card:
    """The reply to `/count chart`: the finding in words, then the picture."""
    row = view.row
    name = words.bin_name(row.code, row.name)
    if not view.counts:
        return Card(
            lead=f"{name} was not counted yet, so there is nothing to draw.",
            buttons=(Button("Log count", verbs.COUNT_FORM, row.code, Weight.MAIN),),
        )
    last, first = view.counts[0], view.counts[-1]
    since = (
        f", {_trend(first, last)} {words.when(first.at, 'D')} ({counts.said(first)})" if len(view.counts) > 1 else ""
    )
    blocks = [
        "Hollow marks were judged or worked out, bars show ranges. Mancae hide well: most counts find too few of them."
    ]
    if classes := view.classes.get(last.id):
        blocks.insert(0, f"Last count: {counts.by_class(classes)}")
    return Card(
        lead=f"**{name}**: **{counts.said(last)}** {_how_known(last)} {words.when(last.at)}{since}.",
        blocks=tuple(blocks),
        buttons=(
            Button("Log count", verbs.COUNT_FORM, row.code, Weight.MAIN),
            Button("Show bin", verbs.BIN_SHOW, row.code),
        ),
        drawings=chart_of(view),
    )


def _trend(first: CountRow, last: CountRow) -> str:
    """How two counts stand to each other, as far as they are known."""
    if Exactness.AT_LEAST in (first.exactness, last.exactness):
        return "beside"
    low, high = (last.total if last.low is None else last.low), (last.total if last.high is None else last.high)
    if low > (first.total if first.high is None else first.high):
        return "more than on"
    if high < (first.total if first.low is None else first.low):
        return "fewer than on"
    return "as many as on" if last.total == first.total else "perhaps as many as on"


def _point(view: BinView, count: CountRow) -> CountPoint:
    classes = view.classes.get(count.id, ())
    # Of a part of the bin the classes are no classes of the whole.
    whole = classes if count.share is None else ()
    return CountPoint(
        count.at.astimezone(view.zone),
        count.total,
        estimate=count.exactness is not Exactness.EXACT,
        low=count.low,
        high=count.high,
        adults=_of(whole, Stage.ADULT),
        juveniles=_of(whole, Stage.JUVENILE),
        mancae=_of(whole, Stage.MANCA),
    )


def _of(classes: tuple[Item, ...], stage: Stage) -> int | None:
    """How many of a stage were counted; None if nobody counted them."""
    numbers = [
        i.figure.total for i in classes if i.figure is not None and i.animals is not None and i.animals.stage is stage
    ]
    return sum(numbers) if numbers else None


def _blocks(view: BinView) -> tuple[str, ...]:
    row = view.row
    facts = [
        f"*{view.species.name}* · kept by {kept_by(row.keeper_name, view.keepers)} · open since {words.when(row.opened_at, 'D')}"
    ]
    if row.shelf:
        facts[0] += f" · on shelf {words.plain(row.shelf)}"
    facts += [_founders(f, view.units) for f in view.founders]
    if view.parents:
        facts.append(f"From {words.listed(_parent(p.code, p.role) for p in view.parents)}")
    facts += backups_of(row.id, view.backups) or _no_backup(view)
    blocks = [*(mixed_line(one) for one in view.mixed[:1]), "\n".join(facts), *_counted(view)]
    blocks += _lives(view)
    blocks += _peace(view)
    if view.deaths:
        blocks.append("Found dead: " + "; ".join(dead(death) for death in view.deaths))
    if view.finds:
        blocks.append(
            "Odd ones found in it: " + words.listed(map(find_line, view.finds)) + ". `/find show` tells more."
        )
    if view.tasks:
        blocks.append("Care: " + words.listed(task_said(t) for t in view.tasks))
    if view.closing is not None and view.closing.note:
        blocks.append(f"Note when it was closed: {words.plain(view.closing.note)}")
    if row.note:
        blocks.append(f"Note: {words.plain(row.note)}")
    if row.privacy is not Privacy.OPEN:
        blocks.append("Its notes are private." if row.privacy is Privacy.NOTES else "Private: only its keepers see it.")
    return tuple(blocks)


def mixed_line(mixed: Mixed) -> str:
    """That the generations of a bin are mixed, since when, and what to do."""
    said = f"**Generations mixed** since {words.when(mixed.since, 'D')} (P-{mixed.pairing}): "
    if mixed.out:
        return f"{said}the breeders came out too late. Broods seen since then are left out of ratios."
    return f"{said}the breeders are not out. Broods seen since then are left out of ratios. Take them out with `/pair out`, and go on with one mother to a bin."


def _no_backup(view: BinView) -> list[str]:
    """A line that would be gone with its bin; of a bin of wild animals there are others."""
    if view.row.closed_at is not None or not any(founders.row.states for founders in view.founders):
        return []
    return ["No backup: if this bin is lost, its line is. `/bin backup` names one."]


def _lives(view: BinView) -> list[str]:
    """The last look of a quarantine, what happened to the bin, how warm it is, and its litter."""
    lines = [looked(view.state), *notes(view.state), accidents(view.state.accidents)]
    if view.reading is not None:
        lines.append(warmth(view.reading, view.species.figures["celsius"], view.units))
    if view.litter is not None:
        lines.append(litter_of(view.litter, view.batch))
    said = [line for line in lines if line]
    return ["\n".join(said)] if said else []


def _counted(view: BinView) -> list[str]:
    """The last count by class, its note, and a few counts before it."""
    if not view.counts:
        return []
    last, *earlier = view.counts
    lines = []
    if classes := view.classes.get(last.id):
        lines.append(f"Last count: {counts.by_class(classes)}")
    if part := counts.share_of(last):
        lines.append(f"Last count: {part}")
    if earlier:
        shown = ", ".join(f"{counts.said(c)} ({words.when(c.at)})" for c in earlier[:_EARLIER])
        more = f" and {len(earlier) - _EARLIER} before" if len(earlier) > _EARLIER else ""
        lines.append(f"Earlier counts: {shown}{more}")
    if last.note:
        lines.append(f"At the last count: {words.plain(last.note)}")
    return ["\n".join(lines)] if lines else []


def _peace(view: BinView) -> list[str]:
    """What last disturbed the bin and how it came by its animals, where anything did."""
    lines = [] if view.rest.last is None else [last_disturbed(view.rest.last)]
    if view.rest.until is not None:
        lines[0] += f" Mancae are in it: leave it until {words.when(view.rest.until, 'D')} if you can."
    moves = [_move(move, view.row.id) for move in view.transfers[-3:]]
    return ["\n".join((*lines, *moves))] if lines or moves else []


def dead(death: DeathRow) -> str:
    """Animals found dead, in a few words."""
    note = f" ({words.plain(death.note, 100)})" if death.note else ""
    return f"{words.number(death.number)} {words.when(death.at)}{note}"


def _move(move: TransferRow, bin_id: int) -> str:
    number = moved_number(move)
    if move.to_bin_id == bin_id:
        return f"{number[:1].upper()}{number[1:]} came from {move.from_code or HIDDEN} {words.when(move.at)}."
    return f"{number[:1].upper()}{number[1:]} went to {move.to_code or HIDDEN} {words.when(move.at)}."


def moved_number(move: TransferRow) -> str:
    """How many animals went, with how that is known."""
    if move.number is None or move.exactness is None:
        return "uncounted animals"
    return counts.numbered(move.number, move.exactness)


def _founders(founders: Founders, units: Units | None) -> str:
    row = founders.row
    parts = [words.plural(row.number, "founder") if row.number is not None else "founders not counted"]
    if row.sex.value != "unknown":
        parts[0] += f" ({row.sex.value})"
    parts.append(words.plain(founders.stated) if founders.stated is not None else "traits not said")
    if row.length_mm is not None:
        parts.append(words.length(row.length_mm, units))
    if row.origin:
        parts.append(f"from {words.plain(row.origin)}")
    return " · ".join(parts)


def _parent(code: str, role: ParentRole) -> str:
    if not code:
        return HIDDEN
    return {
        ParentRole.BOTH: code,
        ParentRole.DAM: f"dams of {code}",
        ParentRole.SIRE: f"sires of {code}",
        ParentRole.PART: f"animals of {code}",
    }[role]
