"""*How it moved*: the course of a verdict in words, and as a picture."""

from collections.abc import Iterator, Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from bot.cards import words
from bot.cards.card import Card
from bot.cards.evidence import page_buttons
from bot.cards.verdicts import CAUSES, share
from bot.pictures.verdicts import MOST_LINES, VerdictLine, VerdictPicture
from bot.services.verdict_course import Course, Point
from genetics.evidence.explanations import Cause

_SHORT: Final[Mapping[Cause, str]] = MappingProxyType(
    {
        Cause.NOT_INHERITED: "not inherited",
        Cause.RECESSIVE: "recessive",
        Cause.DOMINANT: "dominant",
        Cause.INCOMPLETE: "incomplete",
        Cause.LETHAL: "lethal double",
        Cause.SEX_LIMITED: "one sex only",
        Cause.SEX_LINKED: "sex-linked",
        Cause.BOTH_LOCI: "both genes",
        Cause.EITHER_LOCUS: "either gene",
        Cause.THRESHOLD: "many genes",
        Cause.MATERNAL: "mother alone",
        Cause.NONE: "none of these",
    }
)
"""Each explanation in so few letters that it fits beside its line."""
_MOST_TURNS = 5


def course_card(course: Course) -> Card:
    """The verdict after each brood; without a picture where only one point could be weighed."""
    name = words.plain(course.trait.name, 60)
    buttons = page_buttons(course.trait.id, "course")
    if not course.points:
        return Card(lead=f"How the verdict on {name} moved took too long to work out.", buttons=buttons)
    last = course.points[-1]
    leader = last.shares[0][0]
    first = course.points[0]
    lead = (
        f"**{name}**: {CAUSES[leader]} went from {share(first.share(leader))} after {first.brood} to "
        f"**{share(last.share(leader))}** after {last.brood}."
        if len(course.points) > 1
        else f"**{name}**: {CAUSES[leader]}, {share(last.share(leader))} after {last.brood}, the only brood so far."
    )
    turns = list(_turns(course))
    blocks = ["\n".join(turns[-_MOST_TURNS:])] if turns else []
    if course.looks > len(course.points):
        blocks.append(f"{len(course.points)} of {words.plural(course.looks, 'look')} at broods are drawn.")
    if course.late:
        blocks.append("For the last ones there was not time enough.")
    blocks.append("What is known of the parents today is taken as known all along.")
    drawings = (_picture(course, leader, lead, turns),) if len(course.points) > 1 else ()
    return Card(lead=lead, blocks=tuple(blocks), buttons=buttons, drawings=drawings)


def course_stage(number: int, of: int, trait: str) -> Card:
    """What is shown while the course is worked out."""
    return Card(lead=f"Weighing {words.plain(trait, 60)} as it stood after brood {number} of {of}…")


def _turns(course: Course) -> Iterator[str]:
    """The broods after which another word was said, or of another explanation."""
    for before, after in pairwise(course.points):
        old, new = (before.word, before.shares[0][0]), (after.word, after.shares[0][0])
        if old != new:
            yield f"· after {after.brood}: *{after.word.value}*, {CAUSES[new[1]]}, {share(after.shares[0][1])}"


def _picture(course: Course, leader: Cause, lead: str, turns: list[str]) -> VerdictPicture:
    """The likeliest at the end, those that led before, and all others together."""
    led = [point.shares[0][0] for point in course.points]
    order = [cause for cause, _ in course.points[-1].shares]
    top = list(dict.fromkeys([leader, *reversed(led), *order]))[: MOST_LINES - 1]
    lines = [_line(_SHORT[cause], tuple(point.share(cause) for point in course.points)) for cause in top]
    lines.append(_line("all others", tuple(_rest(point, top) for point in course.points)))
    said = [
        words.unescaped(lead).replace("**", ""),
        *(turn.removeprefix("· ").replace("*", "") + "." for turn in turns),
    ]
    return VerdictPicture(
        title=f"How the verdict on {course.trait.name} moved",
        broods=tuple(point.brood for point in course.points),
        lines=tuple(lines),
        alternative=" ".join(said),
    )


def _line(name: str, shares: tuple[float, ...]) -> VerdictLine:
    held = tuple(min(max(one, 0.0), 1.0) for one in shares)
    return VerdictLine(f"{name} {share(held[-1]).replace('over ', '>').replace('under ', '<')}", held)


def _rest(point: Point, top: list[Cause]) -> float:
    return 1.0 - sum(point.share(cause) for cause in top)
