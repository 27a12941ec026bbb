"""Broods: what is seen, scored, scored again and kept back."""

from datetime import timedelta

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.records import BroodReason, ParentRole, Sex
from bot.services.audit import audit_of
from bot.services.bins import NewBin, open_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import choose_brood, list_broods, log_brood, look_counts, score_again, show_brood
from bot.services.holdbacks import keep_back
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import show_pairing, young_seen
from bot.services.refusals import CountNotRead, NoSuchBin, NothingToUndo, NotYours, Refusal, TakenBack, WordNotKnown
from bot.services.refusals_breeding import (
    LookHasDoses,
    MoreThanBorn,
    MoreThanScored,
    NoSuchBrood,
    NoSuchPairing,
    NothingScored,
    NotInOrder,
    ScoresNotRead,
    ScoresUnclear,
)
from bot.services.refusals_days import DayAhead
from bot.services.sharing import set_privacy
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, TAMSIN, Asking, again

DAY = timedelta(days=1)
SCORED = NewBrood(of="P-1", scored="6 ember 17 wild, 9 weeks, 3 unsure", born="about 30")


@async_fixture
async def paired(asking: Asking) -> Asking:
    """A pairing of two bins, and what it is about."""
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await define_trait(asking.desk, asking.by(), name="dusk", dominance="incompletely dominant")
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    await set_up(asking.desk, asking.by(), NewPairing(dams="1 unmated from B-1", sires="1 from B-2", question="ember"))
    return asking


async def test_a_scored_brood_holds_what_was_seen(paired: Asking) -> None:
    view = await log_brood(paired.desk, paired.by(after=60 * DAY), SCORED)
    assert (view.code, view.brood.why, view.brood.born) == ("P-1.1", BroodReason.PLANNED, 30)
    assert view.latest is not None
    assert (view.latest.unsure, view.latest.age_days, view.latest.typed) == (3, 63, SCORED.scored)
    names = {trait.id: trait.name for trait in view.traits}
    assert [([names[s.trait_id] for s in score.shown], score.number) for score in view.latest.scores] == [
        (["ember"], 6),
        ([], 17),
    ]
    assert view.ratios is not None
    assert (1, 3) in [one.ratio for one in view.ratios.fitting]


async def test_only_the_first_brood_takes_the_day_of_the_first_young(paired: Asking) -> None:
    first_young = (await young_seen(paired.desk, paired.by(after=30 * DAY), "P-1")).row.young_at
    days = []
    for after in (35, 95):
        view = await log_brood(paired.desk, paired.by(after=after * DAY), NewBrood(of="P-1", born="12"))
        days.append(view.brood.seen_on)
    assert days == [first_young, paired.by(after=95 * DAY).now]


async def test_the_scoring_of_a_private_bins_brood_is_told_to_its_keepers_alone(paired: Asking) -> None:
    await log_brood(paired.desk, paired.by(), SCORED)
    view = await score_again(paired.desk, paired.by(), "P-1.1", "5 ember 10 wild")
    assert view.event is not None
    by_bin = await audit_of(paired.desk, paired.by(TAMSIN), bin_text=view.brood.bin_code)
    assert "brood.scored" in [change.kind for change in by_bin.changes]
    await set_privacy(paired.desk, paired.by(), bin_text=view.brood.bin_code, private="everything")
    for stranger in (paired.by(TAMSIN), paired.by(TAMSIN, steward=True)):
        told = await audit_of(paired.desk, stranger)
        assert not [change for change in told.changes if change.kind.startswith("brood.")]
    with pytest.raises(NothingToUndo):
        await undo(paired.desk, paired.by(TAMSIN, steward=True), view.event)
    await undo(paired.desk, paired.by(), view.event)
    assert not [change for change in (await audit_of(paired.desk, paired.by(TAMSIN))).changes if change.kind == "undo"]


async def test_a_brood_can_be_logged_before_it_is_scored(paired: Asking) -> None:
    view = await log_brood(paired.desk, paired.by(), NewBrood(of="p1", born="12", mothers="1"))
    assert (view.latest, view.ratios, view.brood.mothers) == (None, None, 1)
    scored = await score_again(paired.desk, paired.by(after=60 * DAY), "P-1.1", "3 ember, 9 wild")
    assert look_counts(scored.latest) == [3, 9]


async def test_a_second_look_counts_and_the_first_stays(paired: Asking) -> None:
    await log_brood(paired.desk, paired.by(), SCORED)
    view = await score_again(paired.desk, paired.by(after=DAY), "P-1", "7 ember females, 16 wild")
    assert [look_counts(scoring) for scoring in view.scorings] == [[6, 17], [7, 16]]
    assert view.latest is not None
    assert view.latest.scores[0].sex is Sex.FEMALE
    shown = await show_pairing(paired.desk, paired.by(), "P-1")
    assert shown.broods[0].latest == view.latest


