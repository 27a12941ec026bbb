"""Counts as people type them, whole and by class: "12 adults, 30 juveniles, lots of mancae", "~80 half the litter".

    count   = [when] [share] item { ("," | "/" | "+" | "and" | ";" | line end) item }      (when, share: `count_phrases`)
    item    = figure [class] | class figure | said class | class said                      (figure: `figures`)
    class   = [look] [stage] [sex], at least one: "ember adults", "females", "wild", "mancae"
    said    = "lots of" | "some" | "no" | "?" | "not counted" | ...                        (`count_items`)

A number stands before its class or after it. A number without a class is of the whole bin when it says so ("in all"), when
brackets or a colon hold what it consists of, or when the classes add up to it. What can be meant in two ways is not read:
`CountUnclear` holds texts of this same grammar that can be meant in one.
"""

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from bot.records import Seen, Sex
from bot.services import count_phrases
from bot.services.count_items import Item, NotRead, items, resolved, trait_pattern
from bot.services.count_sums import NoNumber, Several, Summed, TooFew, Twice, class_text, scaled, summed, written
from bot.services.count_words import AnimalClass, Doubt
from bot.services.figures import Figure, FigureProblem, Kind, Piece, lexed
from bot.services.refusals import CountNotRead, CountProblem
from bot.services.refusals_bins import CountUnclear
from bot.services.tally import MOST


@dataclass(frozen=True, slots=True)
class CountRead:
    """A typed count as understood.

    Attributes:
        whole: how many live in all of the bin.
        classes: what is said of each class of animals; their numbers are of what was looked through.
        seen: how many were counted in the `share` of the bin that was looked through; None if it was not a share.
        on: the day it was counted, if it was said.
    """

    whole: Figure
    classes: tuple[Item, ...] = ()
    seen: int | None = None
    share: Fraction | None = None
    on: date | None = None


def read_count(text: str, traits: Iterable[str], today: date) -> CountRead:
    """Read a count as typed; `traits` are the names that a look may have, `today` is the day where the keeper is.

    Raises:
        CountNotRead: something is no part of a count, or the numbers do not agree.
        CountUnclear: it can be meant in several ways.
    """
    folded = unicodedata.normalize("NFC", text).casefold()
    names = {" ".join(unicodedata.normalize("NFC", name).casefold().split()): name for name in traits}
    try:
        cut = count_phrases.cut(folded, today)
    except count_phrases.Unsure as unsure:
        raise CountUnclear(text, _instead(folded, unsure)) from unsure
    except count_phrases.NoSuchDay as error:
        raise CountNotRead(text, CountProblem.NO_SUCH_DAY, error.text.strip()) from error
    pieces = lexed(cut.rest.strip(), trait_pattern(names))
    every = _items(text, pieces, names, cut)
    found = _summed(text, every, cut)
    if found.whole.most > MOST or (cut.share and scaled(found.whole, cut.share).most > MOST):
        raise CountNotRead(text, CountProblem.TOO_MANY, most=MOST)
    if cut.share is None or cut.share == 1:
        return CountRead(found.whole, found.classes, on=cut.on)
    return CountRead(scaled(found.whole, cut.share), found.classes, found.whole.total, cut.share, cut.on)


def _instead(folded: str, unsure: count_phrases.Unsure) -> tuple[str, ...]:
    """The text with each reading of a phrase in its place."""
    before, after = folded[: unsure.start], folded[unsure.end :]
    return tuple(" ".join(f"{before} {reading} {after}".split()) for reading in unsure.readings)


def _items(text: str, pieces: Sequence[Piece], names: dict[str, str], cut: count_phrases.Cut) -> list[Item]:
    try:
        every = items(pieces, names)
    except NotRead as error:
        has_number = any(piece.kind is not Kind.WORD and piece.text[0].isdigit() for piece in pieces)
        problem = CountProblem.LEFT_OVER if has_number else CountProblem.NO_NUMBER
        raise CountNotRead(text, problem, error.rest) from error
    except FigureProblem as error:
        _refuse_figure(text, error, cut)
    return _without_doubt(text, every, cut)


def _refuse_figure(text: str, error: FigureProblem, cut: count_phrases.Cut) -> None:
    """Say what is wrong with a number.

    Raises:
        CountUnclear: it may be another number.
        CountNotRead: it is none.
    """
    alone = cut.rest.strip()
    if error.kind == "backwards":
        raise CountUnclear(text, (error.offer,)) from error
    if error.kind == "not whole" and error.rest == alone and "." in alone:
        males, _, females = alone.partition(".")
        pair = (
            Item(Seen.COUNTED, Figure(int(n[:9])), AnimalClass(sex=sex))
            for n, sex in ((males, Sex.MALE), (females, Sex.FEMALE))
        )
        offers = [written(list(pair))]
        if len(females) == 3 and len(males) <= 3 and males.strip("0"):
            offers.insert(0, f"{males}{females}")
        raise CountNotRead(text, CountProblem.NOT_WHOLE, error.rest, readings=tuple(offers)) from error
    raise CountNotRead(text, CountProblem(error.kind), error.rest, most=MOST) from error


def _without_doubt(text: str, every: list[Item], cut: count_phrases.Cut) -> list[Item]:
    """The items, if every word in them means one thing where it stands."""
    doubts = sorted({doubt for item in every for doubt in item.doubts}, key=lambda doubt: doubt.value)
    readings = [every]
    try:
        for doubt in doubts:
            several = [reading for each in readings for reading in resolved(each, doubt)]
            of_females = doubt is Doubt.MALE_OR_MANCA and any(_is_of_females(item) for item in every)
            readings = several[::2] if of_females else several
    except NotRead as error:
        raise CountNotRead(text, CountProblem.LEFT_OVER, error.rest) from error
    if len(readings) == 1:
        return readings[0]
    certain = [each for reading in readings for each in _certain(reading)]
    if len(certain) == 1:
        return certain[0]
    if not certain:
        raise CountNotRead(
            text, CountProblem.NO_NUMBER if _has_no_number(every) else CountProblem.LEFT_OVER, text.strip()
        )
    raise CountUnclear(text, tuple(written(each, cut.on, cut.share) for each in certain))


def _certain(reading: list[Item]) -> list[list[Item]]:
    """The reading, or what it can mean in its turn; nothing if its numbers don't agree."""
    try:
        summed(reading)
    except Several as several:
        return [list(each) for each in several.readings]
    except (NoNumber, TooFew, Twice):
        return []
    return [reading]


def _has_no_number(every: Sequence[Item]) -> bool:
    return all(item.figure is None for item in every)


def _is_of_females(item: Item) -> bool:
    return item.animals is not None and item.animals.sex is Sex.FEMALE


def _summed(text: str, every: Sequence[Item], cut: count_phrases.Cut) -> Summed:
    try:
        return summed(every)
    except NoNumber as error:
        raise CountNotRead(text, CountProblem.NO_NUMBER) from error
    except TooFew as error:
        raise CountNotRead(text, CountProblem.ADDS_UP, f"{error.classes}", most=error.whole) from error
    except Twice as error:
        raise CountNotRead(text, CountProblem.TWICE, class_text(error.animals)) from error
    except Several as several:
        if not several.readings:
            raise CountNotRead(text, CountProblem.LEFT_OVER, cut.rest.strip()) from several
        raise CountUnclear(text, tuple(written(each, cut.on, cut.share) for each in several.readings)) from several
