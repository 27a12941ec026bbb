"""How backups, temperatures and litter of bins are said."""

from bot.cards import cautions, verbs, words
from bot.cards.bin_state import HIDDEN
from bot.cards.card import Button, Card, Tone
from bot.records import BackupRow, BatchRow, LitterRow, MarkKind, TemperatureRow, Units
from bot.services.backups import BackupSet
from bot.services.litter import BatchTraced, LitterGiven
from bot.services.pairings import pairing_code
from bot.services.refusals import BinLabel
from bot.services.species import Figure
from bot.services.temperature_log import DANGER_C, TemperatureLogged

_LISTED = 25
_SHOWN = 200


def _name(label: BinLabel) -> str:
    return words.bin_name(label.code, label.name)


def backup_card(done: BackupSet) -> Card:
    """The reply to `/bin backup`."""
    name = f"**{_name(done.label)}**"
    buttons = [
        Button("Undo", verbs.UNDO, str(done.event)),
        Button(f"Show {done.label.code}", verbs.BIN_SHOW, done.label.code),
    ]
    if done.of is None:
        return Card(lead=f"{name} is no backup any more.", buttons=tuple(buttons), tone=Tone.GOOD)
    where = (
        "Both stand in one place: what goes wrong there goes wrong for both. A backup elsewhere is safer (common practice)."
        if done.together
        else "They stand apart, as a backup should (common practice)."
    )
    buttons.append(Button(f"Show {done.of.code}", verbs.BIN_SHOW, done.of.code))
    return Card(
        lead=f"{name} is the backup of **{_name(done.of)}** now.",
        blocks=(where,),
        buttons=tuple(buttons),
        tone=Tone.GOOD,
    )


def backups_of(bin_id: int, backups: tuple[BackupRow, ...]) -> list[str]:
    """Of which bin a bin is the backup, and which bins are its own."""
    lines = [f"Backup of {each.of_code or HIDDEN}." for each in backups if each.bin_id == bin_id]
    own = [each.code or HIDDEN for each in backups if each.of_bin_id == bin_id]
    return [*lines, *([f"Its backup: {words.listed(own)}."] if own else [])]


def temperature_card(logged: TemperatureLogged) -> Card:
    """The reply to `/bin temperature`: how it stands to the species, and the days that follow it."""
    reading, code = logged.reading, logged.label.code
    before = logged.before
    since = f" It was {words.temperature(before.celsius, logged.units)} {words.when(before.at)}." if before else ""
    moved = []
    for pairing in logged.moved:
        out = words.when(pairing.parents_out_by, "D") if pairing.parents_out_by else ""
        apart = f"part the young by {words.when(pairing.separate_by, 'D')}, " if pairing.separate_by else ""
        moved.append(f"{pairing_code(pairing.number)} follows it: {apart}breeders out by {out}.")
    return Card(
        lead=f"{_name(logged.label)}: **{words.temperature(reading.celsius, logged.units)}** read {words.when(reading.at)}.{since}",
        blocks=tuple(block for block in (_warning(reading, logged.window, logged.units), "\n".join(moved)) if block),
        buttons=(Button("Undo", verbs.UNDO, str(logged.event)), Button("Show bin", verbs.BIN_SHOW, code)),
        tone=Tone.GOOD,
    )


def _warning(reading: TemperatureRow, window: Figure, units: Units | None) -> str:
    """Whether a reading lies outside how warm the species is kept."""
    low, high = words.temperature(window.low, units), words.temperature(window.high, units)
    if reading.celsius > max(DANGER_C, window.high):
        return f"**Too warm**: above {words.temperature(DANGER_C, units)} most keepers see losses. Cool it slowly; usual is {low} to {high} (common practice)."
    if reading.celsius > window.high:
        return f"Warmer than it is usually kept: {low} to {high} (common practice)."
    if reading.celsius < window.low:
        return f"Cooler than it is usually kept, {low} to {high} (common practice): everything takes longer, and they may rest."
    return ""


def warmth(reading: TemperatureRow, window: Figure, units: Units | None) -> str:
    """The last reading of a bin, with a warning where there is cause for one."""
    said = f"Temperature: {words.temperature(reading.celsius, units)} ({words.when(reading.at)})."
    return f"{said} {_warning(reading, window, units)}".rstrip()


def litter_card(given: LitterGiven) -> Card:
    """The reply to `/bin litter`."""
    batch = given.batch
    facts = [
        f"From: {words.plain(batch.source, _SHOWN)}" if batch.source else "",
        f"Treated: {words.plain(batch.treatment, _SHOWN)}" if batch.treatment else "",
        f"{words.plural(given.bins, 'bin')} got of it so far: `/bin batch` lists them.",
    ]
    return Card(
        lead=f"**{_name(given.label)}** got litter of {'the new batch ' if given.new else ''}**{words.plain(batch.name)}**.",
        blocks=("\n".join(fact for fact in facts if fact), *((cautions.LITTER,) if given.new else ())),
        buttons=(
            Button("Undo", verbs.UNDO, str(given.event)),
            Button("Show bin", verbs.BIN_SHOW, given.label.code),
        ),
        tone=Tone.GOOD,
    )


def batch_card(traced: BatchTraced) -> Card:
    """The reply to `/bin batch`: which bins got of it, so that a bad batch can be traced."""
    batch = traced.batch
    bins = {each.bin_id: each for each in reversed(traced.bins)}
    held = {mark.bin_id for mark in traced.marks if mark.kind is MarkKind.HOLD}
    facts = [
        f"From: {words.plain(batch.source, _SHOWN)}" if batch.source else "",
        f"Treated: {words.plain(batch.treatment, _SHOWN)}" if batch.treatment else "",
        f"Named by {words.plain(batch.keeper_name) or 'a former keeper'} {words.when(batch.added_at, 'D')}.",
    ]
    lines = [_got(each, each.bin_id in held) for each in list(bins.values())[:_LISTED]]
    if len(bins) > _LISTED:
        lines.append(f"and {len(bins) - _LISTED} more")
    on_hold = f", {len(held)} of them on hold" if held else ""
    return Card(
        lead=f"Litter **{words.plain(batch.name)}** went into **{words.plural(len(bins), 'bin')}**{on_hold}.",
        blocks=tuple(block for block in ("\n".join(lines), "\n".join(fact for fact in facts if fact)) if block),
    )


def _got(row: LitterRow, held: bool) -> str:
    state = " · closed since" if row.closed_at else " · on hold" if held else ""
    return f"· {words.bin_name(row.bin_code, row.bin_name)} {words.when(row.at, 'D')}{state}"


def litter_of(litter: LitterRow, batch: BatchRow | None) -> str:
    """The last litter that a bin got; the batch is not named where the person may not know of it."""
    named = words.plain(batch.name) if batch is not None else "of a batch"
    return f"Litter: {named} ({words.when(litter.at, 'D')})."
