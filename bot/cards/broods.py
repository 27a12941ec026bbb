"""How a brood is said: what was seen first, then what it fits, and what is not known of it."""

from collections.abc import Mapping, Sequence

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.verdicts import said_of_move
from bot.records import Appearance, BroodReason, BroodRow, ScoreRow, ScoringRow, Sex, TraitRow
from bot.services.broods import A_PAGE, BroodPage, BroodView, brood_code
from bot.services.verdict_moves import Move, asked_about

_MOST_RATIOS = 3
_SEX = {Sex.FEMALE: " females", Sex.MALE: " males", Sex.UNKNOWN: ""}
MIXED_BROOD = (
    "By then young of this pairing could breed themselves, so whose young these are is not known: they are left out of ratios. "
    "For a ratio raise a brood from one mother in a bin of her own."
)
"""What is said of a brood that was seen after the generations were mixed."""


def logged_card(view: BroodView, moves: Sequence[Move] = (), *, weighing: bool = False) -> Card:
    """The reply to a brood that was logged, or scored again; `weighing`: how it moves the verdicts is being worked out."""
    moved = "\n".join(map(said_of_move, moves)) or (
        "What it says of the verdict is being worked out…" if weighing else ""
    )
    return Card(
        lead=f"**{view.code}**: {_seen(view.latest, names_of(view.traits))}.{_again(view)}",
        blocks=(*((moved,) if moved else ()), *_fit(view), _facts(view)),
        buttons=_buttons(view),
        tone=Tone.GOOD,
    )


def brood_card(view: BroodView) -> Card:
    """The reply to `/brood show`."""
    names = names_of(view.traits)
    earlier = [f"· {words.when(one.at, 'D')}, {_by(one)}: {_seen(one, names)}" for one in view.scorings[:-1]]
    return Card(
        lead=f"**{view.code}**: {_seen(view.latest, names)}.",
        blocks=(
            *_fit(view),
            _facts(view),
            *(("Scored before:\n" + "\n".join(earlier),) if earlier else ()),
            *((f"Note: {words.plain(view.brood.note)}",) if view.brood.note else ()),
        ),
        buttons=_buttons(view),
        page=(verbs.BROOD_SHOW, view.code),
    )


def list_card(found: BroodPage, of: str) -> Card:
    """The reply to `/brood list`."""
    if not found.views:
        return Card(lead="No brood is in the book yet. `/brood log` logs one; a count of each look is enough.")
    argument = f"{of}/" if of else ""
    more = found.total > (found.page + 1) * A_PAGE
    earlier = (Button("Earlier", verbs.BROOD_LIST, f"{argument}{found.page + 1}"),) if more else ()
    later = (Button("Later", verbs.BROOD_LIST, f"{argument}{found.page - 1}"),) if found.page else ()
    return Card(
        lead=f"**{words.plural(found.total, 'brood')}**, the newest first.",
        blocks=("\n".join(brood_line(v.brood, v.latest, names_of(v.traits)) for v in found.views),),
        buttons=(*earlier, *later),
    )


def brood_line(brood: BroodRow, latest: ScoringRow | None, names: Mapping[int, str]) -> str:
    """A brood in a list."""
    return f"· {brood_code(brood)}, {words.when(brood.seen_on, 'D')}: {_seen(latest, names)}"


def names_of(traits: Sequence[TraitRow]) -> dict[int, str]:
    """The names of traits by their ids, safe to put into a reply."""
    return {trait.id: words.plain(trait.name) for trait in traits}


def _seen(scoring: ScoringRow | None, names: Mapping[int, str]) -> str:
    """What was counted, in a line: "6 ember, 17 wild-looking, 3 not sure"."""
    if scoring is None:
        return "not scored yet"
    parts = [f"{words.number(score.number)} {_look(score, names)}{_SEX[score.sex]}" for score in scoring.scores]
    if scoring.unsure:
        parts.append(f"{words.number(scoring.unsure)} not sure")
    if scoring.unscored:
        parts.append(f"{words.number(scoring.unscored)} not scored")
    return ", ".join(parts)


def _look(score: ScoreRow, names: Mapping[int, str]) -> str:
    shown = [
        f"{'partly ' if one.look is Appearance.PARTIAL else ''}{names.get(one.trait_id, 'a trait')}"
        for one in score.shown
    ]
    return words.listed(shown) if shown else "wild-looking"


def _again(view: BroodView) -> str:
    if len(view.scorings) < 2:
        return ""
    before = view.scorings[-2]
    was = _seen(before, names_of(view.traits))
    return f" That counts from now on; {_by(before)}'s look of {words.when(before.at, 'D')} stays in the book: {was}."


def _by(scoring: ScoringRow) -> str:
    return words.plain(scoring.keeper_name) or "a former keeper"


def _fit(view: BroodView) -> tuple[str, ...]:
    """The simple ratios that fit, so that nobody reads one that fits as a proof."""
    if view.mixed:
        return (MIXED_BROOD,)
    if view.ratios is None or view.latest is None:
        return ()
    fitting = [":".join(map(str, one.ratio)) for one in view.ratios.fitting]
    if not fitting:
        return ("No simple ratio fits these counts. Several dams, stored sperm, deaths or misread young can do that.",)
    more = ["others"] if len(fitting) > _MOST_RATIOS else []
    said = words.listed([*fitting[:_MOST_RATIOS], *more], "or")
    order = " to ".join(dict.fromkeys(_look(score, names_of(view.traits)) for score in view.latest.scores))
    total = sum(score.number for score in view.latest.scores)
    return (f"These {words.number(total)} fit {said} ({order}). A fit is no proof.",)


def _facts(view: BroodView) -> str:
    brood, scoring = view.brood, view.latest
    facts = [
        f"Seen {words.when(brood.seen_on, 'D')} in {brood.bin_code}",
        "planned before it was seen" if brood.why is BroodReason.PLANNED else "found by chance",
    ]
    if brood.born is not None:
        facts.append(f"about {words.number(brood.born)} born")
    if brood.dead:
        facts.append(f"{words.number(brood.dead)} dead")
    if brood.mothers is not None and brood.mothers > 1:
        facts.append(f"of one or more of {words.number(brood.mothers)} mothers")
    if scoring is not None and scoring.age_days is not None:
        facts.append(f"scored at {_age(scoring.age_days)}")
    if scoring is not None and scoring.length_mm is not None:
        facts.append(f"{words.length(scoring.length_mm)} long")
    said = " · ".join(facts) + "."
    if scoring is not None and scoring.age_days is not None and scoring.age_days < 42:
        said += " Under 6 weeks colour is often not finished: score them again when they are older."
    return said


def _age(days: int) -> str:
    return words.plural(days // 7, "week") if days % 7 == 0 and days else words.plural(days, "day")


def _buttons(view: BroodView) -> tuple[Button, ...]:
    undo = (Button("Undo", verbs.UNDO, str(view.event)),) if view.event is not None else ()
    about = next(iter(asked_about(view)), None)
    label, weight = ("Score again", Weight.SIDE) if view.scorings else ("Score", Weight.MAIN)
    return (
        Button(label, verbs.BROOD_SCORE, view.code, weight),
        Button("Keep back", verbs.BROOD_KEEP, view.code),
        *((Button("Evidence", verbs.TRAIT_EVIDENCE, str(about)),) if about is not None else ()),
        *undo,
    )
