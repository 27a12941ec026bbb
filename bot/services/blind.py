"""Blind scoring: keepers say of the same photos whether they show a trait, and see nobody's answers before they are through."""

import random
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from bot.records import BlindAnswerRow, BlindPhotoRow, BlindSetRow, Book, Call, PhotoRow, Privacy, Subject
from bot.services.blind_errors import ScoringError, scoring_error
from bot.services.desk import Desk
from bot.services.photos import photo_numbered
from bot.services.refusals import TakenBack
from bot.services.refusals_guides import NoSuchSet, PhotoKeptPrivate, ScoreFirst, ThroughAlready, TooFewToScore
from bot.services.request import Request
from bot.services.traits import name_of, row_named

SET: Final = "blind set"
OPENED, ANSWERED, FINISHED = "blind.opened", "blind.answered", "blind.finished"
LEAST_PHOTOS: Final = 2
MOST_PHOTOS: Final = 20
ALL: Final = "all"


@dataclass(frozen=True, slots=True)
class BlindOpened:
    """Photos that were put together to be scored."""

    row: BlindSetRow
    photos: int
    event: int


@dataclass(frozen=True, slots=True)
class BlindStep:
    """Where a keeper stands with a set: one photo to be looked at, or, where `place` is None, all of them answered.

    `answers` are the keeper's own, by place; `total` photos are to be seen. `body` is the picture at `place`.
    """

    row: BlindSetRow
    total: int
    answers: dict[int, Call]
    place: int | None = None
    body: bytes = b""


@dataclass(frozen=True, slots=True)
class BlindLine:
    """One photo of a set with what was said of it: by the keeper who asks, by all who are through, and by the guide."""

    place: int
    photo_id: int
    mine: Call | None
    said: dict[Call, int]
    guide: Call | None


@dataclass(frozen=True, slots=True)
class BlindResult:
    """What came of a set, for one who is through with it. `error` is None until two are."""

    row: BlindSetRow
    lines: tuple[BlindLine, ...]
    error: ScoringError | None


async def open_set(desk: Desk, request: Request, name: str, photos: str = "") -> BlindOpened:
    """Put the photos of a trait's guide together, in another order, for keepers to score blind.

    `photos` are the numbers of further ones, or "all" for everything that is kept for the trait, the newest first.

    Raises:
        NoSuchTrait, NoSuchPhoto, PhotoKeptPrivate, TooFewToScore, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            trait = row_named(name, await book.traits())
            guide = await book.guide_of(trait.id)
            held = await book.photos([row.photo_id for row in guide.photos] if guide is not None else [])
            wanted = [
                *(row.id for row in held if row.privacy is not Privacy.BIN),
                *await _further(book, trait.id, photos),
            ]
            chosen = list(dict.fromkeys(wanted))
            if photos.strip().casefold() == ALL:
                chosen = chosen[:MOST_PHOTOS]
            if not LEAST_PHOTOS <= len(chosen) <= MOST_PHOTOS:
                raise TooFewToScore(len(chosen), LEAST_PHOTOS, MOST_PHOTOS)
            # In the guide's order the first ones would tell what the next are.
            random.Random(request.request_id).shuffle(chosen)  # noqa: S311 - no secret, only another order
            made = await book.add_blind_set(trait.id, guide.id if guide is not None else None, chosen)
            event = await book.log(OPENED, Subject(SET, made))
        row = await book.blind_set(event.subject.id)
        if row is None:
            raise TakenBack(SET)
        return BlindOpened(row, len(await book.blind_photos(row.id)), event.seq)


async def open_set_of(desk: Desk, request: Request, trait: int) -> BlindOpened:
    """The same for the trait with this id, of its guide alone.

    Raises:
        NoSuchTrait: there is none; and as `open_set`.
    """
    return await open_set(desk, request, await name_of(desk, request, trait))


async def blind_step(desk: Desk, request: Request, number: int, place: int | None = None) -> BlindStep:
    """The photo at a place of a set, or the first that the person has not answered.

    Raises:
        NoSuchSet: it is not there.
        ThroughAlready: the person has said that they are through.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await _step(book, request, number, place)