async def test_broods_are_counted_within_their_pairing_and_within_their_bin(paired: Asking) -> None:
    codes = [
        (await log_brood(paired.desk, paired.by(), NewBrood(of=of, scored="1 ember, 4 wild"))).code
        for of in ("P-1", "B-1", "P-1", "B-1")
    ]
    assert codes == ["P-1.1", "B-1.1", "P-1.2", "B-1.2"]
    assert [view.code for view in (await list_broods(paired.desk, paired.by(), "P-1")).views] == ["P-1.2", "P-1.1"]
    assert (await list_broods(paired.desk, paired.by())).total == 4


async def test_a_brood_of_a_bin_was_found_unless_it_is_said_to_be_planned(paired: Asking) -> None:
    found = await log_brood(paired.desk, paired.by(), NewBrood(of="B-1", scored="1 ember, 4 wild"))
    planned = await log_brood(paired.desk, paired.by(), NewBrood(of="B-1", scored="4 wild", why="planned before"))
    assert [found.brood.why, planned.brood.why] == [BroodReason.FOUND, BroodReason.PLANNED]


@pytest.mark.parametrize(
    ("new", "kind"),
    [
        (NewBrood(of="P-9"), NoSuchPairing),
        (NewBrood(of="B-9"), NoSuchBin),
        (NewBrood(of=""), NoSuchBin),
        (NewBrood(of="P-1", scored="6 sparkly"), ScoresNotRead),
        (NewBrood(of="P-1", scored="6 embr"), ScoresUnclear),
        (NewBrood(of="P-1", scored="4 of 20 ember"), ScoresUnclear),
        (NewBrood(of="P-1", scored="6 ember, 3 dead", dead="2"), ScoresNotRead),
        (NewBrood(of="P-1", scored="6 ember", unsure="lots"), ScoresNotRead),
        (NewBrood(of="P-1", scored="6 dusk, 4 wild"), LookHasDoses),
        (NewBrood(of="P-1", scored="6 ember 17 wild", born="20"), MoreThanBorn),
        (NewBrood(of="P-1", scored="6 ember 17 wild, 3 dead", born="25"), MoreThanBorn),
        (NewBrood(of="P-1", scored="6 ember 17 wild", born="lots"), CountNotRead),
        (NewBrood(of="P-1", scored="6 ember", day="yesterday"), NotInOrder),
        (NewBrood(of="P-1", scored="6 ember", day="2099-01-01"), DayAhead),
        (NewBrood(of="P-1", scored="6 ember", why="bored"), WordNotKnown),
    ],
)
async def test_what_cannot_be_is_refused_and_nothing_is_written(
    paired: Asking, new: NewBrood, kind: type[Refusal]
) -> None:
    before = await paired.events()
    with pytest.raises(kind):
        await log_brood(paired.desk, paired.by(), new)
    assert await paired.events() == before


async def test_a_second_look_is_refused_like_a_first(paired: Asking) -> None:
    await log_brood(paired.desk, paired.by(), SCORED)
    for text, scored, kind in (
        ("P-1.2", "6 ember", NoSuchBrood),
        ("B-1.1", "6 ember", NoSuchBrood),
        ("P-1.1", "", NothingScored),
        ("P-1.1", "20 ember, 20 wild", MoreThanBorn),
        ("P-1.1", "6 sparkly", ScoresNotRead),
        ("P-1.1", "6 ember, 16 wild, yesterday", ScoresNotRead),
        ("P-1.1", "6:16", ScoresUnclear),
    ):
        with pytest.raises(kind):
            await score_again(paired.desk, paired.by(), text, scored)
    with pytest.raises(NotYours):
        await score_again(paired.desk, paired.by(MOSS), "P-1.1", "6 ember")


async def test_young_kept_back_become_a_bin_with_their_parents(paired: Asking) -> None:
    await log_brood(paired.desk, paired.by(), SCORED)
    view = await keep_back(paired.desk, paired.by(), brood_text="P-1.1", keep_text="4 ember, 6 wild", name="ember F1")
    assert (view.row.name, view.species.name) == ("ember F1", "Porcellio scaber")
    assert [(p.code, p.role) for p in view.parents] == [("B-1", ParentRole.DAM), ("B-2", ParentRole.SIRE)]
    assert [(f.row.number, f.stated) for f in view.founders] == [(4, "visual ember"), (6, None)]
    brood = (await show_brood(paired.desk, paired.by(), "P-1.1")).brood
    assert {f.row.brood_id for f in view.founders} == {brood.id}


