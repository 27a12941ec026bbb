"""Traits whose verdicts are told in a room when the word changes. Nobody is told who did not ask, and nobody is pinged."""

from dataclasses import dataclass

from bot.records import DeliveryState, FollowedRow, Subject, TraitRow, WriteBook
from bot.services.desk import Desk
from bot.services.refusals import NoRoomToPost, TakenBack
from bot.services.refusals_evidence import NotFollowed
from bot.services.request import Request
from bot.services.traits import TRAIT, require_author, row_named

FOLLOWED, UNFOLLOWED = "trait.followed", "trait.unfollowed"


@dataclass(frozen=True, slots=True)
class Following:
    """Where the verdicts of a trait are told. `room` is None where they are told no more; `event` can be undone.

    `refused`: the last one could not be posted there.
    """

    trait: TraitRow
    room: int | None
    refused: bool = False
    event: int | None = None


async def follow(desk: Desk, request: Request, name: str) -> Following:
    """Have it told in the room where this was asked when the word of a trait's verdict changes.

    Raises:
        NoSuchTrait, NotYours, NoRoomToPost, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            trait = row_named(name, await book.traits())
            await require_author(book, request, trait)
            if not request.may_post:
                raise NoRoomToPost
            await book.follow(trait.id, request.channel)
            event = await book.log(FOLLOWED, Subject(TRAIT, trait.id))
        return await _view(book, event.subject.id, event.seq)


async def unfollow(desk: Desk, request: Request, name: str) -> Following:
    """Have it told no more.

    Raises:
        NoSuchTrait, NotYours, NotFollowed, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            trait = row_named(name, await book.traits())
            await require_author(book, request, trait)
            row = await book.followed(trait.id)
            if row is None:
                raise NotFollowed(trait.name)
            await book.unfollow(row.id)
            event = await book.log(UNFOLLOWED, Subject(TRAIT, trait.id))
        return await _view(book, event.subject.id, event.seq)


def following_of(trait: TraitRow, row: FollowedRow | None) -> Following:
    """What the book says of it."""
    return Following(trait, row.room_id if row else None, row is not None and row.state is DeliveryState.REFUSED)


async def _view(book: WriteBook, trait_id: int, event: int) -> Following:
    trait = await book.trait(trait_id)
    if trait is None:
        raise TakenBack("trait")
    row = await book.followed(trait_id)
    return Following(trait, row.room_id if row else None, event=event)
