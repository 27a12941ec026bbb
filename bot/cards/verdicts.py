"""How a verdict is said in a line, how it moved, and its history."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from bot.cards import verbs, words
from bot.cards.card import Button, Card
from bot.records import TraitRow, VerdictRow
from bot.services.verdict_moves import Move
from bot.services.verdicts import History, Noted, Stood
from genetics.evidence.explanations import Cause

CAUSES: Final[Mapping[Cause, str]] = MappingProxyType(
    {
        Cause.NOT_INHERITED: "not inherited",
        Cause.RECESSIVE: "recessive",
        Cause.DOMINANT: "dominant",
        Cause.INCOMPLETE: "incompletely dominant",
        Cause.LETHAL: "dominant, and two copies kill or weaken",
        Cause.SEX_LIMITED: "on an ordinary chromosome and shown in one sex only",
        Cause.SEX_LINKED: "on a sex chromosome",
        Cause.BOTH_LOCI: "of two genes, both needed",
        Cause.EITHER_LOCUS: "of two genes, either enough",
        Cause.THRESHOLD: "of many genes together",
        Cause.MATERNAL: "passed by the mother alone",
        Cause.NONE: "none of the explanations I know",
    }
)
"""Each explanation in a keeper's words, after "it is"."""
_CERTAIN: Final = Fraction(999_999, 1_000_000)
_NAME: Final = 60
_PAGE: Final = 12


def share(value: float | Fraction) -> str:
    """A probability that rests on records, as a percentage: never certain, never impossible."""
    return words.percent(min(max(Fraction(value).limit_denominator(1_000_000), 1 - _CERTAIN), _CERTAIN))


def stood(verdict: Stood) -> str:
    """A verdict after "is": "*supported*: recessive, 96 %"."""
    if verdict.leader is None:
        return "*open*: no scored brood is left to weigh"
    likely = "likeliest " if verdict.word.value == "open" else ""
    return f"*{verdict.word.value}*: {likely}{CAUSES[verdict.leader]}, {share(verdict.posterior)}"


def said_of_move(move: Move) -> str:
    """What a brood did to the verdict on a trait."""
    name = words.plain(move.trait.name, _NAME)
    if move.late:
        return f"What it says of {name} was not worked out in time. *Evidence* tells it."
    if move.omitted is not None:
        return f"It does not count for {name} yet: {move.omitted.value}."
    if move.now is None:
        return f"What it says of {name} can't be weighed as the records stand. *Evidence* says why."
    said = moved(name, move.before, move.now, first=move.first)
    if move.carrier is not None and move.now.leader is not None:
        hidden = move.carrier
        said += (
            f" If it is {CAUSES[move.now.leader]}, {words.plain(hidden.label)} carries it: {share(hidden.if_so)}; "
            f"allowing for the other explanations: {share(hidden.overall)}."
        )
    return said


def said_after_undo(trait: TraitRow, noted: Noted) -> str:
    """What the verdict on a trait is after something that it rested on was taken back; empty if it is as it was."""
    if not noted.new or noted.now is None:
        return ""
    return moved(words.plain(trait.name, _NAME), noted.before, noted.now)


def moved(name: str, before: Stood | None, now: Stood, *, first: bool = True) -> str:
    """How a verdict moved: "ember is now *supported*: recessive, 96 % (was 88 %)". `first`: without a verdict there was none."""
    same = before is not None and (before.word, before.leader) == (now.word, now.leader)
    said = f"{name} is {'still' if same else 'now'} {stood(now)}"
    if before is None:
        return f"{said}. Nothing bore on it before." if first else f"{said}."
    was = share(before.posterior) if before.leader is not None else "without a brood to weigh"
    if before.leader is not None and before.leader is not now.leader:
        was = f"{CAUSES[before.leader]}, {was}"
    return f"{said} (was {was})."


def history_card(history: History, page: int = 0) -> Card:
    """The reply to *History*: how the verdict changed, the newest first."""
    name = words.plain(history.trait.name, _NAME)
    if not history.rows:
        return Card(
            lead=f"No verdict on {name} was noted yet. `/trait evidence` weighs what is on record.",
            buttons=(_back(history),),
        )
    lead = f"The verdict on **{name}** changed {words.plural(len(history.rows), 'time')}, the newest first."
    page = min(page, (len(history.rows) - 1) // _PAGE)
    shown = history.rows[page * _PAGE : (page + 1) * _PAGE]
    rest = ["Each stays as it was reached. What private bins hold is in none of them."]
    if history.more and (page + 1) * _PAGE >= len(history.rows):
        rest.insert(0, "Older ones are in the book.")
    here = str(history.trait.id)
    turns = [Button("Earlier", verbs.EVIDENCE_HISTORY, f"{here}.{page + 1}")] * ((page + 1) * _PAGE < len(history.rows))
    turns += [Button("Later", verbs.EVIDENCE_HISTORY, f"{here}.{page - 1}")] * (page > 0)
    return Card(lead=lead, blocks=(_lines(shown), " ".join(rest)), buttons=(_back(history), *turns))


def _lines(rows: Sequence[VerdictRow]) -> str:
    return "\n".join(
        f"· {words.when(row.at, 'D')}: {stood(Stood.in_row(row))}"
        + (f" ({words.plural(row.broods, 'brood')}, {words.plural(row.young, 'young', 'young')})" if row.leader else "")
        + f", after change #{row.seq}"
        for row in rows
    )


def _back(history: History) -> Button:
    return Button("Verdict", verbs.EVIDENCE_PAGE, f"{history.trait.id}.verdict")
