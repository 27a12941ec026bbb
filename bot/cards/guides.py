"""How scoring guides are shown, photos asked about blind, and what keepers agree on."""

from collections.abc import Mapping

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Picture, Tone, Weight
from bot.cards.photos import ENDING, picture_of
from bot.records import Call, GuidePhotoRow, Media, Sex, Stage
from bot.services.blind import BlindOpened, BlindResult, BlindStep
from bot.services.blind_errors import ScoringError
from bot.services.guides import MOST_PHOTOS, GuideView
from genetics.agreement import Misreading

_READ = {Call.SHOWS: "shows it", Call.NOT: "does not", Call.UNSURE: "doubtful"}
_SAID = {Call.SHOWS: "Shows it", Call.NOT: "Does not", Call.UNSURE: "Not sure"}
CALLS = {"y": Call.SHOWS, "n": Call.NOT, "u": Call.UNSURE}
"""How a button says what was seen."""
_STAGE = {Stage.ADULT: "adult", Stage.JUVENILE: "young", Stage.MANCA: "manca"}


def guide_card(view: GuideView) -> Card:
    """The reply to `/trait guide show`, and to every change of a guide."""
    name = words.plain(view.name, 60)
    undo = () if view.event is None else (Button("Undo", verbs.UNDO, str(view.event)),)
    if not view.entries:
        return Card(
            lead=f"**{name}** has no scoring guide yet.",
            blocks=(
                f"Up to {MOST_PHOTOS} photos say how it is read: what shows it, what does not, what is doubtful. "
                "Add the first with `/trait guide add`.",
            ),
            buttons=undo,
            tone=Tone.GOOD if undo else Tone.PLAIN,
        )
    when = (
        f"It can be read from week {view.week} on."
        if view.week
        else ("From which age it can be read nobody has said yet; `/trait change` takes the week.")
    )
    return Card(
        lead=f"**How to score {name}.** {when}",
        blocks=(
            "\n".join(_line(entry.row, there=entry.photo is not None) for entry in view.entries),
            *((error_said(view.error),) if view.error is not None else ()),
        ),
        buttons=(Button("Score these blind", verbs.GUIDE_SCORE, str(view.trait), Weight.MAIN), *undo),
        pictures=tuple(
            picture_of(entry.photo, view.bodies[entry.photo.id])
            for entry in view.entries
            if entry.photo is not None and entry.photo.id in view.bodies
        ),
        tone=Tone.GOOD if undo else Tone.PLAIN,
    )


def _line(row: GuidePhotoRow, *, there: bool) -> str:
    extent = f", extent {row.extent} of 5" if row.extent is not None else ""
    sex = {Sex.FEMALE: "female", Sex.MALE: "male"}.get(row.sex or Sex.UNKNOWN)
    who = " ".join(each for each in (_STAGE.get(row.stage) if row.stage else None, sex) if each)
    moult = "fresh moult" if row.moulted else ""
    about = ", ".join(each for each in (who, moult) if each)
    caption = f": {words.plain(row.caption, 200)}" if row.caption else ""
    gone = "" if there else " (the photo is not shown any more)"
    return f"**{row.place}** {_READ[row.call]}{extent}{f' ({about})' if about else ''}{caption}{gone}"


def opened_card(opened: BlindOpened) -> Card:
    """The message with which keepers are asked to score."""
    name = words.plain(opened.row.trait_name, 60)
    return Card(
        lead=f"**Score these:** {opened.photos} photos. Does the animal on each show {name}?",
        blocks=("You get them one by one, for your eyes alone. What others say you see when you are through.",),
        buttons=(
            Button("Score", verbs.BLIND, str(opened.row.id), Weight.MAIN),
            Button("Undo", verbs.UNDO, str(opened.event)),
        ),
    )


