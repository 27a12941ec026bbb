"""The scoring error that blind scoring comes to, and where it goes: the trait, counts beside a cross, and the evidence."""

from fractions import Fraction

import pytest

from bot.cards.observed import observed_card
from bot.cards.traits import trait_card
from bot.records import Call
from bot.services.bins import NewBin, open_bin
from bot.services.blind import (
    BlindResult,
    BlindStep,
    answer_photo,
    blind_result,
    blind_step,
    finish_set,
    open_set,
)
from bot.services.blind_errors import scoring_error_of
from bot.services.broods import NewBrood, log_brood
from bot.services.evidence import evidence_of
from bot.services.guides import GuideWords, add_to_guide, show_guide
from bot.services.observed import observed_of
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.photos import remove_photo
from bot.services.refusals import BuiltUpon, ChangedSince, NothingToUndo, NotYours
from bot.services.refusals_guides import GuideFull, NoSuchSet, ScoreFirst, ThroughAlready, TooFewToScore
from bot.services.traits import define_trait, show_trait
from bot.services.undo import undo
from genetics.agreement import cohen, fleiss
from genetics.evidence.programme import Misread
from tests.support.asking import ELSEWHERE, MOSS, Asking, again
from tests.support.blind import guided, photos_for, scored_blind


async def ember(asking: Asking) -> int:
    return (await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")).row.id


async def test_the_error_is_what_two_keepers_differ_in_against_the_guide(asking: Asking) -> None:
    trait = await ember(asking)
    photos = await photos_for(asking, trait, 6)
    await guided(asking, trait, photos[:4], "yynn")
    async with asking.desk.records.read(asking.by().server) as book:
        assert await scoring_error_of(book, trait) is None
    await scored_blind(asking, trait, photos, k1="yynnyu", k2="ynnnny")
    async with asking.desk.records.read(asking.by().server) as book:
        found = await scoring_error_of(book, trait)
    assert found is not None
    # Read by both: five photos, of which they differ in the second and the fifth.
    assert (found.keepers, found.photos, found.wrong, found.pairs) == (2, 5, 2, 5)
    assert found.agreed == pytest.approx(3 / 5)
    assert found.kappa == cohen([(1, 1), (1, 0), (0, 0), (0, 0), (1, 0)])
    assert found.share == Fraction(1, 5)
    assert found.misread == Misread(2, 5)
    assert found.unsure == (1, 12)
    # The guide says of four: one of four readings of the two that show it is wrong.
    assert found.missed is not None
    assert found.false_alarms is not None
    assert (found.missed.wrong, found.missed.read) == (1, 4)
    assert (found.false_alarms.wrong, found.false_alarms.read) == (0, 4)


async def test_without_a_guide_three_keepers_are_judged_by_the_majority(asking: Asking) -> None:
    trait = await ember(asking)
    photos = await photos_for(asking, trait, 4)
    await scored_blind(asking, trait, photos, k1="yynn", k2="ynnn", k3="yyny")
    async with asking.desk.records.read(asking.by().server) as book:
        found = await scoring_error_of(book, trait)
    assert found is not None
    assert found.kappa == fleiss([(1, 1, 1), (1, 0, 1), (0, 0, 0), (0, 0, 1)])
    assert found.missed is not None
    assert found.false_alarms is not None
    assert (found.missed.wrong, found.missed.read) == (1, 6)
    assert (found.false_alarms.wrong, found.false_alarms.read) == (1, 6)


async def test_a_photo_that_somebody_scored_again_counts_as_they_read_it_last(asking: Asking) -> None:
    trait = await ember(asking)
    photos = await photos_for(asking, trait, 2)
    await scored_blind(asking, trait, photos, k1="yn", k2="nn")
    await scored_blind(asking, trait, photos[:1], k2="y")
    async with asking.desk.records.read(asking.by().server) as book:
        found = await scoring_error_of(book, trait)
    assert found is not None
    assert (found.keepers, found.wrong, found.pairs) == (2, 0, 2)


async def test_the_measured_error_is_said_of_the_trait_and_reckoned_with_beside_a_cross(asking: Asking) -> None:
    trait = await ember(asking)
    photos = await photos_for(asking, trait, 10)
    before = await observed_of(asking.desk, asking.by(), "het ember x het ember", "6 ember, 17 wild")
    assert (before.error, before.measured) == (0, None)
    await scored_blind(asking, trait, photos[:9], k1="yyyyynnnn", k2="yyyynnnnn")
    few = await observed_of(asking.desk, asking.by(), "het ember x het ember", "6 ember, 17 wild")
    assert few.measured is None
    await scored_blind(asking, trait, photos[9:], k1="n", k2="n")
    seen = await observed_of(asking.desk, asking.by(), "het ember x het ember", "6 ember, 17 wild")
    assert seen.error == Fraction(1, 20)
    # One in four shows it; of them 1 in 20 is missed, and 1 in 20 of the others is taken for it.
    assert [one.share for one in seen.seen if one.count == 6] == [
        pytest.approx(Fraction(1, 4) * 19 / 20 + Fraction(3, 4) / 20)
    ]
    said = "\n".join(observed_card(seen).blocks)
    assert "5 % (as 2 keepers measured on 10 photos; `scoring-error:0%` leaves it out) misread" in said
    typed = await observed_of(asking.desk, asking.by(), "het ember x het ember", "6 ember, 17 wild", "0%")
    assert (typed.error, typed.measured) == (0, None)
    view = await show_trait(asking.desk, asking.by(), "ember")
    card = trait_card(view)
    assert any("Scored blind: 2 keepers read 10 photos alike in 90 % of pairs." in block for block in card.blocks)
    guide = await show_guide(asking.desk, asking.by(), "ember")
    assert guide.error == view.error


async def test_a_guide_takes_six_photos_of_whoever_wrote_the_trait(asking: Asking) -> None:
    trait = await ember(asking)
    photos = await photos_for(asking, trait, 7)
    for photo in photos[:6]:
        words = GuideWords(photo=str(photo), call="shows it")
        view = await add_to_guide(asking.desk, asking.by(), "ember", words)
    assert view.guide is not None
    assert (view.guide.number, [entry.row.photo_id for entry in view.entries]) == (6, photos[:6])
    with pytest.raises(GuideFull):
        await add_to_guide(asking.desk, asking.by(), "ember", GuideWords(photo=str(photos[6]), call="does not"))
    with pytest.raises(NotYours):
        await add_to_guide(asking.desk, asking.by(MOSS), "ember", GuideWords(photo=str(photos[6]), call="does not"))
    # A set keeps the guide that held when it was put together.
    opened = await open_set(asking.desk, asking.by(MOSS), "ember", "all")
    assert (opened.row.guide_id, opened.photos) == (view.guide.id, 7)
    step = await blind_step(asking.desk, asking.by(MOSS), opened.row.id)
    assert (step.place, step.total, step.answers, step.body) == (1, 7, {}, b"bytes")
    await define_trait(asking.desk, asking.by(), name="frost", dominance="dominant")
    with pytest.raises(TooFewToScore):
        await open_set(asking.desk, asking.by(), "frost")


async def test_the_evidence_is_weighed_with_the_measured_error(asking: Asking) -> None:
    trait = await ember(asking)
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    put = NewPairing(dams="1 unmated wild from B-1", sires="1 visual ember from B-2", question="ember")
    await set_up(asking.desk, asking.by(), put)
    await log_brood(asking.desk, asking.by(), NewBrood(of="P-1", scored="24 wild, 9 weeks"))
    before = await evidence_of(asking.desk, asking.by(), "ember")
    assert before.programme.misread is None
    await scored_blind(asking, trait, await photos_for(asking, trait, 4), k1="yynn", k2="ynnn")
    after = await evidence_of(asking.desk, asking.by(), "ember")
    assert after.programme.misread == Misread(1, 4)
    # It is another question than before, and is not answered from what was weighed then.
    assert after.findings != before.findings


async def test_a_photo_that_was_removed_is_not_waited_for_and_what_is_missing_comes_first(asking: Asking) -> None:
    trait = await ember(asking)
    photos = await photos_for(asking, trait, 3)
    number = (await open_set(asking.desk, asking.by(), "ember", "all")).row.id
    async with asking.desk.records.read(asking.by().server) as book:
        placed = {photo.place: photo.photo_id for photo in await book.blind_photos(number)}
    assert set(placed.values()) == set(photos)
    for place in (1, 2):
        step = await answer_photo(asking.desk, asking.by(), number, place, Call.SHOWS)
    assert step.place == 3
    await remove_photo(asking.desk, asking.by(), str(placed[1]))
    missing = await finish_set(asking.desk, asking.by(), number)
    assert isinstance(missing, BlindStep)
    assert (missing.place, missing.total, missing.answers) == (3, 2, {2: Call.SHOWS})
    with pytest.raises(ScoreFirst) as left:
        await blind_result(asking.desk, asking.by(), number)
    assert left.value.left == 1
    await answer_photo(asking.desk, asking.by(), number, 3, Call.UNSURE)
    done = await finish_set(asking.desk, asking.by(), number)
    assert isinstance(done, BlindResult)
    assert [(line.place, line.mine) for line in done.lines] == [(2, Call.SHOWS), (3, Call.UNSURE)]
    assert done.error is None
    with pytest.raises(NoSuchSet):
        await finish_set(asking.desk, asking.by(server=ELSEWHERE), number)


async def test_an_answer_can_be_undone_until_its_keeper_is_through(asking: Asking) -> None:
    trait = await ember(asking)
    await photos_for(asking, trait, 2)
    number = (await open_set(asking.desk, asking.by(), "ember", "all")).row.id
    request = asking.by()
    await answer_photo(asking.desk, request, number, 1, Call.SHOWS)
    assert (await answer_photo(asking.desk, again(request), number, 1, Call.NOT)).answers == {1: Call.SHOWS}
    await undo(asking.desk, asking.by(), (await asking.events())[-1].seq)
    assert (await blind_step(asking.desk, asking.by(), number)).answers == {}
    for place in (1, 2):
        await answer_photo(asking.desk, asking.by(), number, place, Call.NOT)
    answered = (await asking.events())[-1].seq
    await finish_set(asking.desk, asking.by(), number)
    with pytest.raises(ChangedSince):
        await undo(asking.desk, asking.by(), answered)
    with pytest.raises(NothingToUndo):
        await undo(asking.desk, asking.by(), answered + 1)
    with pytest.raises(ThroughAlready):
        await answer_photo(asking.desk, asking.by(), number, 1, Call.SHOWS)
    # A set that somebody has answered stays.
    opened = next(event.seq for event in await asking.events() if event.kind == "blind.opened")
    with pytest.raises(BuiltUpon):
        await undo(asking.desk, asking.by(), opened)
