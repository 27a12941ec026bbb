"""How a pairing is said: who was put together, what happened since, and by when what must be done."""

from collections.abc import Sequence

from bot.cards import verbs, words
from bot.cards.bin_state import HIDDEN, accidents
from bot.cards.bins import hurried, mixed_line
from bot.cards.broods import brood_line, names_of
from bot.cards.card import Button, Card, Tone, Weight
from bot.records import BreederRole, CareKind, DamHistory
from bot.services.pairings import PairingLine, PairingView, Placed, pairing_code
from bot.services.rearing import REFERENCE_C, pace

_HISTORY = {
    DamHistory.UNMATED: "unmated before",
    DamHistory.HAD_MALES: "had males before",
    DamHistory.UNKNOWN: "not known whether unmated",
}
_ONE_PAGE = 12


def set_up_card(view: PairingView) -> Card:
    """The reply to `/pair setup`."""
    about = f" It is to tell about {words.plain(view.trait.name)}." if view.trait is not None else ""
    return Card(
        lead=f"**{view.code}** is set up in {_place(view)}.{about} Nothing of its result is known yet, and that is as it should be.",
        blocks=(_sides(view), *_caution(view)),
        buttons=(*_steps(view), *_histories(view), *_undo(view)),
        tone=Tone.GOOD,
    )


def history_card(view: PairingView) -> Card:
    """The reply once it was said what the dams were before."""
    said = next((_HISTORY[p.history] for p in view.placed if p.history is not None), "")
    return Card(
        lead=f"**{view.code}**: the dams are noted as {said}.",
        blocks=_caution(view),
        buttons=_undo(view),
        tone=Tone.GOOD,
    )


def pairing_card(view: PairingView) -> Card:
    """The reply to `/pair show`."""
    broods = [brood_line(seen.brood, seen.latest, names_of(view.traits)) for seen in view.broods]
    return Card(
        lead=f"**{view.code}** in {_place(view)}: {_state(view)}.",
        blocks=(
            *_dates(view),
            _sides(view),
            *((accidents(view.accidents),) if view.accidents else ()),
            *(("Broods:\n" + "\n".join(broods),) if broods else ()),
            *((f"Note: {words.plain(view.row.note)}",) if view.row.note else ()),
        ),
        buttons=(*_steps(view), *_hurried(view)),
        page=(verbs.PAIR_SHOW, view.code),
    )


def gravid_card(view: PairingView) -> Card:
    """The reply once a filled pouch was seen: when young are to be looked for."""
    pouch, celsius = view.species.pouch_days, REFERENCE_C if view.reading is None else view.reading.celsius
    low, usual, high = (round(days * pace(celsius)) for days in pouch)
    how = "" if view.reading is None else f", as last read {words.when(view.reading.at)}"
    return Card(
        lead=(
            f"**{view.code}**: a filled pouch is noted. Look for young in about **{usual} days** "
            f"({low} to {high} at {words.temperature(celsius, view.units)}{how})."
        ),
        blocks=(
            "Take the sire out now if it matters who the father is: a female may mate again while she broods. "
            "Leave the bin alone otherwise.",
        ),
        buttons=(*_steps(view), *_undo(view)),
        tone=Tone.GOOD,
    )