async def test_no_more_are_kept_back_than_were_scored(paired: Asking) -> None:
    await log_brood(paired.desk, paired.by(), SCORED)
    for kept, kind in (("7 ember", MoreThanScored), ("3 dusk", LookHasDoses), ("", NothingScored)):
        with pytest.raises(kind):
            await keep_back(paired.desk, paired.by(), brood_text="P-1.1", keep_text=kept)


async def test_what_was_kept_back_before_is_not_there_to_be_kept_again(paired: Asking) -> None:
    await log_brood(paired.desk, paired.by(), SCORED)
    await keep_back(paired.desk, paired.by(), brood_text="P-1.1", keep_text="4 ember, 17 wild")
    for kept in ("3 ember", "1 wild"):
        with pytest.raises(MoreThanScored):
            await keep_back(paired.desk, paired.by(), brood_text="P-1.1", keep_text=kept)
    view = await keep_back(paired.desk, paired.by(), brood_text="P-1.1", keep_text="2 ember")
    assert [f.row.number for f in view.founders] == [2]


async def test_another_server_sees_none_of_it(paired: Asking) -> None:
    await log_brood(paired.desk, paired.by(), SCORED)
    with pytest.raises(NoSuchPairing):
        await show_brood(paired.desk, paired.by(server=ELSEWHERE), "P-1.1")
    assert (await list_broods(paired.desk, paired.by(server=ELSEWHERE))).views == ()
    assert await choose_brood(paired.desk, paired.by(server=ELSEWHERE), "") == ()


async def test_the_same_request_twice_is_one_brood_and_one_look(paired: Asking) -> None:
    request = paired.by()
    first = await log_brood(paired.desk, request, SCORED)
    assert await log_brood(paired.desk, again(request), SCORED) == first
    second = paired.by(after=DAY)
    look = await score_again(paired.desk, second, "P-1.1", "7 ember, 16 wild")
    assert await score_again(paired.desk, again(second), "P-1.1", "7 ember, 16 wild") == look
    assert len(look.scorings) == 2


async def test_a_look_and_a_brood_can_be_taken_back(paired: Asking) -> None:
    first = paired.by()
    brood = await log_brood(paired.desk, first, SCORED)
    look = await score_again(paired.desk, paired.by(after=DAY), "P-1.1", "7 ember, 16 wild")
    assert look.event is not None
    await undo(paired.desk, paired.by(), look.event)
    assert look_counts((await show_brood(paired.desk, paired.by(), "P-1.1")).latest) == [6, 17]
    assert brood.event is not None
    await undo(paired.desk, paired.by(), brood.event)
    with pytest.raises(TakenBack):
        await log_brood(paired.desk, again(first), SCORED)


async def test_what_stands_in_fields_of_its_own_is_read_with_the_line(paired: Asking) -> None:
    beside = {"dead": "2", "unsure": "3", "unscored": "4", "age": "9 weeks", "size": "6 mm", "born": "about 40"}
    view = await log_brood(paired.desk, paired.by(), NewBrood(of="P-1", scored="6 ember 17 wild", **beside))
    assert (view.brood.dead, view.brood.born) == (2, 40)
    look = view.latest
    assert look is not None
    assert (look.unsure, look.unscored, look.age_days, look.length_mm) == (3, 4, 63, 6)
    assert look.typed == "6 ember 17 wild, 2 dead, 3 unsure, 4 unscored, 9 weeks, 6 mm"


async def test_a_day_in_the_line_is_the_day_they_were_seen_and_born_alone_is_no_look(paired: Asking) -> None:
    later = paired.by(after=10 * DAY)
    view = await log_brood(paired.desk, later, NewBrood(of="P-1", scored="23 mancae, 3 days ago"))
    assert view.brood.seen_on.date() == (later.now - 3 * DAY).date()
    assert view.latest is not None
    assert (view.latest.unscored, view.latest.scores) == (23, ())
    unscored = await log_brood(paired.desk, paired.by(), NewBrood(of="P-1", scored="30 born, 2 dead"))
    assert (unscored.brood.born, unscored.brood.dead, unscored.latest) == (30, 2, None)


async def test_broods_are_read_a_page_at_a_time_and_chosen_by_their_codes(paired: Asking) -> None:
    for _ in range(13):
        await log_brood(paired.desk, paired.by(), NewBrood(of="P-1", born="20"))
    first, last = [await list_broods(paired.desk, paired.by(), "P-1", page) for page in (0, 9)]
    assert [view.code for view in first.views] == [f"P-1.{n}" for n in range(13, 1, -1)]
    assert ([view.code for view in last.views], last.page, last.total) == (["P-1.1"], 1, 13)
    assert await choose_brood(paired.desk, paired.by(), "p-1.1") == ("P-1.13", "P-1.12", "P-1.11", "P-1.10", "P-1.1")
    for text in ("%", "_", "\\"):
        assert await choose_brood(paired.desk, paired.by(), text) == ()
