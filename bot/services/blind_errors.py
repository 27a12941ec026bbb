"""How far keepers agree who scored photos of a trait blind, and so how often it is misread."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from bot.records import BlindAnswerRow, Book, Call, GuideRow
from genetics.agreement import Kappa, Misreading, Reading, agreement, cohen, compared, fleiss, majority, misreadings
from genetics.evidence.programme import Misread

NOT, SHOWS = 0, 1
"""The classes of a reading; "not sure" is none."""
_NUMBER: Mapping[Call, Reading] = {Call.NOT: NOT, Call.SHOWS: SHOWS, Call.UNSURE: None}


@dataclass(frozen=True, slots=True)
class ScoringError:
    """What blind scoring of a trait came to.

    Attributes:
        keepers, photos: who was through with a set, and what at least two of them read.
        agreed: the mean share of pairs of keepers that read a photo alike, 0 to 1.
        kappa: Cohen's of two keepers, Fleiss' of more.
        wrong, pairs: of so many pairs of readings of one photo so many differed, each keeper in one pair of a photo.
        missed: of animals that show it, read as not; false_alarms: of those that don't, read as showing. Against the guide
            where that says, else against the majority of three keepers or more; None where neither says.
        unsure: how often a keeper was not sure, and of how many answers.
    """

    keepers: int
    photos: int
    agreed: float
    kappa: Kappa
    wrong: int
    pairs: int
    missed: Misreading | None
    false_alarms: Misreading | None
    unsure: tuple[int, int]

    @property
    def share(self) -> Fraction:
        """The share of readings that is wrong: two who err so often each differ in about twice as many."""
        return Fraction(self.wrong, 2 * self.pairs)

    @property
    def misread(self) -> Misread:
        """The same as the evidence takes it."""
        return Misread(wrong=self.wrong, compared=self.pairs)


async def scoring_error_of(book: Book, trait_id: int) -> ScoringError | None:
    """The scoring error of a trait as its keepers measured it; None until two have scored the same photos blind."""
    answers = await book.blind_answers_for(trait_id)
    return scoring_error(answers, await book.guide_of(trait_id)) if answers else None


def scoring_error(answers: Iterable[BlindAnswerRow], guide: GuideRow | None) -> ScoringError | None:
    """The scoring error that these answers come to; those of keepers who are not through yet do not count.

    Of a photo that somebody scored in several sets their last answer counts.
    """
    latest: dict[tuple[int, int], BlindAnswerRow] = {}
    for answer in sorted((each for each in answers if each.final), key=lambda each: each.at):
        latest[answer.photo_id, answer.keeper_id] = answer
    keepers = sorted({keeper for _, keeper in latest})
    photos = sorted({photo for photo, _ in latest})
    rows = [tuple(_reading(latest.get((photo, keeper))) for keeper in keepers) for photo in photos]
    wrong, pairs = compared(rows)
    if not pairs:
        return None
    told = {entry.photo_id: _NUMBER[entry.call] for entry in (guide.photos if guide is not None else ())}
    truth = [
        told[photo] if told.get(photo) is not None else _by_majority(row)
        for photo, row in zip(photos, rows, strict=True)
    ]
    errors = misreadings(rows, truth)
    agreed, twice = agreement(rows)
    return ScoringError(
        keepers=len(keepers),
        photos=twice,
        agreed=agreed,
        kappa=cohen(rows) if len(keepers) == 2 else fleiss(rows),
        wrong=wrong,
        pairs=pairs,
        missed=errors.get(SHOWS),
        false_alarms=errors.get(NOT),
        unsure=(sum(answer.call is Call.UNSURE for answer in latest.values()), len(latest)),
    )


def _by_majority(row: tuple[Reading, ...]) -> Reading:
    """What most say, where three at least say something: of two who differ nobody is right by number."""
    return majority(row) if sum(each is not None for each in row) >= 3 else None


def _reading(answer: BlindAnswerRow | None) -> Reading:
    return None if answer is None else _NUMBER[answer.call]