def young_card(view: PairingView) -> Card:
    """The reply once young were seen: the two days that must not pass unnoticed."""
    row = view.row
    if row.parents_out_by is None:
        raise ValueError(f"{view.code} has young and no date for its breeders")
    out = words.when(row.parents_out_by, "D")
    if view.mixed is not None:
        lead = f"**{view.code}** has young, seen {words.when(row.young_at or row.set_up_at, 'D')}."
        apart = mixed_line(view.mixed)
    elif row.separate_by is None:
        lead = f"**{view.code}** has young. Take the breeders out by **{out}**."
        apart = "There are no males to part from the females."
    else:
        by, past = words.when(row.separate_by, "D"), all(one.kind is not CareKind.SEPARATE for one in view.asks)
        lead = f"**{view.code}** has young. Part them by sex by **{by}**."
        if past:
            lead = f"**{view.code}** has young. They were to be parted by sex by **{by}**, so some may have mated: part them now."
        apart = f"The breeders are to be out by {out}; after that two generations are mixed in the bin."
    if view.mixed is None:
        apart += " Before you take any out: any half-white or soft animals? If so wait five days."
    return Card(
        lead=lead,
        blocks=(
            apart + _pings(view),
            "Do not score them before they are 6 to 8 weeks old, and once more when half grown. The days come from the "
            "species card, on the early side, and rest on little: part them sooner if they grow fast.",
        ),
        buttons=(Button("Log brood", verbs.BROOD_FORM, view.code, Weight.MAIN), *_steps(view)[1:], *_undo(view)),
        tone=Tone.GOOD,
    )


def _pings(view: PairingView) -> str:
    days = [row for row in view.asks if row.kind is not CareKind.YOUNG_SEEN]
    said = {0: "", 1: " I ping you on that day."}.get(len(days), " I ping you on both days.")
    return said + (" In the evening I ask how many they are." if len(days) < len(view.asks) else "")


def out_card(view: PairingView) -> Card:
    """The reply once the breeders were taken out."""
    return Card(
        lead=f"**{view.code}**: the breeders are out since {words.when(view.row.out_at or view.row.set_up_at, 'D')}. What is in the bin now is their young.",
        buttons=(Button("Log brood", verbs.BROOD_FORM, view.code, Weight.MAIN), *_undo(view)),
        tone=Tone.GOOD,
    )


def ended_card(view: PairingView) -> Card:
    """The reply once a pairing is over."""
    said = f" Because: {words.plain(view.row.reason)}." if view.row.reason else ""
    return Card(
        lead=f"**{view.code}** is ended.{said} What it has shown stays in the book; to end one is no failure.",
        buttons=_undo(view),
        tone=Tone.GOOD,
    )


