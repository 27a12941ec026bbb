"""Following a trait: who may, what is told when, and what is undone."""

from dataclasses import replace

import pytest

from bot.services.bins import NewBin, open_bin
from bot.services.broods import NewBrood, log_brood
from bot.services.following import follow, following_of, unfollow
from bot.services.priors import set_priors
from bot.services.refusals import NoRoomToPost, NotYours
from bot.services.refusals_evidence import NotFollowed
from bot.services.refusals_traits import NoSuchTrait
from bot.services.traits import define_trait, show_trait
from bot.services.undo import undo
from bot.services.verdict_moves import moves_of, renoted
from tests.support.asking import ELSEWHERE, MOSS, Asking


async def told(asking: Asking) -> int:
    """How many tellings wait to be posted."""
    request = asking.by()
    claimed = await asking.desk.records.dispatch().claim(
        now=request.now, real=request.now, holder="test", lease=request.now - request.now.replace(hour=0), limit=99
    )
    return len([one for one in claimed if one.news is not None])


async def test_a_new_word_is_told_once_where_the_trait_is_followed(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    request = asking.by()
    following = await follow(asking.desk, request, "ember")
    assert following.room == request.channel
    assert await follow(asking.desk, request, "ember") == following
    for scored in ("1 ember 9 wild, 9 weeks", "30 wild, 9 weeks"):
        logged = asking.by()
        await moves_of(asking.desk, logged, await log_brood(asking.desk, logged, NewBrood(of="B-1", scored=scored)))
    # Figures moved, and the likeliest with them; the word is *open* still.
    assert await told(asking) == 0
    priors = await set_priors(asking.desk, asking.by(steward=True), name="ember", priors="recessive 99")
    noted = await renoted(asking.desk, asking.by(steward=True), priors.trait.id)
    assert noted is not None
    assert noted.word_changed
    await renoted(asking.desk, asking.by(), priors.trait.id)
    assert await told(asking) == 1
    view = await show_trait(asking.desk, asking.by(), "ember")
    assert following_of(view.row, view.told).room == request.channel


async def test_who_does_not_follow_is_told_nothing_and_following_is_undone(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    with pytest.raises(NotFollowed):
        await unfollow(asking.desk, asking.by(), "ember")
    following = await follow(asking.desk, asking.by(), "ember")
    stopped = await unfollow(asking.desk, asking.by(), "ember")
    assert stopped.room is None
    await undo(asking.desk, asking.by(), stopped.event or 0)
    assert (await show_trait(asking.desk, asking.by(), "ember")).told is not None
    await undo(asking.desk, asking.by(), following.event or 0)
    assert (await show_trait(asking.desk, asking.by(), "ember")).told is None
    assert await told(asking) == 0


async def test_only_its_author_or_a_steward_has_a_trait_told_and_only_where_the_bot_may_post(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    with pytest.raises(NotYours):
        await follow(asking.desk, asking.by(MOSS), "ember")
    with pytest.raises(NotYours):
        await unfollow(asking.desk, asking.by(MOSS), "ember")
    with pytest.raises(NoRoomToPost):
        await follow(asking.desk, replace(asking.by(), may_post=False), "ember")
    with pytest.raises(NoSuchTrait):
        await follow(asking.desk, asking.by(MOSS, server=ELSEWHERE, steward=True), "ember")
    assert (await follow(asking.desk, asking.by(MOSS, steward=True), "ember")).room is not None
