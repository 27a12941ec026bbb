"""The course of a verdict in words: where it began, where it is, and after which broods another word was said."""

from datetime import UTC, datetime

from bot.cards.verdict_course import course_card, course_stage
from bot.records import Dominance, TraitRow
from bot.services.verdict_course import Course, Point
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 5, tzinfo=UTC)
TRAIT = TraitRow(4, "em*ber", "e", Dominance.RECESSIVE, None, 1, NOW, None, None)


def point(brood: str, word: Word, **shares: float) -> Point:
    order = sorted(shares.items(), key=lambda pair: -pair[1])
    return Point(brood, 1, NOW, word, tuple((Cause[name], share) for name, share in order))


COURSE = Course(
    TRAIT,
    (
        point("P-1.1", Word.OPEN, DOMINANT=0.5, RECESSIVE=0.35, NONE=0.15),
        point("P-2.1", Word.OPEN, RECESSIVE=0.7, DOMINANT=0.2, NONE=0.1),
        point("P-2.2", Word.LEANING, RECESSIVE=0.88, DOMINANT=0.1, NONE=0.02),
        point("P-2.3", Word.SUPPORTED, RECESSIVE=0.97, DOMINANT=0.02, NONE=0.01),
    ),
    9,
)


def test_the_finding_comes_first_and_the_turns_after_it() -> None:
    card = course_card(COURSE)
    assert_card_fits(card)
    assert card.lead == "**em\\*ber**: recessive went from 35 % after P-1.1 to **97 %** after P-2.3."
    assert card.blocks[0] == (
        "· after P-2.1: *open*, recessive, 70 %\n· after P-2.2: *leaning*, recessive, 88 %\n"
        "· after P-2.3: *supported*, recessive, 97 %"
    )
    assert card.blocks[1] == "4 of 9 looks at broods are drawn."


def test_the_picture_says_the_finding_to_those_who_cannot_see_it() -> None:
    (drawing,) = course_card(COURSE).drawings
    assert drawing.alternative.startswith("em*ber: recessive went from 35 % after P-1.1 to 97 % after P-2.3.")
    assert "after P-2.2: leaning, recessive, 88 %." in drawing.alternative


def test_a_single_brood_has_no_picture_and_none_in_time_says_so() -> None:
    one = course_card(Course(TRAIT, COURSE.points[-1:], 1))
    assert one.drawings == ()
    assert "the only brood so far" in one.lead
    assert "took too long" in course_card(Course(TRAIT, (), 5, late=True)).lead
    assert "not time enough" in "".join(course_card(Course(TRAIT, COURSE.points, 9, late=True)).blocks)
    assert "brood 7 of 12" in course_stage(7, 12, "ember").lead