async def answer_photo(desk: Desk, request: Request, number: int, place: int, call: Call) -> BlindStep:
    """Say of the photo at a place whether it shows the trait, or say so anew; then the next that is not answered.

    Raises:
        NoSuchSet, ThroughAlready, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        if book.repeat is None:
            row, photos, mine = await _standing(book, request, number)
            blind = next((each for each in photos if each.place == place), None)
            if blind is None:
                raise NoSuchSet
            before = next((each.id for each in mine if each.blind_photo_id == blind.id), None)
            await book.answer_blind(row.id, blind.id, call, instead=before)
            await book.log(ANSWERED, Subject(SET, row.id))
        return await _step(book, request, number, None, after=place)


async def finish_set(desk: Desk, request: Request, number: int) -> BlindStep | BlindResult:
    """Be through: the answers stand for good, and the person sees what the others said. What is missing comes first.

    Raises:
        NoSuchSet, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        if book.repeat is None:
            row, photos, mine = await _standing(book, request, number, through=True)
            if not any(answer.final for answer in mine):
                if {photo.id for photo in photos} - {answer.blind_photo_id for answer in mine}:
                    return await _step(book, request, number, None)
                await book.finish_blind([answer.id for answer in mine])
                await book.log(FINISHED, Subject(SET, row.id))
        return await _result(book, request, number)


async def blind_result(desk: Desk, request: Request, number: int) -> BlindResult:
    """What came of a set.

    Raises:
        NoSuchSet: it is not there.
        ScoreFirst: the person is not through with it.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return await _result(book, request, number)


async def _further(book: Book, trait: int, photos: str) -> list[int]:
    if photos.strip().casefold() == ALL:
        return [row.id for row in await book.photos_of_trait(trait) if row.privacy is not Privacy.BIN]
    found = []
    for text in re.findall(r"\d+", photos):
        row = await photo_numbered(book, text)
        if row.privacy is Privacy.BIN:
            raise PhotoKeptPrivate(row.id)
        found.append(row.id)
    return found


async def _standing(
    book: Book, request: Request, number: int, *, through: bool = False
) -> tuple[BlindSetRow, tuple[BlindPhotoRow, ...], tuple[BlindAnswerRow, ...]]:
    """A set, those of its photos that can be seen still, and the person's answers."""
    row = await book.blind_set(number)
    if row is None:
        raise NoSuchSet
    every = await book.blind_photos(row.id)
    seen = {photo.id for photo in await _seen_by_all(book, every)}
    mine = tuple(answer for answer in await book.blind_answers(row.id) if answer.keeper_id == request.actor)
    if not through and any(answer.final for answer in mine):
        raise ThroughAlready(row.id)
    return row, tuple(photo for photo in every if photo.photo_id in seen), mine


async def _seen_by_all(book: Book, photos: Sequence[BlindPhotoRow]) -> list[PhotoRow]:
    """The photos that were not removed and whose bins are not private: all keepers are to look at the same."""
    found = await book.photos([photo.photo_id for photo in photos])
    return [photo for photo in found if photo.privacy is not Privacy.BIN]


async def _step(book: Book, request: Request, number: int, place: int | None, *, after: int = 0) -> BlindStep:
    row, photos, mine = await _standing(book, request, number)
    places = {photo.id: photo.place for photo in photos}
    answers = {places[each.blind_photo_id]: each.call for each in mine if each.blind_photo_id in places}
    by_place = {photo.place: photo.photo_id for photo in photos}
    if place not in by_place:
        open_ = [each for each in by_place if each not in answers]
        place = next((each for each in open_ if each > after), next(iter(open_), None))
    if place is None:
        return BlindStep(row, len(photos), answers)
    bodies = await book.photo_bodies([by_place[place]])
    return BlindStep(row, len(photos), answers, place, bodies.get(by_place[place], b""))


async def _result(book: Book, request: Request, number: int) -> BlindResult:
    row, photos, mine = await _standing(book, request, number, through=True)
    if not any(answer.final for answer in mine):
        raise ScoreFirst(row.id, len({photo.id for photo in photos} - {answer.blind_photo_id for answer in mine}))
    answers = [answer for answer in await book.blind_answers(row.id) if answer.final]
    guide = await book.guide(row.guide_id) if row.guide_id is not None else None
    told = {entry.photo_id: entry.call for entry in (guide.photos if guide is not None else ())}
    own = {answer.blind_photo_id: answer.call for answer in mine}
    lines = [
        BlindLine(
            place=photo.place,
            photo_id=photo.photo_id,
            mine=own.get(photo.id),
            said={call: sum(a.blind_photo_id == photo.id and a.call is call for a in answers) for call in Call},
            guide=told.get(photo.photo_id),
        )
        for photo in photos
    ]
    return BlindResult(row, tuple(lines), scoring_error(answers, guide))