def list_card(lines: Sequence[PairingLine], page: int) -> Card:
    """The reply to `/pair list`."""
    if not lines:
        return Card(lead="No pairing runs here. `/pair setup` sets one up, before its result is known.")
    page = min(page, (len(lines) - 1) // _ONE_PAGE)
    shown = lines[page * _ONE_PAGE : (page + 1) * _ONE_PAGE]
    return Card(
        lead=f"**{words.plural(len(lines), 'pairing')}**, the newest first.",
        blocks=("\n".join(_line(line) for line in shown),),
        buttons=(
            *((Button("Earlier", verbs.PAIR_LIST, str(page + 1)),) if len(lines) > (page + 1) * _ONE_PAGE else ()),
            *((Button("Later", verbs.PAIR_LIST, str(page - 1)),) if page else ()),
        ),
    )


def _line(line: PairingLine) -> str:
    row = line.row
    about = f" · {words.plain(line.trait.name)}" if line.trait is not None else ""
    state = "ended" if row.ended_at else "young" if row.young_at else "pouch filled" if row.gravid_at else "set up"
    return f"· {pairing_code(row.number)} in {words.bin_name(row.bin_code, row.bin_name)}{about} · {state} · {words.plural(line.broods, 'brood')}"


def _place(view: PairingView) -> str:
    return words.bin_name(view.row.bin_code, view.row.bin_name)


def _state(view: PairingView) -> str:
    row = view.row
    if row.ended_at is not None:
        why = f" ({words.plain(row.reason)})" if row.reason else ""
        return f"ended {words.when(row.ended_at)}{why}"
    if row.out_at is not None:
        return f"breeders out {words.when(row.out_at)}"
    if row.young_at is not None:
        return f"young seen {words.when(row.young_at)}"
    if row.gravid_at is not None:
        return f"a filled pouch seen {words.when(row.gravid_at)}"
    young = "young logged" if view.broods else "no young yet"
    return f"set up {words.when(row.set_up_at)}, {young}"


def _sides(view: PairingView) -> str:
    dams = [_placed(p) for p in view.placed if p.role is BreederRole.DAM]
    sires = [_placed(p) for p in view.placed if p.role is BreederRole.SIRE]
    about = f"\nAbout: {words.plain(view.trait.name)}" if view.trait is not None else ""
    sired = f"\nSires: {'; '.join(sires)}" if sires else ""
    return f"*{view.species.name}*\nDams: {'; '.join(dams)}{sired}{about}"


def _placed(placed: Placed) -> str:
    one = placed.breeders
    parts = [words.number(one.number)]
    if one.name:
        parts.append(f"called {words.plain(one.name)}")
    if placed.stated is not None:
        parts.append(words.plain(placed.stated))
    if one.from_code is not None:
        parts.append(f"from {one.from_code or HIDDEN}")
    if placed.history is not None:
        parts.append(f"({_HISTORY[placed.history]})")
    return " ".join(parts)


def _caution(view: PairingView) -> tuple[str, ...]:
    """What could make the result hard to read, said while it can still be helped."""
    histories = {p.history for p in view.placed}
    blocks = []
    if DamHistory.UNKNOWN in histories:
        blocks.append(
            "Were the dams isolated before they were grown? A dam that met males can carry their sperm for two or three broods. "
            "Weeks alone prove little: in a resting season she has no young either."
        )
    elif DamHistory.HAD_MALES in histories:
        blocks.append(
            "A dam that met males before can carry their sperm for two or three broods, so her young need not be this sire's. "
            "Her daughters, parted in time, make cleaner dams."
        )
    if sum(p.breeders.number for p in view.placed if p.role is BreederRole.DAM) > 1:
        blocks.append("With several dams in one bin a brood may be of any of them. One dam to a cup tells more.")
    return tuple(blocks)


def _histories(view: PairingView) -> tuple[Button, ...]:
    """The question what the dams were before, where nobody said."""
    if not any(p.history is DamHistory.UNKNOWN for p in view.placed):
        return ()
    asked = ((DamHistory.UNMATED, "Dams were unmated"), (DamHistory.HAD_MALES, "Dams had males"))
    return tuple(Button(label, verbs.PAIR_HISTORY, f"{view.code}.{history}") for history, label in asked)


def _dates(view: PairingView) -> tuple[str, ...]:
    row = view.row
    if view.mixed is not None:
        return (mixed_line(view.mixed),)
    said = []
    if row.separate_by is not None:
        said.append(f"Part the young by {words.when(row.separate_by, 'D')}")
    if row.parents_out_by is not None and row.out_at is None:
        said.append(f"breeders out by {words.when(row.parents_out_by, 'D')}, or the generations are mixed")
    return (" · ".join(said),) if said else ()


def _steps(view: PairingView) -> tuple[Button, ...]:
    """What may come next, the likeliest first."""
    row = view.row
    if row.ended_at is not None:
        return ()
    gravid = Button("Pouch filled", verbs.PAIR_GRAVID, view.code, Weight.MAIN)
    young = Button("Young seen", verbs.PAIR_YOUNG, view.code, Weight.MAIN if row.gravid_at else Weight.SIDE)
    brood = Button("Log brood", verbs.BROOD_FORM, view.code, Weight.MAIN)
    out = Button("Breeders out", verbs.PAIR_OUT, view.code)
    if row.young_at is not None:
        return (brood, *(() if row.out_at else (out,)))
    return (young, out) if row.gravid_at is not None else (gravid, young)


def _hurried(view: PairingView) -> tuple[Button, ...]:
    """What can be noted of its bin with one press, beside what its steps are."""
    first = 0 if view.row.young_at is not None else 1
    return hurried(view.row.bin_code)[first:] if view.row.ended_at is None else ()


def _undo(view: PairingView) -> tuple[Button, ...]:
    return (Button("Undo", verbs.UNDO, str(view.event)),) if view.event is not None else ()