def step_card(step: BlindStep) -> Card:
    """One photo to be scored, or the last look at one's own answers."""
    name, number = words.plain(step.row.trait_name, 60), step.row.id
    if step.place is None:
        counts = {each: sum(call is each for call in step.answers.values()) for each in Call}
        return Card(
            lead=f"You have answered all {step.total}: {_tally(counts)}.",
            blocks=(
                "*Finish* shows what the others said; from then on your answers stand. A number goes back to a photo.",
            ),
            buttons=(
                Button("Finish", verbs.BLIND, f"{number}/f", Weight.MAIN),
                *(Button(str(place), verbs.BLIND, f"{number}/{place}") for place in step.answers),
            ),
            private=True,
        )
    said = step.answers.get(step.place)
    letters = {call: letter for letter, call in CALLS.items()}
    done = len(step.answers)
    return Card(
        lead=f"**Photo {step.place}:** does it show {name}?",
        blocks=(
            f"{done} of {step.total} answered."
            + (f" Here you said: {_SAID[said].lower()}." if said is not None else ""),
        ),
        buttons=tuple(Button(_SAID[call], verbs.BLIND, f"{number}/{step.place}/{letters[call]}") for call in Call),
        # Neither its number on file nor its words: both could tell what others see in it.
        pictures=(
            Picture(
                f"to-score-{step.place}.{ENDING[_media(step.body)]}",
                step.body,
                f"Photo {step.place}, to be scored. What it shows is not said until you are through.",
            ),
        )
        if step.body
        else (),
        private=True,
    )


def _tally(said: Mapping[Call, int]) -> str:
    return ", ".join(f"{_SAID[call].lower()} {n}" for call, n in said.items() if n)


def _media(body: bytes) -> Media:
    return Media.PNG if body.startswith(b"\x89PNG") else Media.JPEG


def result_card(result: BlindResult) -> Card:
    """What came of a set, for one who is through with it."""
    name = words.plain(result.row.trait_name, 60)
    if result.error is None:
        lead = f"**Thank you.** You are the first to be through with these photos of {name}."
        more = ("Once a second keeper is, *Results* says how far you agree.",)
    else:
        lead, more = f"**{name}, scored blind:** {agreement_said(result.error)}", (error_said(result.error),)
    lines = []
    for line in result.lines:
        said = _tally(line.said)
        mine = f"; you: {_SAID[line.mine].lower()}" if line.mine is not None else ""
        guide = f"; guide: {_READ[line.guide]}" if line.guide is not None else ""
        lines.append(f"**{line.place}** {said}{mine}{guide}")
    return Card(
        lead=lead,
        blocks=(*more, "\n".join(lines)),
        buttons=(Button("Results", verbs.BLIND, f"{result.row.id}/r"),),
        page=(verbs.BLIND, f"{result.row.id}/r"),
        private=True,
    )


def agreement_said(error: ScoringError) -> str:
    """How far keepers agree, the answer first: "3 keepers agree on about 9 in 10 readings of 12 photos"."""
    return (
        f"{error.keepers} keepers read {words.plural(error.photos, 'photo')} alike in "
        f"{round(100 * error.agreed)} % of pairs."
    )


def error_said(error: ScoringError) -> str:
    """What the agreement means for a count: the share misread, of each class, and how sure that is."""
    parts = [f"Reckoned from that: about {words.percent(error.share)} of readings are wrong."]
    parts += [
        _class_said(which, found)
        for which, found in (("those that show it", error.missed), ("those that don't", error.false_alarms))
        if found is not None and found.read
    ]
    kappa = error.kappa
    if kappa.value is not None:
        between = (
            f"{kappa.interval.low:.2f} to {kappa.interval.high:.2f}"
            if kappa.interval is not None
            else "too little to say how sure that is"
        )
        parts.append(f"Agreement beyond chance (kappa): {kappa.value:.2f} ({between}).")
    if error.photos < 10:
        parts.append("So few photos say little yet.")
    return " ".join(parts)


def _class_said(which: str, found: Misreading) -> str:
    low, high = round(100 * found.interval.low), round(100 * found.interval.high)
    return f"Of {which}, {found.wrong} of {found.read} readings are wrong ({low} to {high} % is likely)."
